/** Entries that the shop keeps apart, with the reason: nothing of them is lost. */
import { offerAgain } from '../../field/sync.js';
import { kindOf } from '../declared.js';
import { html } from '../html.js';
import { Details } from '../pieces/details.js';
import { Screen } from '../pieces/screen.js';
import { sync } from '../pieces/sync-strip.js';
import { to } from '../route.js';
import { save } from '../saving.js';
import { phrase } from '../tongue.js';
import { moment } from '../words.js';

export function SetAside() {
  const rows = sync.value.setAside;
  return html`<${Screen} title="Set aside" back=${to('sync')}>
    <p>
      The shop keeps these apart until someone has looked. They stay on this device as they are. Record a right one, then strike the wrong one out: it stays in its case and leaves this list.
    </p>
    ${!rows.length && html`<p class="soft">Nothing is set aside.</p>`}
    <ul class="stack">
      ${rows.map(
        (row) => html`<li key=${row.id} class="aside-row">
        <h2>${labelOf(row.entry.kind)}</h2>
        <p class="problem">${row.message}</p>
        <p class="soft">${row.field ? phrase('{time}, field {field}', { time: moment(row.entry.at[0]), field: row.field }) : moment(row.entry.at[0])}</p>
        <${Details} kind=${row.entry.kind} body=${row.entry.body} />
        <div class="keys">
          ${
            row.field === 'by'
              ? html`<button type="button" class="key" onClick=${() => void leaveOut(row)}>Leave it out</button>`
              : html`<a class="key" href=${to('case', row.entry.case, 'entry', row.id)}>Look at it</a>`
          }
          <button type="button" class="key" onClick=${() => void offerAgain(row.id)}>Offer it again</button>
        </div>
      </li>`,
      )}
    </ul>
  <//>`;
}

/** What its recorder may not do has no effect, and stands in no case to be struck there. @param {import('../../field/sync-state.js').SetAside} row */
function leaveOut({ id, entry, message }) {
  return save({ case: entry.case, kind: 'struck', body: { entry: id, why: message } }, phrase('Left out'));
}

/** @param {string} kind */
function labelOf(kind) {
  try {
    return kindOf(kind).label;
  } catch {
    return phrase('Recorded by a newer version');
  }
}
