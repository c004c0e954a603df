/** All checks, grouped by what they are made on. */
import { checks } from '../declared.js';
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
  return html`<${CaseScreen} id=${id} title="Check">
    ${GROUPS.map(
      (group) => html`<section key=${group.words}>
      <h2>${group.words}</h2>
      <ul class="ruled">
        ${checks()
          .filter((check) => group.about.includes(check.about))
          .map(
            (check) =>
              html`<li key=${check.key}>
                <${Line} id=${id} check=${check} made=${made.filter((key) => key === check.key).length} />
              </li>`,
          )}
      </ul>
    </section>`,
    )}
  <//>`;
}

/** @param {{id: string, check: import('../declared.js').Check, made: number}} props  `made`: how often in this case */
function Line({ id, check, made }) {
  return html`<div class="check-line">
    <a class="check-name" href=${to('case', id, 'check', check.key)}>
      <strong>${check.label}</strong>
      <span class="soft">${check.minutes} min${check.needs ? `, ${check.needs}` : ''}</span>
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
      aria-label=${phrase('Round: {label} on every cylinder', { label: check.label })}
    >Round</a>`
    }
  </div>`;
}
