/** A choice from a list that opens, outside the declared kinds. */
import { useId } from 'preact/hooks';
import { html } from '../html.js';

/** @param {{label: string, value: string, choices: string[][], onChange: (value: string) => void}} props  choices: [value, words] */
export function Select({ label, value, choices, onChange }) {
  const id = useId();
  return html`<div class="field">
    <label for=${id}>${label}</label>
    <select id=${id} value=${value} onChange=${(/** @type {any} */ event) => onChange(event.target.value)}>
      ${choices.map(([one, words]) => html`<option key=${one} value=${one}>${words}</option>`)}
    </select>
  </div>`;
}
