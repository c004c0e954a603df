/** The next step in one line, with minutes and the reason; the key leads to where it is recorded. */
import { useState } from 'preact/hooks';
import { tools } from '../declared.js';
import { html } from '../html.js';
import { thinkAgain } from '../open-case.js';
import { changeSettings, settings } from '../settings.js';
import { startStep } from '../steps.js';
import { phrase } from '../tongue.js';
import { Icon } from './icon.js';
import { MissingTools } from './missing-tools.js';
import { Notice } from './notice.js';
import { Questions } from './questions.js';
import { Sheet } from './sheet.js';

/**
 * @param {{open: import('../open-case.js').OpenCase, closed: boolean}} props
 */
export function NextStep({ open, closed }) {
  const [all, setAll] = useState(false);
  const [asked, setAsked] = useState('');
  const { id, diagnosis, diagnosisTrouble: trouble, further, thinking } = open;
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
            ${thinking || !diagnosis ? phrase('Thinking it over. Record meanwhile.') : phrase('Nothing further is proposed.')}
          </p>`
      }
      <${MissingTools} />
    </section>`;
  // A question is answered where it is asked, on a sheet over the case.
  const start = (/** @type {any} */ step) => {
    if (step.kind === 'answered') setAsked(step.body.question);
    else void startStep(id, step);
  };
  const question = open.view?.questions.find((/** @type {any} */ one) => one.id === asked);
  return html`<section class=${`step ${thinking ? 'older' : ''}`} aria-label="Next step" aria-busy=${thinking}>
    <p class="lettered">${thinking ? phrase('Thinking again. Until then, from before') : phrase('Next')}</p>
    <${Step} step=${first} main=${true} onStart=${start} />
    ${
      further &&
      !thinking &&
      html`<p class="lettered">On a longer look, rather this</p><${Step} step=${further} onStart=${start} />`
    }
    <${MissingTools} />
    ${
      others.length > 0 &&
      html`<button
        type="button"
        class="key quiet"
        aria-expanded=${all}
        onClick=${() => setAll(!all)}
      >${all ? phrase('Only the first') : phrase('Other ways ({n})', { n: others.length })}</button>`
    }
    ${
      all &&
      html`<ul class="ruled">
      ${others.map((/** @type {any} */ step) => html`<li key=${step.key}><${Step} step=${step} onStart=${start} /></li>`)}
    </ul>`
    }
    ${
      question &&
      html`<${Sheet} title="A question" onClose=${() => setAsked('')}>
      <${Questions} id=${id} questions=${[question]} />
    <//>`
    }
  </section>`;
}

/** These tools are not in the van: another way is thought of. @param {string[]} missing */
function leaveOut(missing) {
  const held = settings.value.tools ?? tools().map(({ value }) => value);
  changeSettings({ tools: held.filter((tool) => !missing.includes(tool)) });
  thinkAgain();
}

/** @param {{step: any, main?: boolean, onStart: (step: any) => void}} props */
function Step({ step, main, onStart }) {
  return html`<div class=${`one-step ${main ? 'first' : ''}`}>
    <button type="button" class=${`key ${main ? 'main' : ''} wide`} onClick=${() => onStart(step)}>
      <span class="step-title">${step.title}</span><span class="step-minutes">${step.minutes} min</span><${Icon} name="onward" />
    </button>
    <p class="hand">${step.why}</p>
    ${step.needs && html`<p class="soft">Needs: ${step.needs}</p>`}
    ${
      step.tools?.length > 0 &&
      html`<button type="button" class="key quiet" onClick=${() => leaveOut(step.tools.flat())}>Not at hand</button>`
    }
    ${main && step.caution && html`<${Notice} tone="warn">${step.caution}<//>`}
  </div>`;
}
