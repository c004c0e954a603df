/** What an explanation rests on: every finding with its weight against the best rival, and its photos. */
import { useEffect, useState } from 'preact/hooks';
import { ask } from '../../field/core.js';
import { photosOf, rowOf } from '../case-look.js';
import { html } from '../html.js';
import { to } from '../route.js';
import { phrase } from '../tongue.js';
import { Thumbs } from './thumbs.js';

/** @param {{open: import('../open-case.js').OpenCase, explanation: any}} props */
export function Why({ open, explanation }) {
  const [why, setWhy] = useState(/** @type {any} */ (null));
  const [attempt, setAttempt] = useState(0);
  useEffect(() => {
    let gone = false;
    setWhy(null);
    void ask('why', { entries: open.entries, index: explanation.index }, { topic: `why/${explanation.index}`, priority: -1 }).then(
      (answer) => {
        if (!gone && answer.error?.code !== 'superseded') setWhy(answer);
      },
    );
    return () => {
      gone = true;
    };
  }, [open.entries, explanation.index, attempt]);

  if (!why || why.error)
    return html`<div class="why">
      <p class=${why ? '' : 'soft'}>${why ? why.error.message : phrase('Weighing the findings.')}</p>
      ${why && html`<button type="button" class="key" onClick=${() => setAttempt(attempt + 1)}>Ask again</button>`}
      <ul class="ruled">
        ${(explanation.entries ?? []).map(
          (/** @type {string} */ entry) => html`<${Row}
          key=${entry}
          open=${open}
          entry=${entry}
        />`,
        )}
      </ul>
    </div>`;
  return html`<div class="why">
    ${why.rival && html`<p>Against: <span class="hand">${why.rival}</span></p>`}
    <ul class="ruled">
      <li class="why-row"><${Weight} decibans=${why.prior} /><span>Before any finding</span></li>
      ${why.rows.map(
        (/** @type {any} */ row) => html`<${Row}
        key=${row.entry}
        open=${open}
        entry=${row.entry}
        text=${row.text}
        decibans=${row.decibans}
      />`,
      )}
      <li class="why-row total"><${Weight} decibans=${why.total} /><span>Together</span></li>
    </ul>
    <p class="soft">
      Plus speaks for it, minus against it, in decibans: 10 makes it ten times as likely, 20 a hundred times.
    </p>
  </div>`;
}

/** @param {{open: import('../open-case.js').OpenCase, entry: string, text?: string, decibans?: number}} props */
function Row({ open, entry, text, decibans }) {
  const words = text ?? (open.view ? rowOf(open.view, entry)?.text : null) ?? phrase('An entry');
  return html`<li class="why-row">
    ${decibans !== undefined && html`<${Weight} decibans=${decibans} />`}
    <a href=${to('case', open.id, 'entry', entry)}>${words}</a>
    ${open.view && html`<${Thumbs} caseId=${open.id} photos=${photosOf(open.view, entry)} />`}
  </li>`;
}

/** @param {{decibans: number}} props */
function Weight({ decibans }) {
  const rounded = Math.round(decibans * 10) / 10;
  if (!rounded) return html`<span class="weight">0</span>`;
  const words = `${rounded > 0 ? '+' : '−'}${Math.abs(rounded).toFixed(1)}`;
  return html`<span class=${`weight ${rounded > 0 ? 'for' : 'against'}`}>${words}</span>`;
}
