/** The story of a case, latest first: what was recorded, when, its photos; what was struck out stays legible. */
import { useState } from 'preact/hooks';
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
  const latestFirst = [...rows, ...fresh].reverse();
  const shown = all ? latestFirst : latestFirst.slice(0, AT_FIRST);
  return html`<section class="stack close" aria-label="Story">
    <h2>Story</h2>
    <ol class="story">
      ${shown.map((row) => html`<${Row} key=${row.id} row=${row} open=${open} />`)}
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

/** @param {{row: any, open: import('../open-case.js').OpenCase}} props */
function Row({ row, open }) {
  const here = open.onlyHere.has(row.id);
  return html`<li class=${`story-row ${row.struck ? 'struck' : ''}`}>
    <a class="story-what" href=${to('case', open.id, 'entry', row.id)}>
      <span class="story-main">
        ${row.struck ? html`<s>${row.text || row.label}</s> struck out` : row.text || row.label}
      </span>
      ${
        row.text &&
        row.kind !== 'check' &&
        row.text !== row.label &&
        html`<span class="story-kind">
        ${row.label}
      </span>`
      }
      ${here && html`<span class="unseen">on this phone only</span>`}
      ${row.note && html`<span class="hand">${row.note}</span>`}
    </a>
    <span class="story-when">${whenWords(row)}${here && html`<${Icon} name="phone" />`}</span>
    ${row.kind === 'recording' && html`<${Spoken} body=${open.entries?.find((entry) => entry.id === row.id)?.body} />`}
    <${Thumbs}
      caseId=${open.id}
      photos=${row.photos.map((/** @type {string} */ sha256) => ({ sha256, alt: phrase('Photo: {words}', { words: row.text }) }))}
    />
  </li>`;
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
