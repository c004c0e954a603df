/** Numbers, and quantities that are kept in SI together with what was typed. */
import { useState } from 'preact/hooks';
import { unitsOf } from '../declared.js';
import { html } from '../html.js';
import { changeSettings, settings } from '../settings.js';
import { phrase } from '../tongue.js';
import { firstUnit, plainNumber, quantity } from '../units.js';
import { partsOf } from './fields.js';

/** @param {import('./fields.js').FieldProps} props */
export function NumberField(props) {
  const { field, path, form, extra } = props;
  const parts = partsOf(props);
  const held = form.get(path);
  // "1." is on its way to 1.5: what is typed stands in the field as long as it means what the form holds.
  const [typed, setTyped] = useState('');
  const shown = (plainNumber(typed) ?? typed.trim()) === (held ?? '') ? typed : String(held ?? '');
  /** @param {Event} event */
  const onInput = (event) => {
    const text = /** @type {HTMLInputElement} */ (event.target).value;
    setTyped(text);
    // What is no number stays as typed, so that the check can name it and nothing is lost.
    form.set(path, plainNumber(text) ?? text.trim());
  };
  return html`<div class="field">
    <label for=${parts.id}>${parts.label}${unitWords(field)}</label>
    ${parts.help}
    <input
      type="text"
      inputmode=${field.type === 'integer' ? 'numeric' : 'decimal'}
      autocomplete="off"
      ...${parts.attributes}
      value=${shown}
      onInput=${onInput}
      ...${extra}
    />
    ${parts.problem}
  </div>`;
}

/**
 * The unit behind the label, where the label does not say it: "Minutes" needs no "(min)".
 * @param {import('./fields.js').Declared} field
 */
function unitWords({ label, unit }) {
  return unit && !label.toLowerCase().startsWith(unit) ? ` (${unit})` : '';
}

/** @param {import('./fields.js').FieldProps & {dimension?: string, begins?: string}} props  `begins`: the unit of this field while nobody chose one */
export function QuantityField(props) {
  const { field, path, form } = props;
  const parts = partsOf(props);
  const dimension = props.dimension ?? field.dimension ?? 'any';
  const units = unitsOf(dimension);
  const held = form.get(path);
  const [picked, setPicked] = useState('');
  const unit = (held?.unit ?? (picked || props.begins)) || firstUnit(dimension);
  /** @param {string} typed @param {string} inUnit */
  const change = (typed, inUnit) => form.set(path, typed.trim() ? quantity(typed, inUnit, dimension) : undefined);
  /** @param {Event} event */
  const onUnit = (event) => {
    const chosen = /** @type {HTMLSelectElement} */ (event.target).value;
    setPicked(chosen);
    if (!props.begins) changeSettings({ typedUnits: { ...settings.value.typedUnits, [dimension]: chosen } });
    if (held) change(held.typed, chosen);
  };
  return html`<div class="field">
    <label for=${parts.id}>${parts.label}</label>
    ${parts.help}
    <div class="with-unit">
      <input
        type="text"
        inputmode="decimal"
        autocomplete="off"
        ...${parts.attributes}
        value=${held?.typed ?? ''}
        onInput=${(/** @type {any} */ event) => change(event.target.value, unit)}
      />
      <select aria-label=${phrase('Unit of {label}', { label: parts.label.toLowerCase() })} value=${unit} onChange=${onUnit}>
        ${units.map(
          (one) => html`<option
          key=${one.unit}
          value=${one.unit}
          selected=${one.unit === unit}
        >${one.unit}</option>`,
        )}
      </select>
    </div>
    ${parts.problem}
  </div>`;
}
