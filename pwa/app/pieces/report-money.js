/** What the report says of money: so that it serves as the bill's attachment, and what was agreed beforehand. */
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { dayOfYear } from '../words.js';
import { Picture } from './thumbs.js';

/** @param {{money: any}} props */
export function ReportMoney({ money }) {
  if (!money) return null;
  return html`<section class="report-money">
    <h3>${money.stage === 'bill' ? phrase('What it costs') : phrase('What it is expected to cost')}</h3>
    <table>
      <thead>
        <tr><th scope="col">For</th><th scope="col">Quantity</th><th scope="col">Each</th><th scope="col">Amount</th></tr>
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
        <tr class="report-total"><th scope="row" colspan="3">Together</th><td>${money.total_text}</td></tr>
      </tfoot>
    </table>
  </section>`;
}

/** @param {{agreed: any}} props */
export function ReportAgreed({ agreed }) {
  if (!agreed) return null;
  const { name, how } = agreed;
  const what = agreed.limit_text ? phrase('{what}, up to {limit}', { what: agreed.what, limit: agreed.limit_text }) : agreed.what;
  return html`<section>
    <h3>Agreed beforehand</h3>
    <p>${what}; ${name ? phrase('{how} by {name}', { how, name }) : how}, ${dayOfYear(agreed.ms)}.</p>
    ${agreed.signature && html`<div class="report-signature"><${Picture} sha256=${agreed.signature} alt=${name ? phrase('Signature of {name}', { name }) : phrase('Signature')} large=${true} /></div>`}
  </section>`;
}
