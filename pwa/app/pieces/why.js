/** What an explanation rests on: what every finding says for or against it, with its photos; the figures one tap deeper. */
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
      <li class="why-row"><span>Before any finding, by how often such faults come</span><${Says} words=${why.prior_words} weight=${why.prior} /></li>
      ${why.rows.map(
        (/** @type {any} */ row) => html`<${Row}
        key=${row.entry}
        open=${open}
        entry=${row.entry}
        text=${row.text}
        words=${row.words}
        weight=${row.decibans}
      />`,
      )}
      <li class="why-row total"><span>Together</span><span>${why.total_words}</span></li>
    </ul>
    <${Figures} why=${why} />
  </div>`;
}

/**
 * @param {object} props
 * @param {import('../open-case.js').OpenCase} props.open
 * @param {string} props.entry
 * @param {string} [props.text]
 * @param {string} [props.words]  what it says, as the core puts it
 * @param {number} [props.weight]  above nought for the explanation, below it against
 */
function Row({ open, entry, text, words, weight = 0 }) {
  const found = text ?? (open.view ? rowOf(open.view, entry)?.text : null) ?? phrase('An entry');
  return html`<li class="why-row">
    <a href=${to('case', open.id, 'entry', entry)}>${found}</a>
    ${words && html`<${Says} words=${words} weight=${weight} />`}
    ${open.view && html`<${Thumbs} caseId=${open.id} photos=${photosOf(open.view, entry)} />`}
  </li>`;
}

/** @param {{words: string, weight: number}} props */
function Says({ words, weight }) {
  const side = weight >= 1 ? 'for' : weight <= -1 ? 'against' : '';
  return html`<span class=${`says ${side}`}>${words}</span>`;
}

/** What the words stand for: beside something known, and in figures. @param {{why: any}} props */
function Figures({ why }) {
  return html`<details class="more">
    <summary>What the words mean, and the figures</summary>
    <dl class="grades">
      ${why.scale.map(
        (/** @type {any} */ grade) => html`<div key=${grade.words}><dt>${grade.words}</dt><dd>${grade.like}</dd></div>`,
      )}
    </dl>
    <table class="sums">
      <thead><tr><th scope="col">Finding</th><th scope="col">For it</th></tr></thead>
      <tbody>
        <tr><th scope="row">Before any finding</th><td>${why.prior_odds}</td></tr>
        ${why.rows.map(
          (/** @type {any} */ row) => html`<tr key=${row.entry}><th scope="row">${row.text}</th><td>${row.odds}</td></tr>`,
        )}
        <tr class="advised"><th scope="row">All multiplied</th><td>${why.total_odds}</td></tr>
      </tbody>
    </table>
    <p class="soft">
      12 to 1: among cars that have this fault the finding comes twelve times as often as among those that have the other.
    </p>
  </details>`;
}
