/** The report as a page for somebody without training, in the language that the core wrote it in. */
import { html } from '../html.js';
import { dayOnPaper } from '../words.js';
import { ReportCodes } from './report-codes.js';
import { ReportShake } from './report-shake.js';
import { ReportAgreed, ReportMoney } from './report-money.js';
import { Picture } from './thumbs.js';

/** @param {{report: any, language: string, shop: {name: string, phone: string} | null}} props */
export function ReportPage({ report, language, shop }) {
  const { words } = report;
  const dates = [report.opened_ms, report.closed_ms].filter(Boolean).map((ms) => dayOnPaper(ms, language));
  const days = [...new Set(dates)].join(` ${words.to} `);
  return html`<article class="report" lang=${language}>
    <header class="report-head">
      <div>
        <h2 class="report-title">${report.title}</h2>
        <p>${report.open ? `${days}, ${words.open}` : days}</p>
      </div>
      ${shop && html`<p class="report-shop"><strong>${shop.name}</strong><br />${shop.phone}</p>`}
    </header>
    <${Table} rows=${[...(report.vehicle ?? []), ...(report.customer ?? [])]} />
    ${
      report.standing?.length > 0 &&
      html`<section class="report-cause">
      <h3>
        ${words.standing}
      </h3>${report.standing.map((/** @type {string} */ text) => html`<p key=${text}><strong>${text}</strong></p>`)}
    </section>`
    }
    ${report.complaint && html`<section><h3>${words.noticed}</h3><p>${report.complaint}</p></section>`}
    ${
      report.cause?.text &&
      html`<section class="report-cause">
      <h3>
        ${report.cause.heading || words.wrong}
      </h3><p><strong>${report.cause.text}</strong></p>${[report.cause.plain, report.cause.sure].filter(Boolean).map((text) => html`<p key=${text}>${text}</p>`)}
    </section>`
    }
    <div class="report-columns">
    <${Items} title=${words.found} items=${report.found} words=${words} />
    <${Items} title=${words.done} items=${report.done} words=${words} />
    <${ReportShake} shake=${report.shake} words=${words} />
    ${
      report.proof?.length > 0 &&
      html`<section>
      <h3>
        ${words.holds}
      </h3><ul>${report.proof.map((/** @type {string} */ text) => html`<li key=${text}>${text}</li>`)}</ul>
    </section>`
    }
    <${ReportCodes} codes=${report.codes} words=${words} />
    ${
      report.left?.length > 0 &&
      html`<section>
        <h3>${words.left}</h3>
        <ul>${report.left.map((/** @type {any} */ one) => html`<${Left} key=${`${one.code}${one.text}`} ...${one} />`)}</ul>
      </section>`
    }
    ${report.advice && html`<section><h3>${words.advice}</h3><p>${report.advice}</p></section>`}
    ${
      report.cautions?.length > 0 &&
      html`<section>
        <h3>${words.watch}</h3><ul>${report.cautions.map((/** @type {string} */ text) => html`<li key=${text}>${text}</li>`)}</ul>
      </section>`
    }
    ${
      report.before?.length > 0 &&
      html`<section>
      <h3>${words.before}</h3><${Pictures} photos=${report.before} kind=${words.photo} words=${words.damage} />
    </section>`
    }
    <${ReportAgreed} agreed=${report.agreed} words=${words} language=${language} />
    </div>
    <${ReportMoney} money=${report.money} words=${words} />
    ${shop?.phone && html`<footer class="report-call">${words.questions}: <strong>${shop.name}, <span class="report-phone">${shop.phone}</span></strong></footer>`}
  </article>`;
}

/** @param {{rows: [string, string][]}} props */
export function Table({ rows }) {
  if (!rows.length) return null;
  return html`<dl class="report-table">
    ${rows.map(([label, text]) => html`<div key=${label}><dt>${label}</dt><dd>${text}</dd></div>`)}
  </dl>`;
}

/** @param {{title: string, items: {text: string, photos?: string[]}[], words: Record<string, string>}} props */
export function Items({ title, items, words }) {
  if (!items?.length) return null;
  return html`<section>
    <h3>${title}</h3>
    <ul class="report-items">
      ${items.map(
        (item) => html`<li key=${item.text}>
        <p>${item.text}</p><${Pictures} photos=${item.photos ?? []} kind=${words.photo} words=${item.text} />
      </li>`,
      )}
    </ul>
  </section>`;
}

/** @param {{photos: string[], kind: string, words: string}} props  kind: what a photo is called */
export function Pictures({ photos, kind, words }) {
  if (!photos.length) return null;
  return html`<div class="report-photos">
    ${photos.map(
      (sha256, index) => html`<${Picture}
      key=${sha256}
      sha256=${sha256}
      alt=${`${photos.length > 1 ? `${kind} ${index + 1}` : kind}: ${words}`}
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
