/** A tag for a part: a code made here without a signal, or one that is printed already. */
import { useState } from 'preact/hooks';
import { ask } from '../../field/core.js';
import { partById } from '../case-look.js';
import { caseListing } from '../case-list.js';
import { hangsOn } from '../find-tag.js';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { CaseScreen } from '../pieces/case-screen.js';
import { Notice } from '../pieces/notice.js';
import { TagField } from '../pieces/tag-field.js';
import { TagScan } from '../pieces/tag-scan.js';
import { goInstead, to } from '../route.js';
import { saveAll } from '../saving.js';
import { tagWords, UNCHOSEN } from '../tag-words.js';
import { phrase } from '../tongue.js';
import { sentence } from '../words.js';

/** @typedef {{code: string, part: string, case: string, on: string}} Taken  a tag that hangs on another part; `part`: where it was to go */

const DRAWS = 50; // a draw is repeated one time in nine; fifty in a row never fail

/** @param {{id: string, parts: string[]}} props */
export function TagScreen({ id, parts }) {
  const view = openCase.value?.view;
  const [chosen, setChosen] = useState(parts[0] === UNCHOSEN ? '' : (parts[0] ?? ''));
  const [problem, setProblem] = useState('');
  const [busy, setBusy] = useState(false);
  const [taken, setTaken] = useState(/** @type {Taken | null} */ (null));
  if (!view) return html`<${CaseScreen} id=${id} title="Tag" needsView=${true} />`;

  const off = view.parts.filter((/** @type {any} */ part) => !part.place.includes('.'));
  const others = view.parts.filter((/** @type {any} */ part) => part.place.includes('.'));
  const named = chosen ? partById(view, chosen) : null;
  if (named && ![...off, ...others].some((/** @type {any} */ part) => part.part === chosen)) others.unshift(named);
  const part = chosen || off.find((/** @type {any} */ one) => !one.tag)?.part || '';

  /** @param {string} code */
  const bindIfFree = async (code) => {
    if (!part) return setProblem(phrase('Choose the part first.'));
    setProblem('');
    setBusy(true);
    const found = await hangsOn(code);
    setBusy(false);
    if (!found) return bind(code, part);
    if (found.case === id && partById(view, found.part)?.part === part)
      return setProblem(phrase('Tag {code} hangs on this part already.', { code: tagWords(code) }));
    setTaken({ code, part, case: found.case, on: found.part });
  };
  /** @param {string} code @param {string} onto */
  const bind = async (code, onto) => {
    setBusy(true);
    const moved = { question: `tag/${code}/${onto}`, answer: 'here' }; // that two parts have had it is answered thereby
    const { entries, problems } = await saveAll(
      [
        { case: id, kind: 'tag_bound', body: { code, part: onto } },
        ...(taken?.case === id ? [{ case: id, kind: 'answered', body: moved }] : []),
      ],
      phrase('Tag bound, saved on this phone'),
    );
    setBusy(false);
    if (entries.length) goInstead(to('case', id, 'label', code));
    else setProblem(problems[0]?.message ?? '');
  };
  const make = async () => {
    setBusy(true);
    const { code, message } = await newTag();
    setBusy(false);
    if (code && part) await bind(code, part);
    else setProblem(message);
  };

  const keys = html`<button
    type="button"
    class="key main wide tall"
    disabled=${busy || !part}
    onClick=${() => void make()}
  >Make a tag for it</button>`;
  return html`<${CaseScreen} id=${id} title="Tag" keys=${keys}>
    <div class="stack">
      ${!off.length && html`<p>No part is off the engine. A tag can hang on any part all the same.</p>`}
      <${PartChoice} title="Off the engine" parts=${off} chosen=${part} onChoose=${setChosen} />
      <${PartChoice} title="On the engine" parts=${others} chosen=${part} onChoose=${setChosen} />
      <section class="stack close">
        <h2>A tag that is printed already</h2>
        <${TagScan} onCode=${bindIfFree} />
        <${TagField} words="Bind this tag" onCode=${bindIfFree} initial=${parts[1]} />
      </section>
      ${problem && html`<p class="problem" role="alert">${problem}</p>`}
      ${taken && html`<${TakenAlready} id=${id} view=${view} taken=${taken} onMove=${() => bind(taken.code, taken.part)} onLeave=${() => setTaken(null)} />`}
    </div>
  <//>`;
}

/** @param {{id: string, view: any, taken: Taken, onMove: () => void, onLeave: () => void}} props */
function TakenAlready({ id, view, taken, onMove, onLeave }) {
  const mine = taken.case === id ? partById(view, taken.on)?.label : '';
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

/** @param {{title: string, parts: any[], chosen: string, onChoose: (part: string) => void}} props */
function PartChoice({ title, parts, chosen, onChoose }) {
  if (!parts.length) return null;
  return html`<fieldset class="field">
    <legend>${title}</legend>
    <div class="choices">
      ${parts.map(
        (part) => html`<label
        class="choice"
        key=${part.part}
      >
        <input
          type="radio"
          name="tag-part"
          checked=${part.part === chosen}
          onChange=${() => onChoose(part.part)}
        /><span>${part.tag ? phrase('{part}, has a tag', { part: sentence(part.label) }) : sentence(part.label)}</span>
      </label>`,
      )}
    </div>
  </fieldset>`;
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
