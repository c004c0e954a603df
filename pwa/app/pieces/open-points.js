/** Closing with points open: why, in a tap or in words of one's own. */
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { Field } from './fields.js';

const REASONS = [phrase('The owner wants the car back now'), phrase('Goes on to a workshop')];

/** @param {{form: import('./form.js').Form, lines: any[] | null}} props  `lines`: of the checklist; an open one may name a reason */
export function OpenPoints({ form, lines }) {
  const named = (lines ?? []).map((line) => line.despite).filter(Boolean);
  return html`<div class="stack close">
    <${Field} kind="case_closed" path="despite" form=${form} />
    <div class="keys">
      ${[...named, ...REASONS].map(
        (reason) => html`<button
          type="button"
          class="key"
          key=${reason}
          aria-pressed=${form.values.despite === reason}
          onClick=${() => form.set('despite', reason)}
        >${reason}</button>`,
      )}
    </div>
  </div>`;
}
