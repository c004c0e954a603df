/** The codes of the reading at hand: each can be corrected or taken out. */
import { useEffect, useState } from 'preact/hooks';
import { ask } from '../../field/core.js';
import { field } from '../declared.js';
import { html } from '../html.js';
import { caseView } from '../open-case.js';
import { phrase } from '../tongue.js';
import { bearingWords } from './codes-now.js';
import { Icon } from './icon.js';
import { Notice } from './notice.js';

/** @typedef {import('../codes-found.js').Read} Read */

/** @param {{codes: Read[], onChange: (codes: Read[]) => void, problemAt: (path: string) => string}} props */
export function CodeList({ codes, onChange, problemAt }) {
  if (!codes.length) return null;
  /** @param {number} index @param {Read | null} changed  null: taken out */
  const change = (index, changed) => onChange(codes.flatMap((one, at) => (at === index ? (changed ?? []) : one)));
  return html`<section class="stack close" aria-label="This reading">
    <h2>This reading</h2>
    <${OpenStatus} codes=${codes} onChange=${onChange} />
    <ul class="ruled">
      ${codes.map(
        (read, index) => html`<li key=${`${read.code}-${read.status}`}>
          <${Row}
            read=${read}
            beside=${codes.map(({ code }) => code).join(' ')}
            problem=${problemAt(`codes.${index}.code`) || problemAt(`codes.${index}.status`)}
            onChange=${(/** @type {Read | null} */ changed) => change(index, changed)}
          />
        </li>`,
      )}
    </ul>
  </section>`;
}

/** A status that the text gives to the last of a list only: whether it is the others' too is the person's to say. @param {{codes: Read[], onChange: (codes: Read[]) => void}} props */
function OpenStatus({ codes, onChange }) {
  const status = codes.find((one) => one.open)?.open;
  if (!status) return null;
  const meant = codes.filter((one) => one.open === status);
  const others = meant.map(({ code }) => code).join(', ');
  const word = field('codes_read', 'codes.status').choices?.find((one) => one.value === status)?.label ?? status;
  /** @param {string | undefined} chosen */
  const settle = (chosen) => onChange(codes.map((one) => (one.open === status ? { ...one, status: chosen ?? one.status, open: undefined } : one)));
  return html`<${Notice} tone="warn">
    <p>${phrase('The text has “{word}” beside the last code only. Is it meant for {others} too?', { word, others })}</p>
    <div class="keys">
      <button type="button" class="key" onClick=${() => settle(status)}>${phrase('For all: {word}', { word })}</button>
      <button type="button" class="key" onClick=${() => settle(undefined)}>Only for the last</button>
    </div>
  <//>`;
}

/** @param {{read: Read, beside: string, problem: string, onChange: (changed: Read | null) => void}} props  `beside`: all codes of the reading */
function Row({ read, beside, problem, onChange }) {
  const [told, setTold] = useState(/** @type {any} */ (null));
  const cylinders = caseView.value?.engine?.cylinders;
  useEffect(() => {
    let gone = false;
    void ask('explain_code', { code: read.code, beside: beside.split(' '), cylinders }).then((answer) => {
      if (!gone && !answer.error) setTold(answer);
    });
    return () => {
      gone = true;
    };
  }, [read.code, beside, cylinders]);
  const statuses = field('codes_read', 'codes.status').choices ?? [];
  return html`<div class="code-row edit">
    <span class="code figures">${read.code}</span>
    <select
      aria-label=${phrase('Status of {code}', { code: read.code })}
      value=${read.status}
      onChange=${(/** @type {any} */ event) => onChange({ ...read, status: event.target.value, open: undefined })}
    >
      ${statuses.map(
        (one) => html`<option
        key=${one.value}
        value=${one.value}
        selected=${one.value === read.status}
      >${one.label}</option>`,
      )}
    </select>
    <button
      type="button"
      class="key quiet"
      aria-label=${phrase('Take {code} out', { code: read.code })}
      onClick=${() => onChange(null)}
    ><${Icon} name="cross" /></button>
    <span class="code-text">${told?.text ?? read.words ?? ''}${read.note ? ` (${read.note})` : ''}</span>
    ${
      told &&
      html`<span class="code-bearing hand">
      ${bearingWords(told)}
    </span>`
    }
    ${told?.doubt && html`<p class="problem">${told.doubt}</p>`}
    ${problem && html`<p class="problem">${problem}</p>`}
  </div>`;
}
