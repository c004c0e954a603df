/** The engine, drawn as it is entered. What cannot be is said at the field, in the core's words. */
import { useEffect, useState } from 'preact/hooks';
import { ask } from '../../field/core.js';
import { field, labelOf } from '../declared.js';
import { EngineDrawing } from '../engine-drawing.js';
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { ChoiceField, Field } from './fields.js';
import { Fold } from './fold.js';

/** Numbers of cylinders that are met most often; any other is typed. */
const OFTEN = [3, 4, 5, 6, 8];
const CYLINDERS = 'opened.engine.cylinders';
const ORDER = 'opened.engine.firing_order';
const NUMBERING = 'opened.engine.numbering';

/**
 * How many cylinders and how they stand; the rest is folded, preset, and says so. With two banks the numbering stands
 * open beside its drawing: of the wrong bank the wrong part would come out.
 * @param {{form: import('./form.js').Form}} props
 */
export function EngineFields({ form }) {
  const entered = form.get('opened.engine') ?? {};
  const { engine, problems } = useEngine(entered);
  const told = {
    ...form,
    problemAt: (/** @type {string} */ path) => form.problemAt(path) || problemFor(problems, path),
  };
  const two = entered.layout === 'vee' || entered.layout === 'flat';
  const order = engine?.firing_order?.join('\u2011') ?? ''; // hyphens at which no line ends
  const drawn = { ignition: labelOf('case_opened', 'engine.ignition', entered.ignition), order };
  const words = entered.firing_order ? phrase('{ignition}; firing order {order}', drawn) : phrase('{ignition}; firing order {order} (preset)', drawn);
  const refused = ['opened.engine.ignition', ORDER].some((path) => told.problemAt(path));
  const drawing =
    engine &&
    html`<${EngineDrawing}
      engine=${engine}
      orientation=${entered.orientation}
      label=${phrase('Engine from above: {cylinders} cylinders', { cylinders: engine.cylinders })}
    />`;
  const orientation = html`<${Field} kind="case_opened" path="engine.orientation" at="opened.engine.orientation" form=${told} />`;
  return html`
    <div class="cylinders-and-layout">
      <${Cylinders} form=${told} />
      <${Field} kind="case_opened" path="engine.layout" at="opened.engine.layout" form=${told} />
    </div>
    ${two && html`${drawing}<${Numbering} form=${told} engine=${engine} />${orientation}`}
    <${Fold} words=${words} open=${refused}>
      ${!two && drawing}
      <${Field} kind="case_opened" path="engine.ignition" at="opened.engine.ignition" form=${told} />
      <${FiringOrder} form=${told} engine=${engine} />
      ${!two && orientation}
    <//>
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

/** @param {{form: import('./form.js').Form, engine: any}} props */
function Numbering({ form, engine }) {
  const declared = field('case_opened', 'engine.numbering');
  const help = form.get(NUMBERING) ? declared.help : phrase('Preset: compare the drawing with the maker\'s information.');
  return html`<${ChoiceField} field=${declared} path=${NUMBERING} form=${withUsual(form, engine)} help=${help} />`;
}

/** A key for each usual number, and a field for any other. @param {{form: import('./form.js').Form}} props */
function Cylinders({ form }) {
  const now = form.get(CYLINDERS);
  const [other, setOther] = useState(false);
  const typed = other || (now !== undefined && !OFTEN.includes(now));
  const declared = field('case_opened', 'engine.cylinders');
  const choices = OFTEN.map((number) => ({ value: String(number), label: String(number) }));
  const asKeys = {
    ...form,
    get: () => (typed ? 'other' : String(now)),
    set: (/** @type {string} */ _, /** @type {string} */ value) => {
      setOther(value === 'other');
      if (value !== 'other') form.set(CYLINDERS, Number(value));
    },
    problemAt: () => '',
  };
  return html`
    <div class="numerals">
      <${ChoiceField}
        field=${{ ...declared, type: 'choice', choices: [...choices, { value: 'other', label: phrase('Other') }] }}
        path="cylinders"
        form=${asKeys}
      />
    </div>
    ${typed && html`<${Field} kind="case_opened" path="engine.cylinders" at=${CYLINDERS} form=${form} label=${phrase('Number of cylinders')} />`}
  `;
}

/** @param {{form: import('./form.js').Form, engine: any}} props */
function FiringOrder({ form, engine }) {
  const declared = { ...field('case_opened', 'engine.firing_order'), type: /** @type {const} */ ('text') };
  const given = form.get(ORDER);
  const typed = form.get('firingTyped') ?? given?.join('-') ?? '';
  const preset = given ? '' : (engine?.firing_order?.join('-') ?? '');
  const asText = {
    ...form,
    get: () => typed,
    /** @param {string} _ @param {string} text */
    set(_, text) {
      form.set('firingTyped', text);
      form.set(ORDER, numbers(text));
    },
  };
  const help = preset
    ? phrase('Left empty it is {order}: a preset for such an engine, to be checked against the maker\'s information.', { order: preset })
    : (declared.help ?? '');
  return html`<${TextAsTyped} field=${declared} path=${ORDER} form=${asText} help=${help} placeholder=${preset} />`;
}

/** @param {import('./fields.js').FieldProps & {placeholder: string}} props */
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
      placeholder=${props.placeholder}
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
