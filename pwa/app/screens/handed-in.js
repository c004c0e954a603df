/** What devices that were shut out handed in: somebody looks at it and says whether it counts. Needs a connection. */
import { useState } from 'preact/hooks';
import { change, make } from '../asking.js';
import { kindOf } from '../declared.js';
import { html } from '../html.js';
import { Details } from '../pieces/details.js';
import { FromShop, useFromShop } from '../pieces/from-shop.js';
import { Notice } from '../pieces/notice.js';
import { PlainField } from '../pieces/plain-field.js';
import { Screen } from '../pieces/screen.js';
import { Sure } from '../pieces/sure.js';
import { to } from '../route.js';
import { say, sayTrouble } from '../said.js';
import { phrase } from '../tongue.js';
import { moment } from '../words.js';

const MOST_AT_ONCE = 500;

export function HandedIn() {
  const asked = useFromShop('/api/handed-in');
  const devices = asked.found?.devices ?? [];
  return html`<${Screen} title="Handed in" back=${to('settings')}>
    <p>A device that was shut out hands in here what only it had. It counts once you accept it; what you leave is kept apart with your reason.</p>
    <${FromShop} asked=${asked} what="What was handed in">
      ${!devices.length && html`<p class="soft">Nothing waits to be looked at.</p>`}
      ${devices.map((/** @type {any} */ one) => html`<${FromDevice} key=${one.device} from=${one} onChange=${asked.read} />`)}
    <//>
  <//>`;
}

/** @param {{from: any, onChange: () => Promise<void>}} props */
function FromDevice({ from, onChange }) {
  const waiting = from.entries.filter((/** @type {any} */ one) => one.left === null);
  const left = from.entries.filter((/** @type {any} */ one) => one.left !== null);
  const late = waiting.filter((/** @type {any} */ one) => one.late).length;
  return html`<section class="stack close">
    <h2>${phrase('{device} of {person}', { device: from.name || phrase('A device'), person: from.person })}</h2>
    <p class="soft">${from.shut_out_ms ? phrase('Shut out {time}', { time: moment(from.shut_out_ms) }) : phrase('Signed in again since')}</p>
    ${
      late > 0 &&
      html`<${Notice} tone="warn" title=${phrase('{n} entry was recorded after the shut-out|{n} entries were recorded after the shut-out', { n: late })}>
        <p>By the clock of the device, which may be wrong. Whoever had it may have recorded them.</p>
      <//>`
    }
    ${waiting.length > 1 && html`<${Decide} rows=${waiting} all=${true} onChange=${onChange} />`}
    <ul class="ruled">
      ${waiting.map((/** @type {any} */ row) => html`<li key=${row.id}><${One} row=${row} onChange=${onChange} /></li>`)}
    </ul>
    ${left.length > 0 && html`<h3>Left out</h3>`}
    <ul class="ruled">
      ${left.map((/** @type {any} */ row) => html`<li key=${row.id}><${One} row=${row} onChange=${onChange} /></li>`)}
    </ul>
  </section>`;
}

/** @param {{row: any, onChange: () => Promise<void>}} props */
function One({ row, onChange }) {
  const { entry } = row;
  return html`<div class="aside-row">
    <h3>${labelOf(entry.kind)}</h3>
    <p class="soft">${timesWords(moment(entry.at[0]), moment(row.received_ms), row.late)}</p>
    <${Details} kind=${entry.kind} body=${entry.body} />
    ${entry.body.sha256 && entry.kind === 'photo' && html`<${Picture} sha256=${entry.body.sha256} />`}
    ${row.left !== null && html`<p>Left out: ${row.left}</p>`}
    <${Decide} rows=${[row]} onChange=${onChange} />
  </div>`;
}

/** @param {string} recorded @param {string} came @param {boolean} late */
function timesWords(recorded, came, late) {
  return late
    ? phrase('Recorded {recorded}, after the shut-out, handed in {came}', { recorded, came })
    : phrase('Recorded {recorded}, handed in {came}', { recorded, came });
}

/** @param {{sha256: string}} props */
function Picture({ sha256 }) {
  const [missing, setMissing] = useState(false);
  if (missing) return html`<p class="soft">The photo has not arrived.</p>`;
  return html`<img class="handed-in-photo" src=${`/api/photos/${sha256}/thumb`} alt="The photo handed in" onError=${() => setMissing(true)} />`;
}

/** @param {{rows: any[], all?: boolean, onChange: () => Promise<void>}} props */
function Decide({ rows, all = false, onChange }) {
  const [leaving, setLeaving] = useState(false);
  const [reason, setReason] = useState('');
  const ids = rows.slice(0, MOST_AT_ONCE).map(({ id }) => id);
  const n = ids.length;
  const leaveWords = all ? phrase('Leave out all {n}', { n }) : phrase('Leave out');
  const accept = async () => {
    const answer = await make('/api/handed-in/accept', { ids });
    if (answer?.set_aside.length) sayTrouble(phrase('{n} entry could not be taken and stands under "Set aside".|{n} entries could not be taken and stand under "Set aside".', { n: answer.set_aside.length }));
    else if (answer) say(phrase('{n} entry counts now|{n} entries count now', { n }));
    await onChange();
  };
  /** @param {Event} event */
  const leave = async (event) => {
    event.preventDefault();
    if (await change('POST', '/api/handed-in/leave', { ids, reason: reason.trim() }, phrase('Left out, and kept apart'))) await onChange();
  };
  if (leaving) {
    return html`<form class="stack close" onSubmit=${leave}>
      <${PlainField} label="Why is it left out?" value=${reason} onInput=${setReason} required maxlength="500" />
      <div class="keys">
        <button class="key main">${leaveWords}</button>
        <button type="button" class="key" onClick=${() => setLeaving(false)}>Back</button>
      </div>
    </form>`;
  }
  return html`<div class="keys">
    ${all ? html`<${Sure} words=${phrase('Accept all {n}', { n })} sure=${phrase('Yes, accept all {n}', { n })} onSure=${accept} />` : html`<button type="button" class="key" onClick=${() => void accept()}>Accept</button>`}
    ${rows.some(({ left }) => left === null) && html`<button type="button" class="key" onClick=${() => setLeaving(true)}>${leaveWords}</button>`}
  </div>`;
}

/** @param {string} kind */
function labelOf(kind) {
  try {
    return kindOf(kind).label;
  } catch {
    return phrase('Recorded by a newer version');
  }
}
