/** The sums of an estimate or a bill, as the core works them out. */
import { useEffect, useState } from 'preact/hooks';
import { ask } from '../../field/core.js';
import { html } from '../html.js';
import { Notice } from './notice.js';

/**
 * The core's `totals` of a body, held against what the owner of the case agreed to; the last told while a newer is awaited.
 * @param {import('../../field/log.js').Entry[]} entries
 * @param {Record<string, any> | null} priced
 */
export function useTotals(entries, priced) {
  const [told, setTold] = useState(/** @type {any} */ (null));
  const asked = priced && JSON.stringify(priced);
  useEffect(() => {
    if (!asked) return;
    let gone = false;
    void ask('totals', { entries, priced: JSON.parse(asked) }, { topic: 'totals', priority: 3 }).then((answer) => {
      if (!gone && answer.error?.code !== 'superseded') setTold(answer.error ? null : answer);
    });
    return () => {
      gone = true;
    };
  }, [entries, asked]);
  return told;
}

/** @param {{totals: any}} props */
export function Sums({ totals }) {
  if (!totals?.lines.length) return null;
  return html`<section class="stack close" aria-label="Sums">
    <h2>Sums</h2>
    <table class="sums">
      <tbody>
        ${totals.lines.map(
          (/** @type {any} */ line, /** @type {number} */ at) =>
            html`<tr key=${at}><th scope="row">${line.text}</th><td>${line.amount_text}</td></tr>`,
        )}
        ${totals.taxes.map(
          (/** @type {any} */ tax, /** @type {number} */ at) =>
            html`<tr key=${`tax ${at}`}><th scope="row">${tax.label}, ${tax.rate} %</th><td>${tax.amount_text}</td></tr>`,
        )}
        <tr class="advised"><th scope="row">Total</th><td>${totals.total_text}</td></tr>
      </tbody>
    </table>
    ${totals.warning && html`<${Notice} tone="warn" title="Look at this first"><p>${totals.warning}</p><//>`}
  </section>`;
}
