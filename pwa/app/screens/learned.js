/** What the shop's closed cases taught: the usual number, what was counted here, and what is used for new cases. */
import { useEffect, useState } from 'preact/hooks';
import { html } from '../html.js';
import { Notice } from '../pieces/notice.js';
import { Screen } from '../pieces/screen.js';
import { to } from '../route.js';
import { learn } from '../shop-learned.js';
import { phrase } from '../tongue.js';
import { partKind, sentence } from '../words.js';

export function Learned() {
  const [told, setTold] = useState(/** @type {any} */ (null));
  const [attempt, setAttempt] = useState(0);
  useEffect(() => {
    let gone = false;
    void learn()
      .catch((trouble) => ({ error: { message: String(trouble) } }))
      .then((answer) => {
        if (!gone) setTold(answer);
      });
    return () => {
      gone = true;
    };
  }, [attempt]);
  return html`<${Screen} title="What closed cases taught" back=${to('settings')}>
    ${!told && html`<p class="soft" aria-busy="true">Counting the closed cases</p>`}
    ${
      told?.error &&
      html`<${Notice} tone="warn" title="Not to be had now">
      <p>${told.error.message}</p>
      <button type="button" class="key" onClick=${() => setAttempt(attempt + 1)}>Ask again</button>
    <//>`
    }
    ${told && !told.error && html`<${Tables} told=${told} />`}
  <//>`;
}

/** @param {{told: any}} props */
function Tables({ told }) {
  const { cases, priors, lives, table } = told;
  return html`
    <p>
      ${cases ? phrase('{n} closed case on this device.|{n} closed cases on this device.', { n: cases }) : phrase('No case is closed yet: the usual numbers hold.')}${' '}
      A case keeps the table it was opened with. A new one gets ${table.version === 'default' ? phrase('the usual numbers') : phrase('table {version}', { version: table.version })}.
    </p>
    <section class="stack close" aria-label="How often it is at fault">
      <h2>How often it is at fault</h2>
      <div class="wide-table" tabindex="0" role="group" aria-label="Table, scrolls sideways">
        <table class="sums">
          <thead><tr><th scope="col">Component</th><th scope="col">Usual</th><th scope="col">Counted</th><th scope="col">Used</th></tr></thead>
          <tbody>
            ${priors.map(
              (/** @type {any} */ row) => html`<tr key=${row.kind} class=${row.at_risk ? 'taught' : ''}>
              <th scope="row">${sentence(row.label)}</th>
              <td>${share(row.default)}</td><td>${row.at_risk ? phrase('{faults} of {at_risk}', { faults: row.faults, at_risk: row.at_risk }) : '–'}</td><td>${share(row.blend)}</td>
            </tr>`,
            )}
          </tbody>
        </table>
      </div>
    </section>
    <section class="stack close" aria-label="How long parts last">
      <h2>How long parts last</h2>
      <div class="wide-table" tabindex="0" role="group" aria-label="Table, scrolls sideways">
        <table class="sums">
          <thead><tr><th scope="col">Part</th><th scope="col">Usual</th><th scope="col">Counted</th><th scope="col">Used</th></tr></thead>
          <tbody>
            ${lives.map(
              (/** @type {any} */ row) => html`<tr key=${`${row.kind}/${row.origin}`} class=${row.parts ? 'taught' : ''}>
              <th scope="row">${partKind(row.kind)}, ${row.origin === 'other' ? phrase('not original') : phrase('original')}</th>
              <td>${half(row.default)}</td><td>${row.parts ? phrase('{failures} of {parts} failed', { failures: row.failures, parts: row.parts }) : '–'}</td><td>${half(row.blend)}</td>
            </tr>`,
            )}
          </tbody>
        </table>
      </div>
      <p class="soft">Months by which half of them have failed.</p>
    </section>
  `;
}

/** @param {number} p */
function share(p) {
  return `${(100 * p).toFixed(p < 0.01 ? 2 : 1)} %`;
}

/** Median of a Weibull law. @param {[number, number]} law  shape, scale in months */
function half([shape, scale]) {
  return Math.round(scale * Math.log(2) ** (1 / shape));
}
