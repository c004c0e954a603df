/** Everything about one cylinder: what was found on it, what sits on it, what may be wrong with it. */
import { checks } from '../declared.js';
import { partAt } from '../case-look.js';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { Reach } from '../pieces/reach.js';
import { Suspect } from '../pieces/suspect.js';
import { CaseScreen } from '../pieces/case-screen.js';
import { to } from '../route.js';
import { phrase } from '../tongue.js';
import { partKind, sentence } from '../words.js';

const WORTH_SHOWING = 0.005;

/** @param {{id: string, parts: string[]}} props */
export function CylinderScreen({ id, parts }) {
  const cylinder = Number(parts[0]);
  const open = openCase.value;
  const view = open?.view;
  const told = view?.cylinders.find((/** @type {any} */ one) => one.cylinder === cylinder);
  if (!view || !told)
    return html`<${CaseScreen}
      id=${id}
      title=${phrase('Cylinder {n}', { n: parts[0] })}
      needsView=${true}
    ><p>This engine has no such cylinder.</p><//>`;
  const suspects = (open?.diagnosis?.components ?? [])
    .filter((/** @type {any} */ one) => one.cylinders?.includes(cylinder) && one.fault > WORTH_SHOWING)
    .slice(0, 8);
  const sitting = ['coil', 'boot', 'plug', 'injector'].map((kind) => ({
    kind,
    ...partAt(view, kind === 'coil' ? `coil.${told.coil_position}` : `${kind}.${cylinder}`),
  }));
  return html`<${CaseScreen} id=${id} title=${phrase('Cylinder {cylinder}', { cylinder })}>
    ${
      suspects.length > 0 &&
      html`<section class="stack close">
      <h2>What may be wrong here</h2>
      <p class="soft">Each by itself or together with another fault.</p>
      <ul class="ruled">
        ${suspects.map(
          (/** @type {any} */ one) => html`<li key=${one.component}><${Suspect} open=${open} component=${one} /></li>`,
        )}
      </ul>
    </section>`
    }
    <section class="stack close">
      <h2>Found here</h2>
      ${!told.findings.length && html`<p class="soft">Nothing yet.</p>`}
      <ul class="ruled">
        ${told.findings.map(
          (/** @type {any} */ finding) => html`<li key=${finding.entry} class="finding-row">
          <a href=${to('case', id, 'entry', finding.entry)}>
            ${checks().find((check) => check.key === finding.check)?.label ?? finding.check}: <strong>${finding.text}</strong>
          </a>
          ${finding.means && html`<span class="soft">${finding.means}</span>`}
          ${!finding.now && html`<span class="soft">before something here was moved or mended</span>`}
        </li>`,
        )}
      </ul>
    </section>
    <section class="stack close">
      <h2>Sits here now</h2>
      <ul class="ruled">
        ${sitting.map(
          (part) => html`<li key=${part.kind} class="finding-row">
          ${
            part.id
              ? html`<a href=${to('case', id, 'part', part.id)}>
            ${sentence(part.words)}
          </a>`
              : html`<span>${phrase('{part}: not known', { part: partKind(part.kind) })}</span>`
          }
          ${part.moved && part.mark !== 'new' && html`<span class="moved-words">${phrase('from {mark}', { mark: part.mark })}</span>`}
        </li>`,
        )}
      </ul>
    </section>
    <section class="stack close">
      <h2>How it is reached</h2>
      ${['coil', 'plug', 'injector'].map(
        (kind) =>
          html`<${Reach} key=${kind} open=${open} kind=${kind} position=${kind === 'coil' ? told.coil_position : cylinder} />`,
      )}
    </section>
    <section class="stack close">
      <h2>Check it</h2>
      <div class="keys">
        ${checks()
          .filter((check) => check.about !== 'engine')
          .map(
            (check) =>
              html`<a
                class="key"
                key=${check.key}
                href=${to('case', id, 'check', check.key, cylinder)}
              >${check.label}</a>`,
          )}
      </div>
    </section>
  <//>`;
}
