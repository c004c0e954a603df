/** The lines of an estimate or a bill: what, how much of it, and the price of one. */
import { field, labelOf } from '../declared.js';
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { Field } from './fields.js';
import { Icon } from './icon.js';
import { MoneyField } from './money-field.js';

/** @param {{form: import('./form.js').Form, currency: string, rate: number}} props  `rate`: of an hour, minor units */
export function PriceLines({ form, currency, rate }) {
  const lines = form.values.lines ?? [];
  const change = (/** @type {any[]} */ changed) => form.set('lines', changed);
  const within = (/** @type {number} */ index) => ({
    ...form,
    get: (/** @type {string} */ path) => lines[index][nameIn(path)],
    set: (/** @type {string} */ path, /** @type {any} */ value) =>
      change(
        lines.map((/** @type {any} */ line, /** @type {number} */ at) =>
          at === index ? { ...line, [nameIn(path)]: value === '' ? undefined : value } : line,
        ),
      ),
  });
  const sorts = field('priced', 'lines.sort').choices ?? [];
  return html`<section class="stack close" aria-label="Lines">
    <h2>Lines</h2>
    ${lines.map(
      (/** @type {any} */ line, /** @type {number} */ index) => html`<fieldset class="field line-fields" key=${index}>
      <legend>${labelOf('priced', 'lines.sort', line.sort)}, line ${index + 1}</legend>
      <${Field} kind="priced" path="lines.text" at=${`lines.${index}.text`} form=${within(index)} />
      <div class="side-by-side">
        <${Field}
          kind="priced"
          path="lines.quantity"
          at=${`lines.${index}.quantity`}
          form=${within(index)}
          label=${line.sort === 'labour' ? phrase('Hours') : phrase('Quantity')}
          help=""
        />
        <${MoneyField}
          label=${line.sort === 'labour' ? phrase('An hour') : phrase('Price of one')}
          path=${`lines.${index}.price`}
          form=${within(index)}
          currency=${currency}
        />
      </div>
      <button
        type="button"
        class="key quiet"
        onClick=${() => change(lines.filter((/** @type {any} */ _, /** @type {number} */ at) => at !== index))}
      ><${Icon} name="cross" />Take line ${index + 1} out</button>
    </fieldset>`,
    )}
    ${form.problemAt('lines') && html`<p class="problem" role="alert">${form.problemAt('lines')}</p>`}
    <div class="keys">
      ${sorts.map(
        ({ value, label }) => html`<button
        key=${value}
        type="button"
        class="key"
        onClick=${() => change([...lines, { sort: value, quantity: 1, ...(value === 'labour' ? { price: rate } : {}) }])}
      ><${Icon} name="plus" />${label}</button>`,
      )}
    </div>
  </section>`;
}

/** @param {string} path */
function nameIn(path) {
  return /** @type {string} */ (path.split('.').at(-1));
}
