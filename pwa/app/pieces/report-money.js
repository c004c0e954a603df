/** What the report says of money: so that it serves as the bill's attachment, and what was agreed beforehand. */
import { html } from '../html.js';
import { dayOnPaper } from '../words.js';
import { Picture } from './thumbs.js';

/** @param {{money: any, words: Record<string, string>}} props */
export function ReportMoney({ money, words }) {
  if (!money) return null;
  return html`<section class="report-money">
    <h3>${money.stage === 'bill' ? words.bill : words.estimate}</h3>
    <table>
      <thead>
        <tr><th scope="col">${words.item}</th><th scope="col">${words.quantity}</th><th scope="col">${words.each}</th><th scope="col">${words.amount}</th></tr>
      </thead>
      <tbody>
        ${money.lines.map(
          (/** @type {any} */ line, /** @type {number} */ at) => html`<tr key=${at}>
          <th scope="row">${line.text}</th><td>${line.quantity}</td><td>${line.price_text}</td><td>${line.amount_text}</td>
        </tr>`,
        )}
      </tbody>
      <tfoot>
        ${money.taxes.map(
          (/** @type {any} */ tax, /** @type {number} */ at) =>
            html`<tr key=${at}><th scope="row" colspan="3">${tax.label}, ${tax.rate} %</th><td>${tax.amount_text}</td></tr>`,
        )}
        <tr class="report-total"><th scope="row" colspan="3">${words.together}</th><td>${money.total_text}</td></tr>
      </tfoot>
    </table>
  </section>`;
}

/** @param {{agreed: any, words: Record<string, string>, language: string}} props */
export function ReportAgreed({ agreed, words, language }) {
  if (!agreed) return null;
  return html`<section>
    <h3>${words.agreed}</h3>
    <p>${agreed.text}, ${dayOnPaper(agreed.ms, language)}.</p>
    ${agreed.signature && html`<div class="report-signature"><${Picture} sha256=${agreed.signature} alt=${agreed.signed} large=${true} /></div>`}
  </section>`;
}
