/** How a check is made, before the first finding, and what to beware of, above everything else. */
import { html } from '../html.js';
import { to } from '../route.js';
import { FindingSketch } from '../sketches.js';
import { Notice } from './notice.js';

/** @param {{check: import('../declared.js').Check, again?: boolean}} props  `again`: it has been read on the cylinder before */
export function Caution({ check, again = false }) {
  if (!check.caution) return null;
  if (!again) return html`<${Notice} tone="warn">${check.caution}<//>`;
  return html`<details class="more"><summary>What to beware of</summary><${Notice} tone="warn">${check.caution}<//></details>`;
}

/** @param {{id: string, check: import('../declared.js').Check, entries: import('../../field/log.js').Entry[]}} props */
export function CheckIntro({ id, check, entries }) {
  const setsCodes = check.key === 'drop';
  const read = entries.some((entry) => entry.kind === 'codes_read');
  return html`<div class="stack close">
    ${
      setsCodes &&
      !read &&
      html`<${Notice} tone="trouble" icon="codes" title="Read and keep the codes first">
      <p>This test sets codes of its own. None are recorded in this case yet.</p>
      <a class="key" href=${to('case', id, 'codes')}>To the codes</a>
    <//>`
    }
    ${check.needs && html`<p>Needs: ${check.needs}.</p>`}
    <ol class="how">${check.how.map((line) => html`<li key=${line}>${line}</li>`)}</ol>
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
