/** What should be settled before closing: each line ticked by what is recorded, or with the way to where it is done. */
import { useEffect, useState } from 'preact/hooks';
import { ask } from '../../field/core.js';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { to } from '../route.js';
import { save } from '../saving.js';
import { toolsFor } from '../tools-here.js';
import { phrase } from '../tongue.js';
import { Icon } from './icon.js';

/** @type {Record<string, {icon: string, words: string}>} */
const STATES = {
  done: { icon: 'tick', words: phrase('Done') },
  do: { icon: 'warn', words: phrase('Open ((point))') },
  watch: { icon: 'note', words: phrase('To keep in mind') },
};
const ORDER = ['do', 'watch', 'done'];

/**
 * The lines for a closing that leaves `later` for later, and its rows in words; `lines` is null as long as the core has
 * not answered.
 * @param {string} id
 * @param {any[]} later
 * @returns {{lines: any[] | null, left: string[]}}
 */
export function useChecklist(id, later) {
  const [told, setTold] = useState({ lines: /** @type {any[] | null} */ (null), left: /** @type {string[]} */ ([]) });
  const { entries, diagnosis, thinking } = openCase.value ?? {};
  const tools = toolsFor(id);
  const left = JSON.stringify([later, tools]);
  useEffect(() => {
    if (!entries?.length) return;
    let gone = false;
    // What was thought before the latest entry proves nothing of it.
    const known = diagnosis && !thinking ? { diagnosis: { explanations: diagnosis.explanations, fixed: diagnosis.fixed } } : {};
    void ask('closing', { entries, later, tools, ...known }, { topic: 'closing', priority: 2 }).then((answer) => {
      if (!gone && answer.lines) setTold({ lines: answer.lines, left: answer.left });
    });
    return () => {
      gone = true;
    };
  }, [entries, diagnosis, thinking, left]);
  return told;
}

/** @param {{id: string, lines: any[] | null, onLater: (row: any) => void}} props */
export function Checklist({ id, lines, onLater }) {
  if (!lines) return html`<p class="soft" aria-busy="true">Looking through the case</p>`;
  const open = lines.filter((line) => line.state === 'do').length;
  const sorted = ORDER.flatMap((state) => lines.filter((line) => line.state === state));
  return html`<section class="stack close" aria-label="Before closing">
    <h2>Before closing</h2>
    <p role="status">${open ? phrase('{n} point is open.|{n} points are open.', { n: open }) : phrase('Nothing is open.')}</p>
    <ul class="ruled checklist">
      ${sorted.map((line) => html`<${Line} key=${line.key} id=${id} line=${line} onLater=${onLater} />`)}
    </ul>
  </section>`;
}

/** @param {{id: string, line: any, onLater: (row: any) => void}} props */
function Line({ id, line, onLater }) {
  const { icon, words } = STATES[line.state];
  const answer = () => void save({ case: id, kind: 'answered', body: { question: line.answer.question, answer: line.answer.answer } });
  return html`<li class=${`check-point ${line.state}`}>
    <${Icon} name=${icon} /><span class="unseen">${words}: </span>
    <div class="stack close">
      <p>${line.entry ? html`<a href=${to('case', id, 'entry', line.entry)}>${line.text}</a>` : line.text}</p>
      ${
        (line.to || line.answer || line.later) &&
        html`<div class="keys">
          ${line.to && html`<a class="key" href=${to('case', id, ...line.to)}>${line.words}</a>`}
          ${line.answer && html`<button type="button" class="key" onClick=${answer}>${line.answer.words}</button>`}
          ${line.later && html`<button type="button" class="key" onClick=${() => onLater(line.later)}>${line.later_words}</button>`}
        </div>`
      }
    </div>
  </li>`;
}
