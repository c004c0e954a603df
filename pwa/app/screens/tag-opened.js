/** A tag's address was opened: on to the part. */
import { useEffect, useState } from 'preact/hooks';
import { ask } from '../../field/core.js';
import { findTag } from '../find-tag.js';
import { html } from '../html.js';
import { Screen } from '../pieces/screen.js';
import { goInstead, to } from '../route.js';

/** @param {{parts: string[]}} props */
export function TagOpened({ parts }) {
  const [problem, setProblem] = useState('');
  useEffect(() => {
    void lead(parts[0] ?? '').then(setProblem);
  }, [parts[0]]);
  return html`<${Screen} title="Tag" back=${to()}>
    ${
      problem
        ? html`<p class="problem" role="alert">${problem}</p><p><a class="key" href=${to('tags')}>Type the code</a></p>`
        : html`<p class="soft" aria-busy="true">Looking for the part</p>`
    }
  <//>`;
}

/** Goes to the part, or gives the words for why not. @param {string} typed */
async function lead(typed) {
  const checked = await ask('check_tag', { text: typed }, { priority: 3 });
  if (!checked.code) return checked.message ?? checked.error?.message ?? 'This is not a tag of ours.';
  const found = await findTag(checked.code);
  if ('message' in found) return found.message;
  goInstead(to('case', found.case, 'part', found.part));
  return '';
}
