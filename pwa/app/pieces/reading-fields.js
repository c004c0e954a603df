/** A reading with its unit, or a count, beside the finding. */
import { field } from '../declared.js';
import { html } from '../html.js';
import { NumberField, QuantityField } from './number-fields.js';

/**
 * @param {{check: import('../declared.js').Check, values: Record<string, any>, onChange: (values: Record<string, any>) => void}} props
 */
export function ReadingFields({ check, values, onChange }) {
  const form = /** @type {import('./form.js').Form} */ (
    /** @type {unknown} */ ({
      get: (/** @type {string} */ path) => values[path],
      set: (/** @type {string} */ path, /** @type {any} */ value) => onChange({ ...values, [path]: value }),
      problemAt: () => '',
    })
  );
  if (check.dimension)
    return html`<${QuantityField}
      field=${field('check', 'reading')}
      dimension=${check.dimension}
      path="reading"
      form=${form}
    />`;
  if (check.key === 'misfire_counts')
    return html`<${NumberField} field=${field('check', 'count')} path="count" form=${form} />`;
  return null;
}

/** The part of a body that was read, without what was left empty. @param {Record<string, any>} values */
export function readingOf(values) {
  return Object.fromEntries(Object.entries(values).filter(([, value]) => value !== undefined && value !== ''));
}
