/** What the log leaves open: asked at once, answered with one tap, kept as an entry. */
import { html } from '../html.js';
import { save } from '../saving.js';
import { sentence } from '../words.js';
import { Icon } from './icon.js';

/** @param {{id: string, questions: any[]}} props */
export function Questions({ id, questions }) {
  if (!questions.length) return null;
  return html`<section class="stack" aria-label="Questions">
    ${questions.map(
      (question) => html`<div class="question" key=${question.id} role="group" aria-label=${question.text}>
        <p><${Icon} name="warn" /><strong>${question.text}</strong></p>
        <div class="keys">
          ${question.choices.map(
            (/** @type {any} */ choice) => html`<button
              type="button"
              class="key"
              key=${choice.value}
              onClick=${() => void save({ case: id, kind: 'answered', body: { question: question.id, answer: choice.value } })}
            >${sentence(choice.label)}</button>`,
          )}
        </div>
      </div>`,
    )}
  </section>`;
}
