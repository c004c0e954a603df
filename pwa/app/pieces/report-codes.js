/** Fault codes as they were before the repair and are now. */
import { html } from '../html.js';

/** @param {{codes: undefined | {code: string, text: string, before: string, now: string}[], words: Record<string, string>}} props */
export function ReportCodes({ codes, words }) {
  if (!codes?.length) return null;
  const after = codes.some((row) => row.now);
  return html`<section class="report-codes">
    <h3>${words.codes}</h3>
    <table>
      ${
        after &&
        html`<thead>
        <tr><th scope="col">${words.code}</th><th scope="col">${words.code_before}</th><th scope="col">${words.code_now}</th></tr>
      </thead>`
      }
      <tbody>
        ${codes.map(
          (row) => html`<tr key=${row.code}>
          <th scope="row"><span class="figures">${row.code}</span> ${row.text}</th>${after && html`<td data-when=${words.code_before}>${row.before}</td><td data-when=${words.code_now}>${row.now}</td>`}
        </tr>`,
        )}
      </tbody>
    </table>
  </section>`;
}
