/** What each brand's parts came to, with the intervals that small numbers deserve. */
import { html } from '../html.js';
import { FromShop, useFromShop } from '../pieces/from-shop.js';
import { Screen } from '../pieces/screen.js';
import { to } from '../route.js';
import { phrase } from '../tongue.js';
import { partKind, percent } from '../words.js';

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
      ${
        counts.length > 0 &&
        html`<div class="table-frame" tabindex="0" role="region" aria-label="Counts by brand">
          <table class="counts">
            <thead>
              <tr><th>Part</th><th>Seen</th><th>Fitted here</th><th>Failed</th><th>Share failed</th><th>Months in service</th><th>Failures in 100 months</th></tr>
            </thead>
            <tbody>
              ${counts.map(
                (/** @type {any} */ row) => html`<tr key=${`${row.kind} ${row.brand} ${row.part_number}`}>
                  <th scope="row">${row.brand} ${row.part_number}<span class="soft"> ${partKind(row.kind).toLowerCase()}</span></th>
                  <td>${row.seen}</td>
                  <td>${row.fitted}</td>
                  <td>${row.failed}</td>
                  <td>${percent(row.share[0])} to ${percent(row.share[1])}</td>
                  <td>${row.aged ? phrase('{months} ({aged} known)', { months: Math.round(row.months), aged: row.aged }) : phrase('not known')}</td>
                  <td>${row.rate ? phrase('{from} to {to}', { from: row.rate[0].toFixed(1), to: row.rate[1].toFixed(1) }) : phrase('not known')}</td>
                </tr>`,
              )}
            </tbody>
          </table>
        </div>`
      }
    <//>
  <//>`;
}
