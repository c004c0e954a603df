/** What each brand's parts came to, with the intervals that small numbers deserve. */
import { html } from '../html.js';
import { FiguresTable } from '../pieces/figures-table.js';
import { FromShop, useFromShop } from '../pieces/from-shop.js';
import { Screen } from '../pieces/screen.js';
import { to } from '../route.js';
import { phrase } from '../tongue.js';
import { partKind, percent } from '../words.js';

const COLUMNS = [
  phrase('Seen'),
  phrase('Fitted here'),
  phrase('Failed'),
  phrase('Share failed'),
  phrase('Months in service'),
  phrase('Failures in 100 months'),
];

export function Brands() {
  const asked = useFromShop('/api/shelf/counts');
  const counts = asked.found?.counts ?? [];
  return html`<${Screen} title="Counts by brand" back=${to('shelf')} class="desk">
    <p>
      Parts whose brand was recorded, from closed cases. A car comes because something failed, so compare brands with each other,
      not with the road. The range holds the true share 95 times in 100; while it is wide, the numbers are too small to tell.
    </p>
    <${FromShop} asked=${asked} what="The counts">
      ${!counts.length && html`<p class="soft">No closed case names a brand yet.</p>`}
      ${counts.length > 0 && html`<${FiguresTable} label="Counts by brand" first=${phrase('Part')} columns=${COLUMNS} rows=${counts.map(row)} />`}
    <//>
  <//>`;
}

/** @param {any} count  of a brand, as the shop answers */
function row({ kind, brand, part_number: number, seen, fitted, failed, share, months, aged, rate }) {
  return {
    key: `${kind} ${brand} ${number}`,
    of: html`${brand} ${number} <span class="soft">${partKind(kind).toLowerCase()}</span>`,
    figures: [
      String(seen),
      String(fitted),
      String(failed),
      phrase('{from} to {to}', { from: percent(share[0]), to: percent(share[1]) }),
      aged ? phrase('{months} ({aged} known)', { months: Math.round(months), aged }) : phrase('not known'),
      rate ? phrase('{from} to {to}', { from: rate[0].toFixed(1), to: rate[1].toFixed(1) }) : phrase('not known'),
    ],
  };
}
