/** How a check is made and what to beware of, before the first finding. */
import { html } from '../html.js';
import { to } from '../route.js';
import { FindingSketch } from '../sketches.js';
import { Notice } from './notice.js';

/** @param {{id: string, check: import('../declared.js').Check, entries: import('../../field/log.js').Entry[]}} props */
export function CheckIntro({ id, check, entries }) {
  const setsCodes = check.key === 'drop';
  const read = entries.some((entry) => entry.kind === 'codes_read');
  return html`<div class="stack close">
    ${check.caution && html`<${Notice} tone="warn">${check.caution}<//>`}
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
