/** How a cylinder is disabled for the drop test: codes that this sets count for nothing until the next clear. */
import { field } from '../declared.js';
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { ChoiceField } from './fields.js';

/** @param {{value: string, missing: boolean, onChange: (value: string) => void}} props */
export function DisabledBy({ value, missing, onChange }) {
  const form = /** @type {import('./form.js').Form} */ (
    /** @type {unknown} */ ({
      get: () => value,
      set: (/** @type {string} */ _, /** @type {string} */ chosen) => onChange(chosen),
      problemAt: () => (missing ? phrase('Say how, then tap the finding.') : ''),
    })
  );
  return html`<${ChoiceField} field=${field('check', 'disabled')} path="disabled" form=${form} />`;
}
