/** The report as a page for somebody without training. */
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { dayOfYear } from '../words.js';
import { ReportShake } from './report-shake.js';
import { ReportAgreed, ReportMoney } from './report-money.js';
import { Picture } from './thumbs.js';

/** @param {{report: any, shop: {name: string, phone: string} | null, caseId: string}} props */
export function ReportPage({ report, shop }) {
  const dates = [
    report.opened_ms && dayOfYear(report.opened_ms),
    report.closed_ms && dayOfYear(report.closed_ms),
  ].filter(Boolean);
  const days = dates.length > 1 && dates[0] !== dates[1] ? phrase('{from} to {to}', { from: dates[0], to: dates[1] }) : dates[0];
  return html`<article class="report" lang="en">
    <header class="report-head">
      <div>
        <h2 class="report-title">${report.title}</h2>
        <p>${report.open ? phrase('{days}, work in progress', { days }) : days}</p>
      </div>
      ${shop && html`<p class="report-shop"><strong>${shop.name}</strong><br />${shop.phone}</p>`}
    </header>
    <${Table} rows=${[...(report.vehicle ?? []), ...(report.customer ?? [])]} />
    ${report.complaint && html`<section><h3>What was noticed</h3><p>${report.complaint}</p></section>`}
    ${
      report.cause?.text &&
      html`<section class="report-cause">
      <h3>
        What was wrong
      </h3><p><strong>${report.cause.text}</strong></p>${report.cause.sure && html`<p>${report.cause.sure}</p>`}
    </section>`
    }
    <${Items} title="How it was found" items=${report.found} />
    <${Items} title="What was done" items=${report.done} />
    <${ReportShake} shake=${report.shake} />
    ${
      report.proof?.length > 0 &&
      html`<section>
      <h3>
        How we know it holds
      </h3><ul>${report.proof.map((/** @type {string} */ text) => html`<li key=${text}>${text}</li>`)}</ul>
    </section>`
    }
    ${
      report.left?.length > 0 &&
      html`<section>
        <h3>Left for later</h3>
        <ul>${report.left.map((/** @type {any} */ one) => html`<${Left} key=${`${one.code}${one.text}`} ...${one} />`)}</ul>
      </section>`
    }
    ${report.advice && html`<section><h3>Advice</h3><p>${report.advice}</p></section>`}
    ${
      report.before?.length > 0 &&
      html`<section>
      <h3>Already there before the work</h3><${Pictures} photos=${report.before} words="Damage that was there before" />
    </section>`
    }
    <${ReportMoney} money=${report.money} />
    <${ReportAgreed} agreed=${report.agreed} />
    ${
      report.cautions?.length > 0 &&
      html`<footer class="report-cautions">
      ${report.cautions.map((/** @type {string} */ text) => html`<p key=${text}>${text}</p>`)}
    </footer>`
    }
  </article>`;
}

/** @param {{rows: [string, string][]}} props */
export function Table({ rows }) {
  if (!rows.length) return null;
  return html`<dl class="report-table">
    ${rows.map(([label, text]) => html`<div key=${label}><dt>${label}</dt><dd>${text}</dd></div>`)}
  </dl>`;
}

/** @param {{title: string, items: {text: string, photos?: string[]}[]}} props */
export function Items({ title, items }) {
  if (!items?.length) return null;
  return html`<section>
    <h3>${title}</h3>
    <ul class="report-items">
      ${items.map(
        (item) => html`<li key=${item.text}>
        <p>${item.text}</p><${Pictures} photos=${item.photos ?? []} words=${item.text} />
      </li>`,
      )}
    </ul>
  </section>`;
}

/** @param {{photos: string[], words: string}} props */
export function Pictures({ photos, words }) {
  if (!photos.length) return null;
  return html`<div class="report-photos">
    ${photos.map(
      (sha256, index) => html`<${Picture}
      key=${sha256}
      sha256=${sha256}
      alt=${photos.length > 1 ? phrase('Photo {n}: {words}', { n: index + 1, words }) : phrase('Photo: {words}', { words })}
      large=${true}
    />`,
    )}
  </div>`;
}

/** @param {{code?: string, text: string, why?: string}} props */
function Left({ code, text, why }) {
  return html`<li>
    ${code && html`<span class="figures">${code}</span> `}${text}${why && html` <span class="report-why">${why}</span>`}
  </li>`;
}
