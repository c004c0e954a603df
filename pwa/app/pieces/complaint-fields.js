/** What the customer notices, with thumbs. */
import { html } from '../html.js';
import { Field } from './fields.js';
import { Notice } from './notice.js';

/** @param {{form: import('./form.js').Form, prefix?: string}} props */
export function ComplaintFields({ form, prefix = '' }) {
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
    <${Field} kind="complaint" path="words" at=${`${prefix}words`} form=${form} />
    <${Field} kind="complaint" path="since" at=${`${prefix}since`} form=${form} />
  `;
}
