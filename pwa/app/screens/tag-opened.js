/** A tag's address was opened: on to the part. */
import { useEffect, useState } from 'preact/hooks';
import { ask } from '../../field/core.js';
import { caseListing } from '../case-list.js';
import { findTag } from '../find-tag.js';
import { html } from '../html.js';
import { latestCase } from '../open-case.js';
import { Screen } from '../pieces/screen.js';
import { goInstead, to } from '../route.js';
import { tagWords, UNCHOSEN } from '../tag-words.js';
import { phrase } from '../tongue.js';

/** @param {{parts: string[]}} props */
export function TagOpened({ parts }) {
  const [told, setTold] = useState(/** @type {{code?: string, message: string} | null} */ (null));
  useEffect(() => {
    void lead(parts[0] ?? '').then(setTold);
  }, [parts[0]]);
  return html`<${Screen} title="Tag" back=${to()}>
    ${!told && html`<p class="soft" aria-busy="true">Looking for the part</p>`}
    ${told?.message && html`<p class="problem" role="alert">${told.message}</p>`}
    ${told?.code && html`<${BindIt} code=${told.code} />`}
    ${told?.message && html`<p><a class="key" href=${to('tags')}>Type the code</a></p>`}
  <//>`;
}

/** A tag printed ahead: in which case is the part that it shall hang on? @param {{code: string}} props */
function BindIt({ code }) {
  const latest = latestCase();
  const open = (caseListing.value.cases ?? [])
    .filter((one) => one.status === 'open')
    .sort((a, b) => Number(b.case === latest) - Number(a.case === latest));
  if (!open.length) return null;
  return html`<section class="stack close">
    <h2>Bind ${tagWords(code)} to a part of</h2>
    <ul class="ruled">
      ${open.map(
        (one) => html`<li key=${one.case}>
          <a class="case-row" href=${to('case', one.case, 'tag', UNCHOSEN, code)}>
            <span class="case-title">${one.title}</span>
            <span class="case-second">
              ${one.plate !== one.title && one.plate && html`<span class="plate">${one.plate}</span>`}${one.customer}
            </span>
          </a>
        </li>`,
      )}
    </ul>
  </section>`;
}

/**
 * Goes to the part, or gives the words for why not, with the code where it is one.
 * @param {string} typed
 */
async function lead(typed) {
  const checked = await ask('check_tag', { text: typed }, { priority: 3 });
  if (!checked.code) return { message: checked.message ?? checked.error?.message ?? phrase('This is not a tag of ours.') };
  const found = await findTag(checked.code);
  if ('message' in found) return { code: checked.code, message: found.message };
  goInstead(to('case', found.case, 'part', found.part));
  return null;
}
