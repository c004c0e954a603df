/** Find a part by the code on its tag. */
import { useState } from 'preact/hooks';
import { findTag } from '../find-tag.js';
import { html } from '../html.js';
import { Screen } from '../pieces/screen.js';
import { TagField } from '../pieces/tag-field.js';
import { go, to } from '../route.js';

export function Tags() {
  const [problem, setProblem] = useState('');
  /** @param {string} code */
  const find = async (code) => {
    setProblem('');
    const found = await findTag(code);
    if ('message' in found) setProblem(found.message);
    else go(to('case', found.case, 'part', found.part));
  };
  return html`<${Screen} title="Find a tag" back=${to()}>
    <p>Type the ten characters under the square. Large or small letters and dashes make no difference.</p>
    <${TagField} words="Find the part" onCode=${find} />
    ${problem && html`<p class="problem" role="alert">${problem}</p>`}
  <//>`;
}
