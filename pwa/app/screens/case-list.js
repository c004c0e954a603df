/** The cases on this phone: open ones first, found by any words that are in them. */
import { useEffect, useMemo, useRef, useState } from 'preact/hooks';
import { caseListing, readCaseList } from '../case-list.js';
import { html } from '../html.js';
import { Icon } from '../pieces/icon.js';
import { Notice } from '../pieces/notice.js';
import { PlainField } from '../pieces/plain-field.js';
import { to } from '../route.js';
import { compared, holds, seek, sought } from '../sought.js';
import { phrase } from '../tongue.js';
import { day, daysAtHand } from '../words.js';

const ENOUGH_TO_SEARCH = 6;
const ROWS = 8; // drawn at once: what a screen holds

/** @param {{beside?: boolean, open?: string | null}} props */
export function CaseList({ beside = false, open = null }) {
  const { q } = sought.value;
  const [drawn, drawMore] = useDrawn();
  const { cases, trouble } = caseListing.value;
  const within = useFoundWithin(q, cases);
  if (trouble)
    return html`<${Notice} tone="trouble" title="The cases could not be read">
      <p>${trouble}</p>
      <button type="button" class="key" onClick=${() => void readCaseList()}>Try again</button>
    <//>`;
  if (!cases) return html`<p class="soft" aria-busy="true">Reading the cases on this device</p>`;
  const found = cases.filter((one) => holds(compared([one.title, one.plate, one.customer]), q) || within?.has(one.case));
  const opened = found.filter((one) => one.status === 'open');
  const closed = found.filter((one) => one.status !== 'open');
  const groups = [
    { title: phrase('Open ((cases))'), cases: opened.slice(0, drawn) },
    { title: phrase('Closed ((cases))'), cases: closed.slice(0, Math.max(0, drawn - opened.length)) },
  ];
  return html`<div class="stack case-list">
    ${beside && html`<a class="key wide" href=${to('new')}><${Icon} name="plus" />New case</a>`}
    ${
      (cases.length >= ENOUGH_TO_SEARCH || q) &&
      html`<${PlainField} label="Search the cases" type="search" value=${q} onInput=${(/** @type {string} */ typed) => seek({ q: typed })} />`
    }
    ${!cases.length && !beside && html`<${NoCases} />`}
    ${cases.length > 0 && !found.length && html`<p>${within ? phrase('No case on this device has these words.') : phrase('Looking')}</p>`}
    ${groups.map(
      (group) =>
        group.cases.length > 0 &&
        html`<section key=${group.title}>
          <h2>${group.title}</h2>
          <ul class="ruled">
            ${group.cases.map((one) => html`<li key=${one.case}><${Row} one=${one} here=${one.case === open} /></li>`)}
          </ul>
        </section>`,
    )}
    ${found.length > drawn && html`<${MoreCases} onWanted=${drawMore} />`}
    <a class="key quiet" href=${to('find')}>Look in the whole shop</a>
  </div>`;
}

/**
 * Ids of the cases that have all of it anywhere in them; null while they are read, which waits for somebody who searches.
 * @param {string} q @param {any} cases
 * @returns {Set<string> | null}
 */
function useFoundWithin(q, cases) {
  const [look, setLook] = useState(/** @type {{within: (q: string) => Set<string>} | null} */ (null));
  const searches = q.trim() !== '';
  useEffect(() => {
    if (!searches) return;
    let gone = false;
    const none = { within: () => new Set() };
    void lookWithin().then(
      (found) => gone || setLook(found),
      () => gone || setLook(none), // what cannot be read is told by the list
    );
    return () => {
      gone = true;
    };
  }, [searches, cases]);
  return useMemo(() => (searches ? (look?.within(q) ?? null) : new Set()), [look, q]);
}

async function lookWithin() {
  const { heldCases, withWords } = await import('../find-cases.js');
  const held = await heldCases();
  return { within: (/** @type {string} */ q) => new Set(withWords(held, q).map(({ hit }) => hit.case)) };
}

let drawnBefore = ROWS; // coming back to the list must find it as long as it was

/** How many rows to draw, and the way to more. @returns {[number, () => void]} */
function useDrawn() {
  const [drawn, setDrawn] = useState(drawnBefore);
  return [drawn, () => setDrawn((drawnBefore = drawn + ROWS))];
}

/** The key below a long list; it need not be tapped, coming near it is enough. @param {{onWanted: () => void}} props */
function MoreCases({ onWanted }) {
  const key = useRef(/** @type {HTMLButtonElement | null} */ (null));
  useEffect(() => {
    const near = new IntersectionObserver(([seen]) => seen.isIntersecting && onWanted(), { rootMargin: '50%' });
    near.observe(/** @type {HTMLButtonElement} */ (key.current));
    return () => near.disconnect();
  });
  return html`<button type="button" class="key quiet wide" ref=${key} onClick=${onWanted}>More cases</button>`;
}

/** @param {{one: import('../../field/log.js').Summary, here: boolean}} props */
function Row({ one, here }) {
  const plate = one.plate !== one.title && one.plate;
  const thisYear = new Date(one.lastAt).getFullYear() === new Date().getFullYear();
  return html`<a class="case-row" href=${to('case', one.case)} aria-current=${here ? 'page' : undefined}>
    <span class="case-title">${one.title}</span>
    <span class=${`case-day ${thisYear ? '' : 'of-year'}`}>${daysAtHand.value && day(one.lastAt)}</span>
    <span class="case-second">
      ${plate && html`<span class="plate">${plate}</span>`}${one.customer && html`<span>${one.customer}</span>`}
      ${one.status === 'closed' && one.repaired === false && html`<strong>not repaired</strong>`}
    </span>
    ${one.unsynced > 0 && html`<span class="case-here"><${Icon} name="phone" />${one.unsynced} on this device</span>`}
  </a>`;
}

function NoCases() {
  return html`<div class="empty">
    <svg
      viewBox="0 0 120 60"
      aria-hidden="true"
      focusable="false"
    >
      <path d="M8 52h104M20 52V22l12-12h56l12 12v30M20 30h80M34 40a6 6 0 1 0 .1 0M56 40a6 6 0 1 0 .1 0M78 40a6 6 0 1 0 .1 0" />
    </svg>
    <p><strong>No case yet.</strong></p>
    <p class="soft">Open one beside the car: engine, complaint, and off you go. It works without a signal.</p>
  </div>`;
}
