/** A person's data erased on request: blanked in the shop and on every phone at its next sync. The findings stay. */
import { useState } from 'preact/hooks';
import { caseListing } from '../case-list.js';
import { kindOf, labelOf } from '../declared.js';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { CaseScreen } from '../pieces/case-screen.js';
import { Notice } from '../pieces/notice.js';
import { PlainField } from '../pieces/plain-field.js';
import { Picture } from '../pieces/thumbs.js';
import { isOneOf } from '../roles.js';
import { goInstead, to } from '../route.js';
import { save } from '../saving.js';
import { phrase } from '../tongue.js';

/** @typedef {import('../../field/log.js').Entry} Entry */

/** @param {{id: string}} props */
export function Erase({ id }) {
  const [chosen, setChosen] = useState(/** @type {string[]} */ ([]));
  const [why, setWhy] = useState('');
  const [sure, setSure] = useState(false);
  const entries = openCase.value?.entries ?? [];
  const erased = new Set(entries.flatMap((entry) => (entry.kind === 'erased' ? entry.body.entries : [])));
  const left = entries.filter((entry) => !erased.has(entry.id));
  const personal = left.filter(isPersonal);
  const pictures = left.filter((entry) => entry.kind === 'photo' || entry.kind === 'recording');
  const summary = caseListing.value.cases?.find((one) => one.case === id);
  const others = caseListing.value.cases?.filter((one) => one.case !== id && summary?.customer && one.customer === summary.customer) ?? [];
  const named = [...personal.map((entry) => entry.id), ...chosen];
  if (!isOneOf('owner', 'desk'))
    return html`<${CaseScreen} id=${id} title="Erase personal data" back=${to('case', id, 'report')}>
      <${Notice} tone="warn" title="The owner or the desk does this"><p>Only the owner or the desk may erase a person's data, since it cannot be undone: tell them which case it is.</p><//>
    <//>`;
  const erase = async () => {
    const body = { entries: named, ...(why.trim() ? { why: why.trim() } : {}) };
    const { entries: saved } = await save({ case: id, kind: 'erased', body }, phrase('Erased here; on the others at their next sync'));
    if (saved.length) goInstead(to('case', id));
  };
  const toggle = (/** @type {string} */ entry) =>
    setChosen(chosen.includes(entry) ? chosen.filter((one) => one !== entry) : [...chosen, entry]);
  const keys =
    named.length > 0 &&
    (sure
      ? html`<div class="keys">
          <button type="button" class="key main" onClick=${() => void erase()}>Erase for good</button>
          <button type="button" class="key" onClick=${() => setSure(false)}>Leave it</button>
        </div>`
      : html`<button type="button" class="key main wide tall" onClick=${() => setSure(true)}>Erase</button>`);
  return html`<${CaseScreen} id=${id} title="Erase personal data" keys=${keys} back=${to('case', id, 'report')}>
    <div class="stack">
      <${Notice} tone="warn" title="This cannot be undone">
        <p>Name, phone, address, plate, VIN, the customer's own words and the signature go from the shop and from every phone at its next sync; links to the report end. Findings, parts and repairs stay.</p>
      <//>
      <p>${personal.length ? phrase('{n} entry of this case will be blanked.|{n} entries of this case will be blanked.', { n: personal.length }) : phrase('No entry of this case holds personal data any more.')} Notes are not read through: look whether one names a person.</p>
      ${
        pictures.length > 0 &&
        html`<fieldset class="field">
        <legend>Pictures and recordings that show the person, papers or the plate</legend>
        <p class="help">Those chosen are deleted everywhere.</p>
        <ul class="ruled">
          ${pictures.map(
            (entry, at) => html`<li key=${entry.id} class="erase-row">
            ${entry.kind === 'photo' && html`<${Picture} sha256=${entry.body.sha256} alt="Seen small" />`}
            <label class="choice"><input type="checkbox" checked=${chosen.includes(entry.id)} onChange=${() => toggle(entry.id)} /><span>${wordsOf(entry, at)}</span></label>
          </li>`,
          )}
        </ul>
      </fieldset>`
      }
      <${PlainField} label="Why" value=${why} onInput=${setWhy} help="For the record; write no name here." />
      ${
        others.length > 0 &&
        html`<section class="stack close">
        <h2>Other cases of ${summary?.customer}</h2>
        <ul class="ruled">${others.map((one) => html`<li key=${one.case}><a class="key" href=${to('case', one.case, 'erase')}>${one.title}</a></li>`)}</ul>
      </section>`
      }
    </div>
  <//>`;
}

/** @param {Entry} entry @param {number} at */
function wordsOf({ kind, body }, at) {
  const shows = kind === 'photo' ? labelOf('photo', 'shows', body.shows) : '';
  return [`${kind === 'photo' ? phrase('Photo') : phrase('Recording')} ${at + 1}`, body.caption || shows].filter(Boolean).join(': ');
}

/** Whether an entry holds anything that its kind declares personal. @param {Entry} entry */
function isPersonal({ kind, body }) {
  try {
    return holdsPersonal(kindOf(kind).fields, body);
  } catch {
    return false; // recorded by a newer version
  }
}

/** @param {import('../../field/kinds.js').Field[]} fields @param {Record<string, any> | undefined} body @returns {boolean} */
function holdsPersonal(fields, body) {
  return fields.some(
    (field) =>
      (field.personal && body?.[field.name ?? ''] !== undefined) ||
      (field.type === 'group' && holdsPersonal(field.fields ?? [], body?.[field.name ?? ''])),
  );
}
