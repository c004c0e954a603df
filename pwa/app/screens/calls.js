/** Calls to make: what closed cases left for later, and customers who have not heard of it yet. */
import { useState } from 'preact/hooks';
import { fetchCase } from '../../field/fetch-case.js';
import { entriesOf } from '../../field/log.js';
import { syncNow } from '../../field/sync.js';
import { html } from '../html.js';
import { FromShop, useFromShop } from '../pieces/from-shop.js';
import { Screen } from '../pieces/screen.js';
import { to } from '../route.js';
import { sayTrouble } from '../said.js';
import { save } from '../saving.js';
import { phrase } from '../tongue.js';
import { day } from '../words.js';

/** What is recorded of a call (`core/calls.py`). */
const ANSWERS = [
  ['told', phrase('Told, they think it over')],
  ['comes', phrase('They come for it')],
  ['declined', phrase('They do not want it')],
  ['done', phrase('Seen to')],
  ['not_reached', phrase('Nobody reached')],
];

export function Calls() {
  const asked = useFromShop('/api/cases/calls');
  const calls = asked.found?.calls ?? [];
  return html`<${Screen} title="Calls to make" back=${to()} class="desk">
    <p>Codes and other things that closed cases left for later, as long as the owner does not know of them. What you record of a call goes into its case.</p>
    <p class="soft">What was ticked “The owner knows” at closing needs no call: the report tells it. A car that should not be driven on stays here until it is seen to or the owner does not want it.</p>
    <${FromShop} asked=${asked} what="The calls">
      <p class="soft" role="status">${calls.length ? phrase('{n} call|{n} calls', { n: calls.length }) : phrase('Nobody waits for a call.')}</p>
      <ul class="ruled">
        ${calls.map((/** @type {any} */ call) => html`<li key=${call.question}><${Call} call=${call} onDone=${asked.read} /></li>`)}
      </ul>
    <//>
  <//>`;
}

/** @param {{call: any, onDone: () => Promise<void>}} props */
function Call({ call, onDone }) {
  const [open, setOpen] = useState(false);
  const [busy, setBusy] = useState(false);
  /** @param {string} answer */
  const record = async (answer) => {
    setBusy(true);
    try {
      // The case's clock goes on from its latest entry, so that entry is on this phone first.
      if (!(await entriesOf(call.case)).length) await fetchCase(call.case);
      const { entries } = await save({ case: call.case, kind: 'answered', body: { question: call.question, answer } });
      if (entries.length) {
        await syncNow();
        await onDone();
      }
    } catch (problem) {
      sayTrouble(/** @type {Error} */ (problem).message);
    }
    setBusy(false);
  };
  return html`<article class="call-row" aria-label=${`${call.code ?? phrase('Left for later')}: ${call.customer || call.title}`}>
    <p><strong>${call.customer || phrase('Customer not named')}</strong>${
      call.phone && html` <a class="key quiet" href=${`tel:${call.phone.replace(/[^\d+]/g, '')}`}>${call.phone}</a>`
    }</p>
    <p><a href=${to('case', call.case)}>${call.title}</a> ${call.plate && html`<span class="plate">${call.plate}</span>`}</p>
    <p>${call.code && html`<strong class="figures">${call.code}</strong> `}${call.meaning}</p>
    ${call.text && call.text !== call.meaning && html`<p class="hand">${call.text}</p>`}
    <p class="soft">${call.tried ? phrase('{left}; nobody reached on {day}', { left: ago(call.since), day: day(call.tried) }) : ago(call.since)}</p>
    <button type="button" class="key" aria-expanded=${open} onClick=${() => setOpen(!open)}>
      What came of it<span class="unseen"> for ${call.customer || call.title}, ${call.code ?? (call.meaning || call.text)}</span>
    </button>
    ${
      open &&
      html`<div class="keys">
        ${ANSWERS.map(
          ([value, words]) => html`<button key=${value} type="button" class="key" disabled=${busy} onClick=${() => void record(value)}>
            ${words}
          </button>`,
        )}
      </div>`
    }
  </article>`;
}

/** @param {number} ms */
function ago(ms) {
  const days = Math.floor((Date.now() - ms) / 86_400_000);
  if (days < 1) return phrase('Left today');
  return days < 60
    ? phrase('Left {n} day ago|Left {n} days ago', { n: days })
    : phrase('Left {n} month ago|Left {n} months ago', { n: Math.floor(days / 30.4) });
}
