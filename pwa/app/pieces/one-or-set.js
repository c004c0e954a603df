/** One part or the whole set, with the sums behind the advice. */
import { html } from '../html.js';
import { terms } from '../shop-terms.js';
import { phrase } from '../tongue.js';

/** @param {{replacement: any}} props */
export function OneOrSet({ replacement }) {
  if (!replacement) return null;
  const rows = [
    { name: phrase('Only what failed'), sums: replacement.one, advised: replacement.advice === 'one' },
    { name: phrase('The whole set'), sums: replacement.set, advised: replacement.advice === 'set' },
  ];
  return html`<section class="stack close" aria-label="One or the set">
    <h2>One or the set</h2>
    <p>${replacement.text}</p>
    <table class="sums">
      <thead>
        <tr><th scope="col">In ${replacement.unit === 'minutes' ? phrase('minutes') : (terms.value?.currency ?? phrase('money'))}</th><th scope="col">Now</th><th scope="col">Later</th><th scope="col">Sum</th></tr>
      </thead>
      <tbody>
        ${rows.map(
          ({ name, sums, advised }) => html`<tr key=${name} class=${advised ? 'advised' : ''}>
          <th scope="row">${name}</th>
          ${[sums.shown.now, sums.shown.later, sums.shown.total].map((sum, at) => html`<td key=${at}>${sum}</td>`)}
        </tr>`,
        )}
      </tbody>
    </table>
    <p class="soft">Later: the visits to expect in ${replacement.horizon_months} months and what a breakdown costs the owner, ${replacement.unit === 'minutes' ? phrase('money put in minutes') : phrase('at the shop’s rate')}.</p>
  </section>`;
}
