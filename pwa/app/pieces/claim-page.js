/** A part's warranty claim as a page for whoever sold it. */
import { html } from '../html.js';
import { language, phrase } from '../tongue.js';
import { dateWords, dayOfYear, sentence } from '../words.js';
import { Items, Pictures, Table } from './report-page.js';

/** @param {{claim: any, shop: {name: string, phone: string} | null}} props */
export function ClaimPage({ claim, shop }) {
  const { fitted, removed, fate } = claim;
  const dates = [
    [phrase('Fitted'), fittedWords(fitted)],
    [phrase('Odometer when fitted'), fitted.odometer],
    [phrase('Removed'), removed ? (removed.ms ? dayOfYear(removed.ms) : phrase('before it came to us')) : phrase('still on the engine')],
    [phrase('Odometer when removed'), removed?.odometer],
  ].filter(([, text]) => text);
  return html`<article class="report" lang=${language}>
    <header class="report-head">
      <div><p class="report-sort">Warranty claim</p><h2 class="report-title">${claim.title}</h2></div>
      ${shop && html`<p class="report-shop"><strong>${shop.name}</strong><br />${shop.phone}</p>`}
    </header>
    <${Table} rows=${[...claim.part, ...dates, ...claim.vehicle]} />
    ${claim.cause && html`<section class="report-cause"><h3>Confirmed cause</h3><p><strong>${claim.cause}</strong></p></section>`}
    <section>
      <h3>Where it sat</h3>
      <ol class="report-trail">
        ${claim.trail.map(
          (/** @type {any} */ stop, /** @type {number} */ at) =>
            html`<li key=${at}>${sentence(stop.text)}${stop.ms ? html` <span class="report-day">${dayOfYear(stop.ms)}</span>` : ''}</li>`,
        )}
      </ol>
    </section>
    <${Items}
      words=${{ photo: phrase('Photo') }}
      title="What was found on it"
      items=${claim.found.map((/** @type {any} */ row) => ({ ...row, text: row.ms ? `${row.text} (${dayOfYear(row.ms)})` : row.text }))}
    />
    ${claim.photos.length > 0 && html`<section><h3>The part</h3><${Pictures} photos=${claim.photos} kind=${phrase('Photo')} words="The part" /></section>`}
    ${
      fate &&
      html`<section>
      <h3>Now</h3>
      <p>${[fate.text, fate.bench && phrase('bench: {found}', { found: fate.bench.toLowerCase() }), fate.deadline && phrase('to be returned by {day}', { day: dateWords(fate.deadline) })].filter(Boolean).join(', ')}</p>
      ${fate.note && html`<p>${fate.note}</p>`}
    </section>`
    }
    <footer class="report-cautions report-sign"><p>Date and signature of the shop</p></footer>
  </article>`;
}

/** @param {any} fitted */
function fittedWords({ ms, date, age_months: months }) {
  if (ms) return dayOfYear(ms);
  if (date) return dateWords(date);
  return months === null ? '' : phrase('about {n} month before|about {n} months before', { n: months });
}
