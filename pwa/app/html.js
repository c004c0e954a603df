/** Templates: `html` writes what Preact draws, without a build step, in the language of the page. */
import htm from 'htm';
import { h } from 'preact';
import { spoken } from './template-text.js';
import { inEnglish, phrase } from './tongue.js';

const draw = htm.bind(h);

/** Template -> the same in the language of the page. @type {WeakMap<TemplateStringsArray, import('./template-text.js').Spoken>} */
const said = new WeakMap();

export const html = inEnglish() ? draw : inTongue;

/** @param {TemplateStringsArray} template @param {...any} values */
function inTongue(template, ...values) {
  let { strings, order } = said.get(template) ?? {};
  if (!strings || !order) {
    ({ strings, order } = spoken(template, phrase));
    said.set(template, { strings, order });
  }
  return draw(/** @type {any} */ (strings), ...order.map((index) => values[index]));
}
