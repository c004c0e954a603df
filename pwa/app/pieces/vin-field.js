/** The vehicle identification number: a slip is pointed out while there is still time, never refused. */
import { useEffect, useState } from 'preact/hooks';
import { ask } from '../../field/core.js';
import { html } from '../html.js';
import { Field } from './fields.js';

/** @param {{form: import('./form.js').Form, at: string, help?: string}} props */
export function VinField({ form, at, help }) {
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
  // Pasted with spaces, dashes or "VIN:" around it, it is the bare number that can be kept.
  const bare = told?.verdict === 'good' && told.vin !== vin && told.vin;
  const offered = bare || told?.likely;
  return html`<div class="vin">
    <${Field}
      kind="case_opened"
      path="vehicle.vin"
      at=${at}
      form=${form}
      help=${help}
      extra=${{ autocapitalize: 'characters', spellcheck: false, class: 'figures' }}
    />
    <p class="told" aria-live="polite">${told?.message ?? ''}</p>
    ${
      offered &&
      html`<button type="button" class="key wide" onClick=${() => form.set(at, offered)}>Take <span class="figures">${offered}</span></button>`
    }
  </div>`;
}
