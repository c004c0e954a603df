/** What the customer notices, with thumbs. */
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { dateBefore, Field } from './fields.js';
import { Notice } from './notice.js';

/** How owners say it; the date of it stands in the field, to be put right. */
const SINCE = [
  { days: 0, words: phrase('Today') },
  { days: 1, words: phrase('Yesterday') },
  { days: 7, words: phrase('A week ago') },
  { days: 30, words: phrase('A month ago') },
];

/** @typedef {{form: import('./form.js').Form, prefix?: string}} ComplaintProps  `prefix`: where the form holds the complaint */

/** @param {ComplaintProps} props */
export function ComplaintFields(props) {
  return html`<${ComplaintInShort} ...${props} /><${ComplaintRest} ...${props} />`;
}

/** What is told by a few taps. @param {ComplaintProps} props */
export function ComplaintInShort({ form, prefix = '' }) {
  return html`
    <${Field} kind="complaint" path="symptoms" at=${`${prefix}symptoms`} form=${form} />
    <${Field} kind="complaint" path="circumstances" at=${`${prefix}circumstances`} form=${form} />
    <${Field} kind="complaint" path="lamp" at=${`${prefix}lamp`} form=${form} help="" />
    ${
      form.get(`${prefix}lamp`) === 'flashing' &&
      html`<${Notice}
        tone="trouble"
        title="Damage in progress: do not drive"
      ><p>A flashing lamp means that unburnt fuel is harming the catalyst.</p><//>`
    }
    ${
      form.get(`${prefix}lamp`) === 'flashed' &&
      html`<${Notice}
        tone="warn"
        title="It has flashed: do not drive on"
      ><p>While the lamp flashed, unburnt fuel got into the catalyst: it may have suffered. If it flashes again, stop.</p><//>`
    }
  `;
}

/** What is to be typed. @param {ComplaintProps} props */
export function ComplaintRest({ form, prefix = '' }) {
  return html`
    <${Field} kind="complaint" path="words" at=${`${prefix}words`} form=${form} />
    <${Field} kind="complaint" path="since" at=${`${prefix}since`} form=${form} />
    <div class="keys" role="group" aria-label=${phrase('How long ago')}>
      ${SINCE.map(
        ({ days, words }) => html`<button
        type="button"
        class="key"
        key=${days}
        onClick=${() => form.set(`${prefix}since`, dateBefore(days))}
      >${words}</button>`,
      )}
    </div>
  `;
}
