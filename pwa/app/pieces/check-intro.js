/** How a check is made, before the first finding, and what to beware of, above everything else. */
import { html } from '../html.js';
import { to } from '../route.js';
import { FindingSketch } from '../sketches.js';
import { canReadCodes } from '../tools-here.js';
import { Notice } from './notice.js';

/**
 * @param {{check: import('../declared.js').Check, way?: string, again?: boolean}} props
 *   `way`: how the cylinder is disabled; `again`: it has been read on the cylinder before
 */
export function Caution({ check, way, again = false }) {
  const caution = cautionOf(check, way);
  if (!caution) return null;
  if (!again) return html`<${Notice} tone="warn">${caution}<//>`;
  return html`<details class="more"><summary>What to beware of</summary><${Notice} tone="warn">${caution}<//></details>`;
}

/** What to beware of in the way that was chosen; where none was, of all. @param {import('../declared.js').Check} check @param {string} [way] */
export function cautionOf(check, way) {
  return check.ways.find((one) => one.value === way)?.caution ?? check.caution;
}

/**
 * A drop test sets codes of its own: those there are get read first, where there is something to read them with.
 * @param {{id: string, entries: import('../../field/log.js').Entry[]}} props
 */
export function CodesFirst({ id, entries }) {
  if (entries.some((entry) => entry.kind === 'codes_read') || !canReadCodes(id)) return null;
  return html`<${Notice} tone="trouble" icon="codes" title="Read and keep the codes first">
    <p>This test sets codes of its own. None are recorded in this case yet.</p>
    <a class="key" href=${to('case', id, 'codes')}>To the codes</a>
  <//>`;
}

/** @param {{check: import('../declared.js').Check, again?: boolean}} props  `again`: it has been read on the cylinder before */
export function CheckIntro({ check, again = false }) {
  const how = html`
    ${check.needs && html`<p>Needs: ${check.needs}.</p>`}
    <ol class="how">${check.how.map((line) => html`<li key=${line}>${line}</li>`)}</ol>
  `;
  return html`<div class="stack close">
    ${again ? html`<details class="more"><summary>How it is made</summary><div class="stack close">${how}</div></details>` : how}
    <details class="more">
      <summary>What each finding means</summary>
      <dl class="details">
        ${check.findings.map(
          (one) => html`<div key=${one.value}><dt><${FindingSketch} check=${check.key} finding=${one.value} />${one.label}</dt><dd>${one.means}</dd></div>`,
        )}
      </dl>
    </details>
  </div>`;
}
