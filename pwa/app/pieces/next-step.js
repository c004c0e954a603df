/** The next step in one line, with minutes and the reason; the key leads to where it is recorded. */
import { useState } from 'preact/hooks';
import { html } from '../html.js';
import { thinkAgain } from '../open-case.js';
import { startStep } from '../steps.js';
import { Icon } from './icon.js';
import { Notice } from './notice.js';

/**
 * @param {{id: string, diagnosis: import('../open-case.js').Told | null, trouble: string, thinking: boolean, closed: boolean}} props
 */
export function NextStep({ id, diagnosis, trouble, thinking, closed }) {
  const [all, setAll] = useState(false);
  if (closed) return null;
  const [first, ...others] = diagnosis?.steps ?? [];
  if (!first)
    return html`<section class="step" aria-label="Next step">
      <p class="lettered">Next</p>
      ${
        trouble
          ? html`<p>The advice is not to be had now. Everything can be recorded all the same.</p>
            <button type="button" class="key" onClick=${thinkAgain}>Ask again</button>`
          : html`<p>
            ${thinking || !diagnosis ? 'Thinking it over. Record meanwhile.' : 'Nothing further is proposed.'}
          </p>`
      }
    </section>`;
  return html`<section class="step" aria-label="Next step" aria-busy=${thinking}>
    <p class="lettered">Next</p>
    <${Step} id=${id} step=${first} main=${true} />
    ${
      others.length > 0 &&
      html`<button
        type="button"
        class="key quiet"
        aria-expanded=${all}
        onClick=${() => setAll(!all)}
      >${all ? 'Only the first' : `Other ways (${others.length})`}</button>`
    }
    ${
      all &&
      html`<ul class="ruled">
      ${others.map((/** @type {any} */ step) => html`<li key=${step.key}><${Step} id=${id} step=${step} /></li>`)}
    </ul>`
    }
  </section>`;
}

/** @param {{id: string, step: any, main?: boolean}} props */
function Step({ id, step, main }) {
  return html`<div class=${`one-step ${main ? 'first' : ''}`}>
    <button type="button" class=${`key ${main ? 'main' : ''} wide`} onClick=${() => void startStep(id, step)}>
      <span class="step-title">${step.title}</span><span class="step-minutes">${step.minutes} min</span><${Icon} name="onward" />
    </button>
    <p class="hand">${step.why}</p>
    ${step.needs && html`<p class="soft">Needs: ${step.needs}</p>`}
    ${main && step.caution && html`<${Notice} tone="warn">${step.caution}<//>`}
  </div>`;
}
