/** The engine, drawn as it is entered. What cannot be is said at the field, in the core's words. */
import { useEffect, useState } from 'preact/hooks';
import { ask } from '../../field/core.js';
import { field } from '../declared.js';
import { EngineDrawing } from '../engine-drawing.js';
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { ChoiceField, Field } from './fields.js';

/** @param {{form: import('./form.js').Form}} props */
export function EngineFields({ form }) {
  const entered = form.get('opened.engine') ?? {};
  const { engine, problems } = useEngine(entered);
  const told = {
    ...form,
    problemAt: (/** @type {string} */ path) => form.problemAt(path) || problemFor(problems, path),
  };
  const two = entered.layout === 'vee' || entered.layout === 'flat';
  return html`
    ${
      engine &&
      html`<${EngineDrawing}
        engine=${engine}
        orientation=${entered.orientation}
        label=${phrase('Engine from above: {cylinders} cylinders', { cylinders: engine.cylinders })}
      />`
    }
    <${Cylinders} form=${told} />
    <${Field} kind="case_opened" path="engine.layout" at="opened.engine.layout" form=${told} />
    <${Field} kind="case_opened" path="engine.orientation" at="opened.engine.orientation" form=${told} />
    <${Field} kind="case_opened" path="engine.ignition" at="opened.engine.ignition" form=${told} />
    ${
      two &&
      html`<${ChoiceField}
      field=${field('case_opened', 'engine.numbering')}
      path="opened.engine.numbering"
      form=${withUsual(told, engine)}
    />`
    }
    <${FiringOrder} form=${told} engine=${engine} />
    <${Field} kind="case_opened" path="vehicle.engine_name" at="opened.vehicle.engine_name" form=${form} />
  `;
}

/**
 * The core's answer to what is entered; the last possible engine stays drawn while an impossible one is being typed.
 * @param {any} entered
 */
function useEngine(entered) {
  const [told, setTold] = useState({ engine: /** @type {any} */ (null), problems: /** @type {any[]} */ ([]) });
  const key = JSON.stringify(entered);
  useEffect(() => {
    let gone = false;
    void ask('engine', entered, { topic: 'engine', priority: 3 }).then((answer) => {
      if (gone || answer.error) return;
      setTold((before) => ({ engine: answer.engine ?? before.engine, problems: answer.problems ?? [] }));
    });
    return () => {
      gone = true;
    };
  }, [key]);
  return told;
}

/** @param {{form: import('./form.js').Form}} props */
function Cylinders({ form }) {
  const path = 'opened.engine.cylinders';
  const now = form.get(path);
  const { min = 1, max = 12 } = field('case_opened', 'engine.cylinders');
  /** @param {number} by */
  const step = (by) => form.set(path, Math.min(max, Math.max(min, (Number(now) || 0) + by)));
  return html`<div class="stepper">
    <button
      type="button"
      class="key less"
      aria-label="One cylinder less"
      disabled=${now <= min}
      onClick=${() => step(-1)}
    >−</button>
    <${Field} kind="case_opened" path="engine.cylinders" at=${path} form=${form} extra=${{ class: 'numeral' }} />
    <button
      type="button"
      class="key more-of"
      aria-label="One cylinder more"
      disabled=${now >= max}
      onClick=${() => step(1)}
    >+</button>
  </div>`;
}

/** @param {{form: import('./form.js').Form, engine: any}} props */
function FiringOrder({ form, engine }) {
  const path = 'opened.engine.firing_order';
  const declared = { ...field('case_opened', 'engine.firing_order'), type: /** @type {const} */ ('text') };
  const typed = form.get('firingTyped') ?? '';
  const usual = engine?.firing_order?.join('-');
  const asText = {
    ...form,
    get: () => typed,
    /** @param {string} _ @param {string} text */
    set(_, text) {
      form.set('firingTyped', text);
      form.set(path, numbers(text));
    },
  };
  return html`<${TextAsTyped}
    field=${declared}
    path=${path}
    form=${asText}
    help=${`${declared.help ?? ''} ${phrase('Left empty: {usual}.', { usual: usual ?? phrase('the usual one') })}`}
  />`;
}

/** @param {import('./fields.js').FieldProps} props */
function TextAsTyped(props) {
  const id = 'f-firing-order';
  const problem = props.form.problemAt(props.path);
  return html`<div class="field">
    <label for=${id}>${props.field.label}</label>
    <p class="help" id=${`${id}-help`}>${props.help}</p>
    <input
      id=${id}
      type="text"
      inputmode="text"
      autocomplete="off"
      placeholder="1-3-4-2"
      aria-describedby=${`${id}-help${problem ? ` ${id}-problem` : ''}`}
      aria-invalid=${problem ? 'true' : undefined}
      value=${props.form.get(props.path)}
      onInput=${(/** @type {any} */ event) => props.form.set(props.path, event.target.value)}
    />
    ${problem && html`<p class="problem" id=${`${id}-problem`}>${problem}</p>`}
  </div>`;
}

/** "1-3-4-2", "1 3 4 2" or "1342". @param {string} text */
function numbers(text) {
  const found = text.match(/\d+/g) ?? [];
  const split = found.length === 1 && found[0].length > 2 ? [...found[0]] : found;
  return split.map(Number);
}

/**
 * The numbering that the core takes where none is chosen shows as chosen.
 * @param {import('./form.js').Form} form
 * @param {any} engine
 */
function withUsual(form, engine) {
  return { ...form, get: (/** @type {string} */ path) => form.get(path) ?? engine?.numbering };
}

/** @param {any[]} problems @param {string} path */
function problemFor(problems, path) {
  return problems.find((problem) => `opened.${problem.field}` === path)?.message ?? '';
}
