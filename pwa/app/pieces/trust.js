/** How far to trust the verdict: asked on demand, since every group of the tables' figures is tried. */
import { useEffect, useState } from 'preact/hooks';
import { ask } from '../../field/core.js';
import { html } from '../html.js';
import { phrase } from '../tongue.js';

const WORTH_SHOWING = 1; // decibans by which a figure moves the verdict; under it nothing is to be seen

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
          ${asking ? phrase('Trying every figure') : phrase('How far to trust this')}
        </button>`
    }
  </section>`;
}

/** What becomes of the verdict where one of our figures is wrong, in the core's order. @param {{rows: any[]}} props */
function Tried({ rows }) {
  const telling = rows.filter(({ holds, moves }) => !holds || moves >= WORTH_SHOWING);
  if (!telling.length) return null;
  const others = rows.length - telling.length;
  return html`<details class="more">
    <summary>If one of our figures is wrong</summary>
    <table class="sums tried">
      <thead>
        <tr><th scope="col">Our figure for</th><th scope="col">Twice too high</th><th scope="col">Twice too low</th></tr>
      </thead>
      <tbody>
        ${telling.map(
          (row) => html`<tr key=${row.group} class=${row.holds ? '' : 'advised'}>
          <th scope="row">${row.label}</th>
          <${Left} words=${row.halved_words} odds=${row.halved_odds} />
          <${Left} words=${row.doubled_words} odds=${row.doubled_odds} />
        </tr>`,
        )}
      </tbody>
    </table>
    <p class="soft">What the verdict keeps of its lead over the next best, in words and as odds.</p>
    ${
      others > 0 &&
      html`<p class="soft">${phrase('{n} other figure changes next to nothing.|{n} other figures change next to nothing.', { n: others })}</p>`
    }
  </details>`;
}

/** @param {{words: string, odds: string}} props */
function Left({ words, odds }) {
  return html`<td>${words}<br /><span class="soft">${odds}</span></td>`;
}
