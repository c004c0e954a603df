/** Parts that a test has moved and that sit there still: asked at the repair, since putting them back later spoils the proof. */
import { html } from '../html.js';
import { to } from '../route.js';
import { save } from '../saving.js';
import { useChecklist } from './checklist.js';
import { Notice } from './notice.js';

/** @param {{id: string}} props */
export function StillMoved({ id }) {
  const line = useChecklist(id, NOTHING).lines?.find((one) => one.key === 'moved' && one.state === 'do');
  if (!line) return null;
  const { question, answer, words } = line.answer;
  return html`<${Notice} title=${line.text}>
    <p>Put it back before the drive that proves the repair, or leave it there on purpose.</p>
    <div class="keys">
      <a class="key" href=${to('case', id, ...line.to)}>${line.words}</a>
      <button type="button" class="key" onClick=${() => void save({ case: id, kind: 'answered', body: { question, answer } })}>${words}</button>
    </div>
  <//>`;
}

/** @type {any[]} */
const NOTHING = [];
