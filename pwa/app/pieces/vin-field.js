/** The vehicle identification number: a slip is pointed out while there is still time, never refused. */
import { useEffect, useState } from 'preact/hooks';
import { ask } from '../../field/core.js';
import { html } from '../html.js';
import { Field } from './fields.js';

/** @param {{form: import('./form.js').Form, at: string}} props */
export function VinField({ form, at }) {
  const [told, setTold] = useState(/** @type {any} */ (null));
  const vin = form.get(at) ?? '';
  useEffect(() => {
    if (!vin) return setTold(null);
    let gone = false;
    void ask('check_vin', { vin }, { topic: 'check_vin' }).then((answer) => {
      if (!gone && !answer.error) setTold(answer);
    });
    return () => {
      gone = true;
    };
  }, [vin]);
  return html`<div>
    <${Field} kind="case_opened" path="vehicle.vin" at=${at} form=${form} extra=${{ autocapitalize: 'characters', spellcheck: false, class: 'figures' }} />
    <p class="told" aria-live="polite">${told?.message ?? ''}</p>
    ${told?.candidates?.length > 0 &&
    html`<div class="keys">${told.candidates.map((/** @type {string} */ likely) => html`<button type="button" class="key" key=${likely} onClick=${() => form.set(at, likely)}>Take <span class="figures">${likely}</span></button>`)}</div>`}
  </div>`;
}
