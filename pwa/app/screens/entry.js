/** One entry as it was recorded, with its photos; and the way to strike it out, since nothing is ever deleted. */
import { useState } from 'preact/hooks';
import { partById, photosOf, rowOf, voicesOf } from '../case-look.js';
import { check as checkOf } from '../declared.js';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { byWhom } from '../person.js';
import { CaseScreen } from '../pieces/case-screen.js';
import { Details } from '../pieces/details.js';
import { Icon } from '../pieces/icon.js';
import { Notice } from '../pieces/notice.js';
import { PlainField } from '../pieces/plain-field.js';
import { Spoken, whenWords } from '../pieces/story.js';
import { Thumbs } from '../pieces/thumbs.js';
import { goInstead, home, to } from '../route.js';
import { save } from '../saving.js';
import { phrase } from '../tongue.js';
import { sentence } from '../words.js';

/** @param {{id: string, parts: string[]}} props */
export function EntryScreen({ id, parts }) {
  const open = openCase.value;
  const entry = open?.entries?.find((one) => one.id === parts[0]);
  const row = open?.view && rowOf(open.view, parts[0]);
  if (!entry)
    return html`<${CaseScreen}
      id=${id}
      title="Entry"
    >${open?.entries && html`<p>This case holds no such entry.</p>`}<//>`;
  const circumstances = [
    whenWords(row ?? { at: entry.at[0], when: entry.when }),
    open?.onlyHere.has(entry.id) ? phrase('on this device only') : phrase('sent to the shop'),
    byWhom(entry.by),
  ];
  const photos = open?.view ? photosOf(open.view, entry.id) : [];
  return html`<${CaseScreen} id=${id} title=${row?.label ?? phrase('Entry')}>
    <div class="stack">
      <p>${circumstances.join(', ')}</p>
      ${row?.struck && html`<p class="problem">Struck out: it does not count.</p>`}
      ${row?.text && html`<p class="entry-text">${row.text}</p>`}
      ${row?.doubt && html`<${Notice} tone="warn"><p>${row.doubt}</p><//>`}
      ${entry.kind === 'check' && html`<p class="soft">${meansOf(entry.body)}</p>`}
      <${Details} kind=${entry.kind} body=${entry.body} told=${row?.told} />
      ${entry.kind === 'tag_bound' && html`<${Tagged} id=${id} body=${entry.body} view=${open?.view} />`}
      ${entry.kind === 'recording' && html`<${Spoken} body=${entry.body} />`}
      ${voicesOf(open, entry.id).map((body) => html`<${Spoken} key=${body.sha256} body=${body} />`)}
      <${Thumbs} caseId=${id} photos=${photos} />
      ${
        !row?.struck &&
        entry.kind !== 'case_opened' &&
        html`<${StrikeOut}
        id=${id}
        entry=${entry.id}
        strike=${entry.kind === 'struck'}
      />`
      }
    </div>
  <//>`;
}

/** Which part the tag hangs on, and its label once more. @param {{id: string, body: Record<string, any>, view: any}} props */
function Tagged({ id, body, view }) {
  const part = view && partById(view, body.part);
  return html`
    ${part && html`<p>${sentence(part.label)}</p>`}
    <a class="key" href=${to('case', id, 'label', body.code)}><${Icon} name="print" />Label to print</a>
  `;
}

/** What a finding speaks for, in a sentence. @param {Record<string, any>} body */
function meansOf({ check, finding }) {
  return checkOf(check)?.findings.find((one) => one.value === finding)?.means ?? '';
}

/** @param {{id: string, entry: string, strike: boolean}} props */
function StrikeOut({ id, entry, strike }) {
  const [asked, setAsked] = useState(false);
  const [why, setWhy] = useState('');
  const [problem, setProblem] = useState('');
  const strikeOut = async () => {
    if (!why.trim()) return setProblem(phrase('Why: say in a word or two why it does not count.'));
    const { entries, problems } = await save({ case: id, kind: 'struck', body: { entry, why: why.trim() } });
    if (entries.length) goInstead(home(id));
    else setProblem(problems[0]?.message ?? '');
  };
  if (!asked)
    return html`<button
      type="button"
      class="key"
      onClick=${() => setAsked(true)}
    ><${Icon} name="strike" />${strike ? phrase('It counts after all') : phrase('Strike out')}</button>`;
  return html`<div class="stack">
    <${PlainField}
      label=${strike ? phrase('Why does the struck entry count after all') : phrase('Why does it not count')}
      value=${why}
      onInput=${(/** @type {string} */ typed) => {
        setWhy(typed);
        setProblem('');
      }}
      invalid=${Boolean(problem)}
    />
    <div class="keys">
      <button
        type="button"
        class="key main"
        onClick=${() => void strikeOut()}
      >${strike ? phrase('Let it count') : phrase('Strike it out')}</button>
      <button type="button" class="key" onClick=${() => setAsked(false)}>Leave it</button>
    </div>
    ${problem && html`<p class="problem" role="alert">${problem}</p>`}
    <p class="soft">It stays legible in the story.</p>
  </div>`;
}
