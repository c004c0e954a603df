/** Whether it happened before the mechanic came, and as which of several such moves. */
import { html } from '../html.js';

/**
 * @param {{form: import('../pieces/form.js').Form}} props
 */
export function BeforeArrival({ form }) {
  const before = form.values.before;
  return html`<div class="stack close">
    <label class="choice">
      <input
        type="checkbox"
        checked=${Boolean(before)}
        onChange=${() => form.set('before', before ? undefined : 1)}
      /><span>This was done before I arrived</span>
    </label>
    ${
      before &&
      html`<div class="field">
      <label for="before-order">Which of the moves before arrival, the first being 1</label>
      <input
        id="before-order"
        type="text"
        inputmode="numeric"
        value=${before}
        onInput=${(/** @type {any} */ event) => form.set('before', Number(event.target.value.replace(/\D/g, '')) || 1)}
      />
    </div>`
    }
  </div>`;
}
