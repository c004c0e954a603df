/** The codes of the reading at hand: each can be corrected or taken out. */
import { useEffect, useState } from 'preact/hooks';
import { ask } from '../../field/core.js';
import { field } from '../declared.js';
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { BEARINGS } from './codes-now.js';
import { Icon } from './icon.js';

/** @typedef {{code: string, status: string, words?: string, note?: string}} Read */

/** @param {{codes: Read[], onChange: (codes: Read[]) => void, problemAt: (path: string) => string}} props */
export function CodeList({ codes, onChange, problemAt }) {
  if (!codes.length) return null;
  /** @param {number} index @param {Read | null} changed  null: taken out */
  const change = (index, changed) => onChange(codes.flatMap((one, at) => (at === index ? (changed ?? []) : one)));
  return html`<section class="stack close" aria-label="This reading">
    <h2>This reading</h2>
    <ul class="ruled">
      ${codes.map(
        (read, index) => html`<li key=${`${read.code}-${read.status}`}>
          <${Row}
            read=${read}
            problem=${problemAt(`codes.${index}.code`) || problemAt(`codes.${index}.status`)}
            onChange=${(/** @type {Read | null} */ changed) => change(index, changed)}
          />
        </li>`,
      )}
    </ul>
  </section>`;
}

/** @param {{read: Read, problem: string, onChange: (changed: Read | null) => void}} props */
function Row({ read, problem, onChange }) {
  const [told, setTold] = useState(/** @type {any} */ (null));
  useEffect(() => {
    let gone = false;
    void ask('explain_code', { code: read.code }).then((answer) => {
      if (!gone && !answer.error) setTold(answer);
    });
    return () => {
      gone = true;
    };
  }, [read.code]);
  const statuses = field('codes_read', 'codes.status').choices ?? [];
  return html`<div class="code-row edit">
    <span class="code figures">${read.code}</span>
    <select
      aria-label=${phrase('Status of {code}', { code: read.code })}
      value=${read.status}
      onChange=${(/** @type {any} */ event) => onChange({ ...read, status: event.target.value })}
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
      ${BEARINGS[told.bearing] ?? ''}${told.reason ? `: ${told.reason}` : ''}
    </span>`
    }
    ${problem && html`<p class="problem">${problem}</p>`}
  </div>`;
}
