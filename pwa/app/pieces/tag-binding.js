/** Binding a tag to a part: what hangs on it already is asked about, and a new code can be drawn here. */
import { useState } from 'preact/hooks';
import { ask } from '../../field/core.js';
import { partById } from '../case-look.js';
import { caseListing } from '../case-list.js';
import { hangsOn } from '../find-tag.js';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { goInstead, to } from '../route.js';
import { saveAll } from '../saving.js';
import { tagWords } from '../tag-words.js';
import { phrase } from '../tongue.js';
import { Notice } from './notice.js';

/** @typedef {{code: string, part: string, case: string, on: string}} Taken  a tag that hangs on another part; `part`: where it was to go */

const DRAWS = 50; // a draw is repeated one time in nine; fifty in a row never fail

/**
 * @param {string} id  of the case
 * @param {string} part  empty as long as none is chosen
 * @param {(code: string, made: boolean) => string} next  where to go once it is bound; made: the code was drawn here and is not printed yet
 */
export function useTagBinding(id, part, next) {
  const [problem, setProblem] = useState('');
  const [busy, setBusy] = useState(false);
  const [taken, setTaken] = useState(/** @type {Taken | null} */ (null));

  /** @param {string} code */
  const bindIfFree = async (code) => {
    const view = openCase.value?.view;
    if (!part || !view) return setProblem(phrase('Choose the part first.'));
    setProblem('');
    setBusy(true);
    const found = await hangsOn(code);
    setBusy(false);
    if (!found) return bind(code, part, false);
    if (found.case === id && partById(view, found.part)?.part === part)
      return setProblem(phrase('Tag {code} hangs on this part already.', { code: tagWords(code) }));
    setTaken({ code, part, case: found.case, on: found.part });
  };
  /** @param {string} code @param {string} onto @param {boolean} made */
  const bind = async (code, onto, made) => {
    setBusy(true);
    const moved = { question: `tag/${code}/${onto}`, answer: 'here' }; // that two parts have had it is answered thereby
    const { entries, problems } = await saveAll(
      [
        { case: id, kind: 'tag_bound', body: { code, part: onto } },
        ...(taken?.case === id ? [{ case: id, kind: 'answered', body: moved }] : []),
      ],
      phrase('Tag bound, saved on this device'),
    );
    setBusy(false);
    if (entries.length) goInstead(next(code, made));
    else setProblem(problems[0]?.message ?? '');
  };
  const make = async () => {
    setBusy(true);
    const { code, message } = await newTag();
    setBusy(false);
    if (code && part) await bind(code, part, true);
    else setProblem(message);
  };
  const trouble = html`
    ${problem && html`<p class="problem" role="alert">${problem}</p>`}
    ${taken && html`<${TakenAlready} id=${id} taken=${taken} onMove=${() => bind(taken.code, taken.part, false)} onLeave=${() => setTaken(null)} />`}
  `;
  return { busy, bindIfFree, make, trouble };
}

/** @param {{id: string, taken: Taken, onMove: () => void, onLeave: () => void}} props */
function TakenAlready({ id, taken, onMove, onLeave }) {
  const view = openCase.value?.view;
  const mine = view && taken.case === id ? partById(view, taken.on)?.label : '';
  const car = caseListing.value.cases?.find((one) => one.case === taken.case)?.title;
  const where = mine || (car ? phrase('a part of the case {car}', { car }) : phrase('a part of another case'));
  return html`<div role="alert">
    <${Notice} tone="warn" title=${phrase('Tag {code} hangs on {where} already', { code: tagWords(taken.code), where })}>
      <p>Nothing was changed. Take another tag; or, if this one has come off that part, move it here.</p>
      <div class="keys">
        <a class="key" href=${to('case', taken.case, 'part', taken.on)}>Look at that part</a>
        <button type="button" class="key" onClick=${onMove}>Move it here</button>
        <button type="button" class="key" onClick=${onLeave}>Leave it there</button>
      </div>
    <//>
  </div>`;
}

/** @returns {Promise<{code?: string, message: string}>} */
async function newTag() {
  for (let draw = 0; draw < DRAWS; draw++) {
    const random = [...crypto.getRandomValues(new Uint8Array(16))]
      .map((byte) => byte.toString(16).padStart(2, '0'))
      .join('');
    const answer = await ask('new_tag', { random }, { priority: 3 });
    if (answer.error) return { message: phrase('{message} A printed tag can be bound meanwhile.', { message: answer.error.message }) };
    if (answer.code) return { code: answer.code, message: '' };
  }
  return { message: phrase('No code could be drawn. Try once more.') };
}
