/** The next step in one line, with minutes and the reason; the key leads to where it is recorded. */
import { useState } from 'preact/hooks';
import { check as checkOf } from '../declared.js';
import { html } from '../html.js';
import { openCase, thinkAgain } from '../open-case.js';
import { doneBy, startStep } from '../steps.js';
import { phrase } from '../tongue.js';
import { BeforeWork } from './before-work.js';
import { cautionOf } from './check-intro.js';
import { lastDisabledBy } from './disabled-by.js';
import { Icon } from './icon.js';
import { MissingTools } from './missing-tools.js';
import { NotAtHand } from './not-at-hand.js';
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
  // What was recorded while the advice did not know of it yet is not asked for again.
  const news = thinking && diagnosis ? (open.entries ?? []).filter((entry) => !open.knows.includes(entry.id)) : [];
  const done = (diagnosis?.steps ?? []).some((/** @type {any} */ step) => news.some((entry) => doneBy(step, entry)));
  const [first, ...others] = done ? [] : (diagnosis?.steps ?? []);
  if (closed && first?.kind !== 'case_reopened') return null;
  if (!first)
    return html`<section class=${`step ${thinking || !(diagnosis || trouble) ? 'coming' : ''}`} aria-label="Next step">
      <p class="lettered">Next</p>
      ${
        trouble
          ? html`<p>The advice is not to be had now. Everything can be recorded all the same.</p>
            <button type="button" class="key" onClick=${thinkAgain}>Ask again</button>`
          : html`<p>
            ${thinking || !diagnosis ? phrase('Working out the next step. Record meanwhile.') : phrase('Nothing further is proposed.')}
          </p>`
      }
      <${MissingTools} id=${id} />
    </section>`;
  // A question is answered where it is asked, on a sheet over the case.
  const start = (/** @type {any} */ step) => {
    if (step.kind === 'answered') setAsked(step.body.question);
    else void startStep(id, step);
  };
  const question = open.view?.questions.find((/** @type {any} */ one) => one.id === asked);
  return html`<section class=${`step ${thinking ? 'older' : ''}`} aria-label="Next step" aria-busy=${thinking}>
    <p class="lettered">${thinking ? phrase('Working out the next step. Until then, from before') : phrase('Next')}</p>
    <${Step} id=${id} step=${first} main=${true} onStart=${start} />
    ${
      further &&
      !thinking &&
      html`<p class="lettered">On a longer look, rather this</p><${Step} id=${id} step=${further} onStart=${start} />`
    }
    <${MissingTools} id=${id} />
    ${
      others.length > 0 &&
      html`<button
        type="button"
        class="key quiet"
        aria-expanded=${all}
        onClick=${(/** @type {any} */ event) => {
          setAll(!all);
          const key = event.currentTarget;
          if (!all) requestAnimationFrame(() => requestAnimationFrame(() => key.scrollIntoView({ block: 'start' })));
        }}
      >${all ? phrase('Fold the list') : phrase('Other ways ({n})', { n: others.length })}</button>`
    }
    ${
      all &&
      html`<ul class="ruled">
      ${others.map((/** @type {any} */ step) => html`<li key=${step.key}><${Step} id=${id} step=${step} onStart=${start} /></li>`)}
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

/** @param {{id: string, step: any, main?: boolean, onStart: (step: any) => void}} props */
function Step({ id, step, main, onStart }) {
  const check = step.kind === 'check' ? checkOf(step.body.check) : undefined;
  const beware = check?.ways.length ? cautionOf(check, lastDisabledBy(openCase.value?.entries ?? [])) : step.caution;
  return html`<div class=${`one-step ${main ? 'first' : ''}`}>
    <button type="button" class=${`key ${main ? 'main' : ''} wide`} onClick=${() => onStart(step)}>
      <span class="step-title">${step.title}</span><span class="step-minutes">${step.minutes} min</span><${Icon} name="onward" />
    </button>
    <p class="hand">${step.why}</p>
    ${step.needs && html`<p class="soft">Needs: ${step.needs}</p>`}
    ${step.tools?.length > 0 && html`<${NotAtHand} key=${step.key} id=${id} wanted=${step.tools.flat()} />`}
    ${main && step.kind === 'repair' && html`<${BeforeWork} id=${id} />`}
    ${main && beware && html`<${Notice} tone="warn">${beware}<//>`}
  </div>`;
}
