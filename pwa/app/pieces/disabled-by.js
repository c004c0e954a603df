/**
 * How a cylinder is disabled for the drop test: codes that this sets count for nothing until the next clear. It is asked
 * once; after that it is one line that can be changed.
 */
import { useState } from 'preact/hooks';
import { field } from '../declared.js';
import { html } from '../html.js';
import { settings } from '../settings.js';
import { phrase } from '../tongue.js';
import { ChoiceField } from './fields.js';

/**
 * What is taken until something else is said: as in the last drop test of the case, else as in the last on this phone.
 * @param {import('../../field/log.js').Entry[]} entries
 * @returns {string}
 */
export function lastDisabledBy(entries) {
  const last = entries.findLast((entry) => entry.kind === 'check' && entry.body.check === 'drop' && entry.body.disabled);
  return last?.body.disabled ?? settings.value.disabledBy;
}

/** @param {{value: string, missing: boolean, onChange: (value: string) => void}} props */
export function DisabledBy({ value, missing, onChange }) {
  const [changing, setChanging] = useState(false);
  const declared = field('check', 'disabled');
  if (value && !changing) {
    const how = declared.choices?.find((one) => one.value === value)?.label ?? value;
    return html`<p class="disabled-by">
      <span>${phrase('Disabled by: {how}', { how: how.toLowerCase() })}</span>
      <button type="button" class="key quiet" aria-label="Change how it is disabled" onClick=${() => setChanging(true)}>Change</button>
    </p>`;
  }
  const form = /** @type {import('./form.js').Form} */ (
    /** @type {unknown} */ ({
      get: () => value,
      set: (/** @type {string} */ _, /** @type {string} */ chosen) => {
        setChanging(false);
        onChange(chosen);
      },
      problemAt: () => (missing ? phrase('Say this first, then tap what was found.') : ''),
    })
  );
  return html`<div class=${`one-a-line ask-first ${missing ? 'missed' : ''}`}>
    <${ChoiceField} field=${declared} path="disabled" form=${form} />
  </div>`;
}
