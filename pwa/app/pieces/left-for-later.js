/** What is left for later: codes that stand apart, and anything else, each with a word on why it matters. */
import { field } from '../declared.js';
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { GrowingField } from './growing.js';
import { Icon } from './icon.js';

/** @param {{form: import('./form.js').Form, words: string[]}} props  `words`: what each row is about, as the core says it */
export function LeftForLater({ form, words }) {
  /** @type {{code?: string, what?: string, component?: string, why?: string, text?: string, told?: boolean}[]} */
  const later = form.values.later ?? [];
  /** @param {number} index @param {any} changed */
  const change = (index, changed) =>
    form.set(
      'later',
      later.flatMap((one, at) => (at === index ? (changed ?? []) : one)),
    );
  const declared = field('case_closed', 'later');
  return html`<div class="field" role="group" aria-label=${declared.label}>
    <p><strong>${declared.label}</strong></p>
    <ul class="ruled">
      ${later.map(
        (one, index) => html`<li key=${index} class="later-row">
        ${(one.code || one.what) && words[index] && html`<p class="later-what">${one.code && html`<strong class="figures">${one.code}</strong> `}${words[index]}</p>`}
        ${one.what && html`<${Reasons} row=${one} onChange=${(/** @type {string | undefined} */ why) => change(index, { ...one, why })} />`}
        <${GrowingField}
          label=${one.code ? phrase('{code}: what and why', { code: one.code }) : phrase('What and why')}
          value=${one.text ?? ''}
          onInput=${(/** @type {string} */ text) => change(index, { ...one, text })}
          problem=${form.problemAt(`later.${index}.text`)}
        />
        <button
          type="button"
          class="key quiet"
          aria-label=${one.code ? phrase('Take {code} out', { code: one.code }) : phrase('Take this out')}
          onClick=${() => change(index, null)}
        ><${Icon} name="cross" /></button>
        <label class="choice later-told">
          <input type="checkbox" checked=${Boolean(one.told)} onChange=${(/** @type {any} */ event) => change(index, { ...one, told: event.target.checked || undefined })} /><span>The owner knows</span>
        </label>
      </li>`,
      )}
    </ul>
    <button
      type="button"
      class="key"
      onClick=${() => form.set('later', [...later, { text: '' }])}
    ><${Icon} name="plus" />Something else</button>
  </div>`;
}

/** Why it is left, in a tap. @param {{row: {what?: string, why?: string}, onChange: (why: string | undefined) => void}} props */
function Reasons({ row, onChange }) {
  const { label, choices = [] } = field('case_closed', 'later').of?.fields?.find(({ name }) => name === 'why') ?? {};
  return html`<div class="keys" role="group" aria-label=${label}>
    ${choices.map(
      ({ value, label: words }) => html`<button
        type="button"
        class="key"
        key=${value}
        aria-pressed=${row.why === value}
        onClick=${() => onChange(row.why === value ? undefined : value)}
      >${words}</button>`,
    )}
  </div>`;
}
