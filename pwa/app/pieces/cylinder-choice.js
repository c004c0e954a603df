/** Which cylinder, or none. */
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { ChoiceField } from './fields.js';

/** @param {{form: import('./form.js').Form, path: string, engine: any, label?: string}} props */
export function CylinderChoice({ form, path, engine, label = phrase('Cylinder') }) {
  if (!engine) return null;
  const numbers = Array.from({ length: engine.cylinders }, (_, index) => ({
    value: String(index + 1),
    label: String(index + 1),
  }));
  const choices = [...numbers, { value: '', label: phrase('None ((cylinder))') }];
  const asText = {
    ...form,
    get: () => String(form.get(path) ?? ''),
    set: (/** @type {string} */ _, /** @type {string} */ value) => form.set(path, value ? Number(value) : undefined),
  };
  return html`<${ChoiceField} field=${{ type: 'choice', label, choices }} path=${path} form=${asText} />`;
}
