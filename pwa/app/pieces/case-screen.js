/** A screen that records something in the open case: waits for the log, leads back to the case. */
import { caseListing } from '../case-list.js';
import { html } from '../html.js';
import { caseEntries, caseView, thinkAgain, viewTrouble } from '../open-case.js';
import { home, to } from '../route.js';
import { phrase } from '../tongue.js';
import { Notice } from './notice.js';
import { Screen } from './screen.js';

/**
 * @param {object} props
 * @param {string} props.id
 * @param {string} props.title
 * @param {boolean} [props.needsView]  nothing can be shown without what the core makes of the case
 * @param {any} [props.keys]
 * @param {any} [props.aside]
 * @param {string} [props.class]
 * @param {string} [props.back]
 * @param {any} [props.children]
 */
export function CaseScreen({
  id,
  title,
  needsView = false,
  keys,
  aside,
  class: kind,
  back = home(id),
  children,
}) {
  const view = caseView.value;
  const car = view?.title ?? caseListing.value.cases?.find((one) => one.case === id)?.title ?? '';
  const ready = caseEntries.value && (!needsView || view);
  return html`<${Screen}
    title=${title}
    under=${car && html`<p class="of-car">${car}</p>`}
    back=${back}
    backWords=${backWords(id, back)}
    aside=${aside}
    keys=${ready ? keys : null}
    class=${kind}
  >
    ${ready ? children : html`<${Waiting} trouble=${viewTrouble.value} />`}
  <//>`;
}

/** Where the arrow leads, in words. @param {string} id @param {string} back */
function backWords(id, back) {
  if (back === to('case', id, 'close')) return phrase('Back to closing');
  return back === home(id) ? phrase('Back to the case') : phrase('Back');
}

/** @param {{trouble: string}} props */
function Waiting({ trouble }) {
  if (!trouble) return html`<p class="soft" aria-busy="true">Reading the case</p>`;
  return html`<${Notice} tone="warn" title="The engine of this case is not to be had now">
    <p>${trouble} Codes, notes and photos can be recorded all the same.</p>
    <button type="button" class="key" onClick=${thinkAgain}>Ask again</button>
  <//>`;
}
