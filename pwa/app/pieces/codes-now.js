/** The codes of a case as last read, and what each has to do with the miss. */
import { labelOf } from '../declared.js';
import { html } from '../html.js';
import { phrase } from '../tongue.js';

const BEARINGS = /** @type {Record<string, string>} */ ({
  bears: phrase('bears on the miss'),
  mimics: phrase('can feel like a miss'),
  apart: phrase('stands apart, for later'),
});

/** What a code has to do with the miss, and why. @param {{bearing: string, reason?: string}} told */
export function bearingWords({ bearing, reason }) {
  return [BEARINGS[bearing], reason].filter(Boolean).join(': ');
}

/** @param {{codes: any}} props */
export function CodesNow({ codes }) {
  if (!codes?.rows?.length) return null;
  return html`<section class="stack close" aria-label="Codes">
    <h2>Codes</h2>
    <ul class="ruled">
      ${codes.rows.map(
        (/** @type {any} */ row) => html`<li key=${row.code}>
        <${CodeRow} row=${row} cleared=${codes.cleared} readSince=${codes.read_since_clear} />
      </li>`,
      )}
    </ul>
  </section>`;
}

/** @param {{row: any, cleared?: boolean, readSince?: boolean}} props */
export function CodeRow({ row, cleared, readSince }) {
  const fate = fateOf(row, cleared, readSince);
  return html`<div class="code-row">
    <span class="code figures">${row.code}</span>
    <span class="code-status">${labelOf('codes_read', 'codes.status', row.status)}${fate ? `, ${fate}` : ''}</span>
    <span class="code-text">${row.text}</span>
    <span class="code-bearing hand">${bearingWords(row)}</span>
  </div>`;
}

/** What became of a code since it was read. @param {any} row @param {boolean} [cleared] @param {boolean} [readSince] */
function fateOf(row, cleared, readSince) {
  if (!cleared) return row.absent ? phrase('not in the last reading') : '';
  if (!row.since_clear) return readSince ? phrase('stayed away') : phrase('before clearing');
  if (row.absent) return phrase('not in the last reading');
  return row.before_clear ? phrase('returned after clearing') : phrase('new since clearing');
}
