/** Before work that costs money: the way to the estimate and to the owner's word, as long as nothing is agreed. */
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { to } from '../route.js';

/** @param {{id: string}} props */
export function BeforeWork({ id }) {
  const { entries, view } = openCase.value ?? {};
  if (!entries || !view) return null;
  const struck = new Set(view.timeline.filter((/** @type {any} */ row) => row.struck).map((/** @type {any} */ row) => row.id));
  const standing = entries.filter((entry) => !struck.has(entry.id));
  if (standing.some((entry) => entry.kind === 'agreed')) return null;
  const priced = standing.some((entry) => entry.kind === 'priced' && entry.body.stage === 'estimate');
  return priced
    ? html`<a class="key quiet" href=${to('case', id, 'agree')}>Estimate not agreed to yet</a>`
    : html`<a class="key quiet" href=${to('case', id, 'estimate')}>An estimate before the work</a>`;
}
