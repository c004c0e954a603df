/** What the shop's closed cases taught: the usual number, what was counted here, and what is used for new cases. */
import { useEffect, useState } from 'preact/hooks';
import { html } from '../html.js';
import { FiguresTable } from '../pieces/figures-table.js';
import { Notice } from '../pieces/notice.js';
import { Screen } from '../pieces/screen.js';
import { to } from '../route.js';
import { learn } from '../shop-learned.js';
import { phrase } from '../tongue.js';
import { partKind, sentence } from '../words.js';

const COLUMNS = [phrase('Usual'), phrase('Counted'), phrase('Used ((figure))')];

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
      <${FiguresTable}
        label="How often it is at fault"
        first=${phrase('Component')}
        columns=${COLUMNS}
        rows=${priors.map((/** @type {any} */ row) => ({
          key: row.kind,
          of: sentence(row.label),
          figures: [share(row.default), row.at_risk ? phrase('{faults} of {at_risk}', { faults: row.faults, at_risk: row.at_risk }) : '–', share(row.blend)],
          marked: row.at_risk > 0,
        }))}
      />
    </section>
    <section class="stack close" aria-label="How long parts last">
      <h2>How long parts last</h2>
      <${FiguresTable}
        label="How long parts last"
        first=${phrase('Part')}
        columns=${COLUMNS}
        rows=${lives.map((/** @type {any} */ row) => ({
          key: `${row.kind}/${row.origin}`,
          of: `${partKind(row.kind)}, ${row.origin === 'other' ? phrase('not original') : phrase('original')}`,
          figures: [half(row.default), row.parts ? phrase('{failures} of {parts} failed', { failures: row.failures, parts: row.parts }) : '–', half(row.blend)],
          marked: row.parts > 0,
        }))}
      />
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
  return String(Math.round(scale * Math.log(2) ** (1 / shape)));
}
