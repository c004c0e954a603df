/** How far to trust the verdict: asked on demand, since every group of the tables' numbers is tried. */
import { useEffect, useState } from 'preact/hooks';
import { ask } from '../../field/core.js';
import { html } from '../html.js';
import { phrase } from '../tongue.js';

/** @param {{open: import('../open-case.js').OpenCase}} props */
export function Trust({ open }) {
  const [answer, setAnswer] = useState(/** @type {any} */ (null));
  const [asking, setAsking] = useState(false);
  useEffect(() => {
    setAnswer(null);
    setAsking(false);
  }, [open.entries]);
  if (!open.diagnosis?.explanations?.length) return null;
  const find = async () => {
    setAsking(true);
    const told = await ask('trust', { entries: open.entries }, { topic: 'trust', priority: -1 });
    setAsking(false);
    if (told?.error?.code !== 'superseded') setAnswer(told ?? { text: phrase('There is nothing to judge yet.') });
  };
  return html`<section class="stack close" aria-label="How far to trust it">
    <h2>How far to trust it</h2>
    ${
      answer
        ? html`<p class="trust">${answer.error ? answer.error.message : answer.text}</p><${Tried} rows=${answer.rows ?? []} />`
        : html`<button type="button" class="key" disabled=${asking} onClick=${find}>
          ${asking ? phrase('Trying every number') : phrase('How far to trust this')}
        </button>`
    }
  </section>`;
}

/** What each group of numbers does to the verdict, in the core's order. @param {{rows: any[]}} props */
function Tried({ rows }) {
  if (!rows.length) return null;
  return html`<details class="more">
    <summary>Each group of numbers, halved and doubled</summary>
    <table class="sums">
      <thead>
        <tr><th scope="col">Numbers</th><th scope="col">Halved</th><th scope="col">Doubled</th><th scope="col">Then leads</th></tr>
      </thead>
      <tbody>
        ${rows.map(
          (row) => html`<tr key=${row.group}>
          <th scope="row">${row.label}</th><td>${signed(row.halved)}</td><td>${signed(row.doubled)}</td>
          <td>${row.holds ? phrase('the same') : (row.becomes ?? phrase('another'))}</td>
        </tr>`,
        )}
      </tbody>
    </table>
    <p class="soft">How far the verdict stays ahead of its best rival, in decibans.</p>
  </details>`;
}

/** @param {number} decibans */
function signed(decibans) {
  return `${decibans < 0 ? '−' : ''}${Math.abs(decibans).toFixed(1)}`;
}
