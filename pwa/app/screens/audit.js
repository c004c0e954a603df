/** Who did what and when, for the owner. Needs a connection. */
import { useEffect, useState } from 'preact/hooks';
import { sendForJson } from '../../field/shop.js';
import { html } from '../html.js';
import { FromShop, useFromShop } from '../pieces/from-shop.js';
import { Notice } from '../pieces/notice.js';
import { Screen } from '../pieces/screen.js';
import { to } from '../route.js';
import { phrase } from '../tongue.js';
import { moment, sentence } from '../words.js';

export function Audit() {
  const people = useFromShop('/api/people');
  const [filter, setFilter] = useState({ person: '', deed: '' });
  const [told, setTold] = useState(/** @type {{lines: any[], deeds: Record<string, string>, more: boolean} | null} */ (null));
  const [trouble, setTrouble] = useState('');
  /** @param {any[]} before  lines that are there already */
  const read = async (before) => {
    setTrouble('');
    const last = before.at(-1)?.id ?? '';
    try {
      const answer = await sendForJson('GET', `/api/audit?${new URLSearchParams({ ...filter, before: last })}`);
      setTold({ ...answer, lines: [...before, ...answer.lines] });
    } catch (problem) {
      setTrouble(/** @type {Error} */ (problem).message);
    }
  };
  useEffect(() => void read([]), [filter]);
  return html`<${Screen} title="Who did what" back=${to('settings')}>
    <${FromShop} asked=${people} what="The people">
      <div class="side-by-side">
        <${Choice}
          label="Person"
          value=${filter.person}
          choices=${(people.found?.people ?? []).map((/** @type {any} */ one) => [one.id, one.name])}
          onChange=${(/** @type {string} */ value) => setFilter({ ...filter, person: value })}
        />
        <${Choice}
          label="What was done"
          value=${filter.deed}
          choices=${Object.entries(told?.deeds ?? {}).map(([deed, words]) => [deed, sentence(words)])}
          onChange=${(/** @type {string} */ value) => setFilter({ ...filter, deed: value })}
        />
      </div>
    <//>
    ${trouble && html`<${Notice} tone="warn" title="The list could not be read"><p>${trouble}</p><button type="button" class="key" onClick=${() => void read([])}>Try again</button><//>`}
    ${told && !told.lines.length && html`<p class="soft">Nothing of this kind is written down.</p>`}
    <ol class="ruled audit">
      ${(told?.lines ?? []).map(
        (line) => html`<li key=${line.id} class="audit-line">
        <time class="soft figures" datetime=${new Date(line.at_ms).toISOString()}>${moment(line.at_ms)}</time>
        <p><strong>${line.person ?? (line.address ? phrase('Somebody') : phrase('At the server, somebody'))}</strong> ${line.words}${line.about ? `: ${line.about}` : ''}</p>
        <p class="soft">${[line.device && phrase('on {device}', { device: line.device }), line.address && phrase('from {address}', { address: line.address })].filter(Boolean).join(', ')}</p>
      </li>`,
      )}
    </ol>
    ${told?.more && html`<button type="button" class="key" onClick=${() => void read(told.lines)}>Earlier ones</button>`}
  <//>`;
}

/** @param {{label: string, value: string, choices: [string, string][], onChange: (value: string) => void}} props */
function Choice({ label, value, choices, onChange }) {
  const id = `audit-${label.toLowerCase().replaceAll(' ', '-')}`;
  return html`<div class="field">
    <label for=${id}>${label}</label>
    <select id=${id} onChange=${(/** @type {any} */ event) => onChange(event.target.value)}>
      <option value="" selected=${value === ''}>All</option>
      ${choices.map(([one, words]) => html`<option key=${one} value=${one} selected=${value === one}>${words}</option>`)}
    </select>
  </div>`;
}
