/** All checks, grouped by what they are made on. */
import { check as checkOf, checks } from '../declared.js';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { CaseScreen } from '../pieces/case-screen.js';
import { to } from '../route.js';
import { phrase } from '../tongue.js';

const GROUPS = [
  { words: phrase('Spark'), about: ['coil', 'boot', 'plug'] },
  { words: phrase('Fuel'), about: ['injector'] },
  { words: phrase('Cylinder'), about: ['cylinder'] },
  { words: phrase('Whole engine'), about: ['engine'] },
];

/** @param {{id: string}} props */
export function Checks({ id }) {
  const made = (openCase.value?.entries ?? [])
    .filter((entry) => entry.kind === 'check')
    .map((entry) => entry.body.check);
  const steps = openCase.value?.diagnosis?.steps ?? [];
  return html`<${CaseScreen} id=${id} title="Check">
    ${GROUPS.map(
      (group) => html`<section key=${group.words}>
      <h2>${group.words}</h2>
      <ul class="ruled">
        ${checks()
          .filter((check) => group.about.includes(check.about) && fits(check, openCase.value?.view?.engine))
          .map(
            (check) =>
              html`<li key=${check.key}>
                <${Line} id=${id} check=${check} step=${steps.find((/** @type {any} */ one) => ofOnePlace(one) && one.body.check === check.key)} made=${made.filter((key) => key === check.key).length} />
              </li>`,
          )}
      </ul>
    </section>`,
    )}
  <//>`;
}

/** Whether the engine has what a check looks at; all are shown as long as it is not known. @param {import('../declared.js').Check} check @param {any} engine */
function fits(check, engine) {
  return !engine || !check.ignitions.length || check.ignitions.includes(engine.ignition);
}

/** Whether a step of the advice is one check at one place, not a round. @param {any} step */
function ofOnePlace(step) {
  return step.kind === 'check' && (step.body?.place || step.body?.cylinder || !checkOf(step.body?.check)?.round);
}

/**
 * @param {{id: string, check: import('../declared.js').Check, step?: any, made: number}} props
 *   `step`: that the advice proposes it as, with the minutes it takes there; `made`: how often in this case
 */
function Line({ id, check, step, made }) {
  const takes = phrase('{n} min', { n: step?.minutes ?? check.minutes });
  return html`<div class="check-line">
    <a class="check-name" href=${to('case', id, 'check', check.key)}>
      <strong>${check.label}</strong>
      <span class="soft">${takes}${check.needs ? `, ${check.needs}` : ''}</span>
    </a>
    ${
      check.about !== 'engine' &&
      made > 1 &&
      html`<a
      class="key"
      href=${to('case', id, 'compare', check.key)}
      aria-label=${phrase('Compare: {label} side by side', { label: check.label })}
    >Compare</a>`
    }
    ${
      check.round &&
      html`<a
      class="key"
      href=${to('case', id, 'round', check.key)}
      aria-label=${phrase('All cylinders: {label}', { label: check.label })}
    >All cylinders</a>`
    }
  </div>`;
}
