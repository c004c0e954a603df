/** Form fields drawn from the declaration of kinds: label, help, choices and limits are the core's. */
import { field as declaredField } from '../declared.js';
import { html } from '../html.js';
import { GrowingLine } from './growing.js';
import { NumberField, QuantityField } from './number-fields.js';

/**
 * @typedef {import('../../field/kinds.js').Field} Declared
 * @typedef {import('./form.js').Form} Form
 * @typedef {object} FieldProps
 * @property {Declared} field
 * @property {string} path
 * @property {Form} form
 * @property {string} [label]  where the declared one does not fit the place
 * @property {string} [help]
 * @property {Record<string, any>} [extra]  attributes of the input
 * @property {boolean} [grows]  a line that may be long
 */

/**
 * The field of a kind at a path; `at` where the form holds it elsewhere.
 * @param {{kind: string, path: string, at?: string, form: Form, label?: string, help?: string, extra?: Record<string, any>, grows?: boolean}} props
 */
export function Field({ kind, path, at = path, ...rest }) {
  return html`<${AnyField} field=${declaredField(kind, path)} path=${at} ...${rest} />`;
}

/** @param {FieldProps} props */
export function AnyField(props) {
  switch (props.field.type) {
    case 'choice':
    case 'choices':
      return html`<${ChoiceField} ...${props} />`;
    case 'integer':
    case 'number':
      return html`<${NumberField} ...${props} />`;
    case 'quantity':
      return html`<${QuantityField} ...${props} />`;
    case 'flag':
      return html`<${FlagField} ...${props} />`;
    default:
      return html`<${TextField} ...${props} />`;
  }
}

/**
 * What every field shares: label, help, problem, and how they hang together for a screen reader.
 * @param {FieldProps} props
 */
export function partsOf({ field, path, form, label, help }) {
  const id = `f-${path.replaceAll('.', '-')}`;
  const problem = form.problemAt(path);
  const hint = help ?? field.help;
  const described = [hint && `${id}-help`, problem && `${id}-problem`].filter(Boolean).join(' ');
  return {
    id,
    label: `${label ?? field.label}`,
    attributes: {
      id,
      'aria-describedby': described || undefined,
      'aria-invalid': problem ? 'true' : undefined,
      'aria-required': field.required ? 'true' : undefined,
    },
    help: hint && html`<p class="help" id=${`${id}-help`}>${hint}</p>`,
    problem: problem && html`<p class="problem" id=${`${id}-problem`}>${problem}</p>`,
  };
}

/**
 * Takes text of any length: the check refuses what is too long in words, a limit here would cut it in silence.
 * @param {FieldProps} props
 */
function TextField(props) {
  const { field, path, form, extra, grows } = props;
  const parts = partsOf(props);
  /** @param {Event} event */
  const onInput = (event) => form.set(path, /** @type {HTMLInputElement} */ (event.target).value);
  const shared = { ...parts.attributes, value: form.get(path) ?? '', onInput, autocomplete: 'off', ...extra };
  return html`<div class="field">
    <label for=${parts.id}>${parts.label}</label>
    ${parts.help}
    ${
      field.lines
        ? html`<textarea rows="3" ...${shared}></textarea>`
        : grows
          ? html`<${GrowingLine} ...${shared} />`
          : html`<input
          type=${field.type === 'date' ? 'date' : 'text'}
          max=${field.past ? dateBefore(0) : undefined}
          ...${shared}
        />`
    }
    ${parts.problem}
  </div>`;
}

/** Radio buttons or boxes as keys of thumb's size. @param {FieldProps} props */
export function ChoiceField(props) {
  const { field, path, form } = props;
  const parts = partsOf(props);
  const many = field.type === 'choices';
  const chosen = form.get(path) ?? (many ? [] : undefined);
  /** @param {string} value */
  const choose = (value) => {
    if (!many) form.set(path, value);
    else if (chosen.includes(value))
      form.set(
        path,
        chosen.filter((/** @type {string} */ one) => one !== value),
      );
    else form.set(path, [...chosen, value]);
  };
  return html`<fieldset class="field" aria-describedby=${parts.attributes['aria-describedby']}>
    <legend>${parts.label}</legend>
    ${parts.help}
    <div class="choices">
      ${(field.choices ?? []).map(
        (choice) => html`<label class="choice" key=${choice.value}>
          <input
            type=${many ? 'checkbox' : 'radio'}
            name=${parts.id}
            value=${choice.value}
            checked=${many ? chosen.includes(choice.value) : chosen === choice.value}
            aria-invalid=${parts.attributes['aria-invalid']}
            onChange=${() => choose(choice.value)}
          /><span>${choice.label}</span>
        </label>`,
      )}
    </div>
    ${parts.problem}
  </fieldset>`;
}

/** @param {FieldProps} props */
function FlagField(props) {
  const { path, form } = props;
  const parts = partsOf(props);
  return html`<div class="field">
    <label class="choice">
      <input
        type="checkbox"
        ...${parts.attributes}
        checked=${form.get(path) ?? false}
        onChange=${() => form.set(path, !form.get(path) || undefined)}
      />
      <span>${parts.label}</span>
    </label>
    ${parts.help} ${parts.problem}
  </div>`;
}

/** The date here, so many days before today, as a field of dates holds it. @param {number} days */
export function dateBefore(days) {
  const then = new Date();
  then.setDate(then.getDate() - days);
  return new Date(then.getTime() - then.getTimezoneOffset() * 60000).toISOString().slice(0, 10);
}
