/** The story of a case, latest first: what was recorded, when, its photos; what was struck out stays legible. */
import { useState } from 'preact/hooks';
import { rowOf } from '../case-look.js';
import { kindOf } from '../declared.js';
import { html } from '../html.js';
import { to } from '../route.js';
import { phrase } from '../tongue.js';
import { moment } from '../words.js';
import { Icon } from './icon.js';
import { Thumbs } from './thumbs.js';
import { VoicePlayer } from './voice.js';

const AT_FIRST = 12;

/** @param {{open: import('../open-case.js').OpenCase}} props */
export function Story({ open }) {
  const [all, setAll] = useState(false);
  const hung = hungPhotos(open.view);
  const rows = (open.view?.timeline ?? plainRows(open.entries ?? [])).filter(
    (/** @type {any} */ row) => !hung.has(row.id),
  );
  if (!rows.length) return null;
  const known = new Set([...rows.map((/** @type {any} */ row) => row.id), ...hung]);
  // Entries that the core has not seen yet are shown all the same.
  const fresh = plainRows((open.entries ?? []).filter((entry) => !known.has(entry.id)));
  const putRight = new Set(rows.filter((/** @type {any} */ row) => row.instead).map((/** @type {any} */ row) => row.id));
  const latestFirst = [...rows, ...fresh].filter((row) => !row.instead && !putRight.has(struckIn(open, row))).reverse();
  const shown = all ? latestFirst : latestFirst.slice(0, AT_FIRST);
  return html`<section class="stack close" aria-label="Story">
    <h2>Story</h2>
    <ol class="story">
      ${shown.map((row) => html`<${Row} key=${row.id} row=${row} former=${formerOf(rows, row.id)} open=${open} />`)}
    </ol>
    ${
      latestFirst.length > AT_FIRST &&
      html`<button
        type="button"
        class="key quiet"
        aria-expanded=${all}
        onClick=${() => setAll(!all)}
      >${all ? phrase('Only the latest') : phrase('All {n}', { n: latestFirst.length })}</button>`
    }
  </section>`;
}

/** The entry that a strike is about. @param {import('../open-case.js').OpenCase} open @param {any} row */
function struckIn({ entries }, row) {
  return row.kind === 'struck' ? entries?.find((entry) => entry.id === row.id)?.body.entry : undefined;
}

/** The struck rows in whose place one stands, the latest first. @param {any[]} rows @param {string} id @returns {any[]} */
function formerOf(rows, id) {
  return rows.filter((row) => row.instead === id).flatMap((row) => [row, ...formerOf(rows, row.id)]);
}

/** @param {{row: any, former: any[], open: import('../open-case.js').OpenCase}} props */
function Row({ row, former, open }) {
  const here = open.onlyHere.has(row.id);
  const spoken = row.kind === 'recording' ? open.entries?.find((entry) => entry.id === row.id)?.body : undefined;
  const about = spoken?.of && open.view && rowOf(open.view, spoken.of);
  const strike = row.kind === 'struck' ? struckBy(open, row.id) : '';
  return html`<li class=${`story-row ${row.struck ? 'struck' : ''}`}>
    <a class="story-what" href=${to('case', open.id, 'entry', row.id)}>
      <span class="story-main">
        ${row.struck ? html`<s>${strike || row.text || row.label}</s> struck out` : strike ? html`<s>${strike}</s>` : row.text || row.label}
      </span>
      ${strike && html`<span class="story-kind">${phrase('Struck because: {why}', { why: row.text })}</span>`}
      ${
        !strike &&
        row.text &&
        row.kind !== 'check' &&
        row.text !== row.label &&
        html`<span class="story-kind">
        ${row.label}
      </span>`
      }
      ${about && html`<span class="story-kind">${phrase('On: {entry}', { entry: about.text || about.label })}</span>`}
      ${here && html`<span class="unseen">on this device only</span>`}
      ${row.note && html`<span class="hand">${row.note}</span>`}
      <${Icon} name="onward" />
    </a>
    <span class="story-when">${whenWords(row)}${here && html`<${Icon} name="phone" />`}</span>
    ${
      former.length > 0 &&
      html`<details class="more">
      <summary>Put right</summary>
      ${former.map((one) => html`<p key=${one.id} class="story-row struck"><a class="story-what" href=${to('case', open.id, 'entry', one.id)}><s>${one.text || one.label}</s></a></p>`)}
    </details>`
    }
    ${spoken && html`<${Spoken} body=${spoken} />`}
    <${Thumbs}
      caseId=${open.id}
      photos=${row.photos.map((/** @type {string} */ sha256) => ({ sha256, alt: phrase('Photo: {words}', { words: row.text }) }))}
    />
  </li>`;
}

/** What an entry strikes out, in its own words. @param {import('../open-case.js').OpenCase} open @param {string} strike  id of the entry */
function struckBy({ entries, view }, strike) {
  const of = entries?.find((entry) => entry.id === strike)?.body.entry;
  const row = of && view && rowOf(view, of);
  return row ? row.text || row.label : '';
}

/** @param {{body?: Record<string, any>}} props */
export function Spoken({ body }) {
  return body?.form === 'voice' && body.sha256 && html`<${VoicePlayer} sha256=${body.sha256} seconds=${body.seconds} />`;
}

/**
 * Photos that hang on another entry are shown there.
 * @param {import('../open-case.js').Told | null} view
 * @returns {Set<string>}
 */
function hungPhotos(view) {
  if (!view) return new Set();
  const entries = new Set(view.timeline.map((/** @type {any} */ row) => row.id));
  return new Set(
    view.photos
      .filter((/** @type {any} */ photo) => photo.of && entries.has(photo.of))
      .map((/** @type {any} */ photo) => photo.entry),
  );
}

/** @param {any} row */
export function whenWords(row) {
  if (row.when?.before_arrival) return phrase('before arrival');
  return moment(row.when?.ms ?? row.at);
}

/**
 * Entries in plain words of their kind, as long as the core has not told more.
 * @param {import('../../field/log.js').Entry[]} entries
 */
function plainRows(entries) {
  return entries.map((entry) => ({
    id: entry.id,
    kind: entry.kind,
    label: labelOf(entry.kind),
    text: '',
    note: entry.body.note ?? '',
    at: entry.at[0],
    when: entry.when,
    struck: false,
    photos: entry.kind === 'photo' ? [entry.body.sha256] : [],
  }));
}

/** @param {string} kind */
function labelOf(kind) {
  try {
    return kindOf(kind).label;
  } catch {
    return phrase('Recorded by a newer version');
  }
}
