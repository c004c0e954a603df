/** Read again after clearing: what returned, what is new, what stays away. */
import { html } from '../html.js';
import { phrase } from '../tongue.js';

/** @param {{before: any, codes: {code: string}[], complete: boolean}} props */
export function CodesCompared({ before, codes, complete }) {
  if (!before?.cleared || (!codes.length && !complete)) return null;
  const earlier = before.rows
    .filter((/** @type {any} */ row) => row.before_clear)
    .map((/** @type {any} */ row) => row.code);
  const now = codes.map((one) => one.code);
  const groups = [
    { words: phrase('Returned after clearing'), codes: now.filter((code) => earlier.includes(code)) },
    { words: phrase('New since clearing'), codes: now.filter((code) => !earlier.includes(code)) },
    {
      words: complete ? phrase('Stayed away') : phrase('Not in this list so far'),
      codes: earlier.filter((/** @type {string} */ code) => !now.includes(code)),
    },
  ];
  return html`<section class="stack close" aria-label="Against the reading before">
    <h2>Against before</h2>
    <dl class="details">
      ${groups.map(
        (group) =>
          group.codes.length > 0 &&
          html`<div key=${group.words}>
        <dt>${group.words}</dt><dd class="figures">${[...new Set(group.codes)].join(', ')}</dd>
      </div>`,
      )}
    </dl>
  </section>`;
}
