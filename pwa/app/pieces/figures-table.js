/** A table of figures that fits a phone too: there each row is a card, its figures under their own headings. */
import { html } from '../html.js';

/**
 * @param {object} props
 * @param {string} props.label  for who does not see it
 * @param {string} props.first  heading of what the rows are of
 * @param {string[]} props.columns  headings of the figures
 * @param {{key: string, of: any, figures: string[], marked?: boolean}[]} props.rows
 */
export function FiguresTable({ label, first, columns, rows }) {
  // A phone draws its rows as cards, which without roles would be no table any more.
  return html`<table class="figures-table" role="table" aria-label=${label}>
    <thead role="rowgroup">
      <tr role="row">
        ${[first, ...columns].map((words) => html`<th key=${words} scope="col" role="columnheader">${words}</th>`)}
      </tr>
    </thead>
    <tbody role="rowgroup">
      ${rows.map(
        ({ key, of, figures, marked }) => html`<tr key=${key} role="row" class=${marked ? 'counted-here' : ''}>
        <th scope="row" role="rowheader">${of}</th>
        ${figures.map((figure, at) => html`<td key=${columns[at]} role="cell"><span class="figures-of">${columns[at]}</span> ${figure}</td>`)}
      </tr>`,
      )}
    </tbody>
  </table>`;
}
