/** Taxes: what each is called, its rate, and on what it is taken. */
import { field } from '../declared.js';
import { html } from '../html.js';
import { ChoiceField, Field } from './fields.js';
import { Icon } from './icon.js';

/** @param {{form: import('./form.js').Form}} props */
export function TaxFields({ form }) {
  const taxes = form.values.taxes ?? [];
  const without = (/** @type {number} */ index) =>
    form.set(
      'taxes',
      taxes.filter((/** @type {any} */ _, /** @type {number} */ at) => at !== index),
    );
  // Lists are set whole: what is within one is given as a form of its own.
  const within = (/** @type {number} */ index) => ({
    ...form,
    get: (/** @type {string} */ path) => taxes[index][/** @type {string} */ (path.split('.').at(-1))],
    set: (/** @type {string} */ path, /** @type {any} */ value) => {
      const name = /** @type {string} */ (path.split('.').at(-1));
      form.set(
        'taxes',
        taxes.map((/** @type {any} */ tax, /** @type {number} */ at) =>
          at === index ? { ...tax, [name]: value === '' ? undefined : value } : tax,
        ),
      );
    },
  });
  return html`<section class="stack close" aria-label="Taxes">
    <h2>Taxes</h2>
    ${taxes.map(
      (/** @type {any} */ _, /** @type {number} */ index) => html`<fieldset class="field line-fields" key=${index}>
      <legend>Tax ${index + 1}</legend>
      <${Field} kind="prices_set" path="taxes.label" at=${`taxes.${index}.label`} form=${within(index)} />
      <${Field} kind="prices_set" path="taxes.rate" at=${`taxes.${index}.rate`} form=${within(index)} />
      <${ChoiceField} field=${field('prices_set', 'taxes.on')} path=${`taxes.${index}.on`} form=${within(index)} />
      <button type="button" class="key quiet" onClick=${() => without(index)}><${Icon} name="cross" />Take tax ${index + 1} out</button>
    </fieldset>`,
    )}
    <button type="button" class="key" onClick=${() => form.set('taxes', [...taxes, { label: '' }])}>
      <${Icon} name="plus" />A tax
    </button>
  </section>`;
}
