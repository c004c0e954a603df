/** What the advice on a case does without: tools that are not in the van, or not to be had today. */
import { html } from '../html.js';
import { thinkAgain } from '../open-case.js';
import { to } from '../route.js';
import { allToday, awayToday, missingFor } from '../tools-here.js';
import { phrase } from '../tongue.js';

/** @param {{id: string}} props */
export function MissingTools({ id }) {
  const missing = missingFor(id);
  if (!missing.length) return null;
  const n = missing.length;
  const words = n > 3 ? phrase('{n} tool|{n} tools', { n }) : missing.map(({ label }) => label.toLowerCase()).join(', ');
  const come = () => {
    allToday(id);
    thinkAgain();
  };
  return html`<p class="missing-tools">
    <span>${phrase('Without {tools}.', { tools: words })}</span>
    <a href=${to('van')}>Your tools</a>
    ${awayToday(id).length > 0 && html`<button type="button" class="key quiet" onClick=${come}>All here today after all</button>`}
  </p>`;
}
