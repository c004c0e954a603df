/** Closing: what is open still, the confirmed cause, what is left for later, advice to the owner. */
import { useEffect } from 'preact/hooks';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { Checklist, useChecklist } from '../pieces/checklist.js';
import { Field } from '../pieces/fields.js';
import { useForm } from '../pieces/form.js';
import { LeftForLater } from '../pieces/left-for-later.js';
import { OpenPoints } from '../pieces/open-points.js';
import { RecordScreen } from '../pieces/record-screen.js';
import { to } from '../route.js';
import { phrase } from '../tongue.js';
import { percent } from '../words.js';

/** How an explanation is told as the cause; one kept by an earlier release has no words of its own for that. @param {any} one */
const causeOf = (one) => one.cause ?? one.label;
const LIKELY = 0.5; // from here on the leading explanation may stand as the confirmed cause,
const PROVED = 0.95; // where the repair is proved: core/proving.py; until then it is only offered

/** @param {{id: string}} props */
export function Close({ id }) {
  const form = useForm(`form/${id}/close`, () => ({}));
  const open = openCase.value;
  const { view, diagnosis } = open ?? {};
  useEffect(() => {
    if (form.ready && !form.kept && view && form.values.later === undefined) form.set('later', leftForLater(view));
  }, [form.ready, Boolean(view)]);
  useEffect(() => {
    const proved = diagnosis?.fixed?.p >= PROVED && diagnosis?.explanations[0]?.p > LIKELY;
    if (form.ready && !form.kept && proved && !form.values.cause) choose(diagnosis?.explanations[0]);
  }, [form.ready, Boolean(diagnosis)]);
  const fixed = diagnosis?.fixed;
  const leading = (diagnosis?.explanations ?? []).slice(0, 4);
  const later = form.values.later ?? [];
  const { lines, left } = useChecklist(id, later);
  const unsettled = (lines ?? []).some((line) => line.state === 'do');
  /** @param {Record<string, any>} values */
  const toBody = ({ chosen, despite, ...values }) => {
    if (unsettled && !despite?.trim()) {
      form.refuse([{ field: 'despite', message: phrase('Points are open: settle them, or say why it is closed all the same.') }]);
      return null;
    }
    return {
      ...values,
      ...(unsettled ? { despite: despite.trim() } : {}),
      ...(diagnosis ? { probabilities: { explanations: leading.map(shortly), fixed: fixed ?? null } } : {}),
    };
  };
  /** @param {any} explanation */
  const choose = (explanation) => {
    form.set('chosen', explanation.label);
    form.set('cause', causeOf(explanation));
    form.set(
      'components',
      explanation.faults.map((/** @type {any} */ fault) => fault.component),
    );
  };
  return html`<${RecordScreen}
    id=${id}
    title="Close the case"
    kind="case_closed"
    form=${form}
    toBody=${toBody}
    words="Close the case"
    next=${to('case', id, 'report')}
  >
    <${Checklist} id=${id} lines=${lines} onLater=${(/** @type {any} */ row) => form.set('later', [...later, row])} />
    ${
      leading.length > 0 &&
      html`<div class="field" role="group" aria-label="What the findings say">
      <p><strong>What the findings say</strong></p>
      <div class="choices">
        ${leading.map(
          (/** @type {any} */ one) => html`<label
          class="choice"
          key=${one.label}
        >
          <input
            type="radio"
            name="cause"
            checked=${form.values.chosen === one.label}
            onChange=${() => choose(one)}
          /><span>${causeOf(one)} (${percent(one.p)})</span>
        </label>`,
        )}
      </div>
    </div>`
    }
    <${Field} kind="case_closed" path="cause" form=${form} grows=${true} />
    <${LeftForLater} form=${form} words=${left} />
    <${Field} kind="case_closed" path="advice" form=${form} grows=${true} />
    ${unsettled && html`<${OpenPoints} form=${form} lines=${lines} />`}
  <//>`;
}

/** As it is said now, and its faults, by which a report says it in another language. @param {any} explanation */
function shortly({ label, cause, p, faults }) {
  return { label, cause, p, faults: faults.map((/** @type {any} */ { component, state, gone }) => ({ component, state, gone })) };
}

/** Codes that stand apart from the miss and have not stayed away. @param {any} view */
function apart(view) {
  return view.codes.rows
    .filter((/** @type {any} */ row) => row.bearing === 'apart' && !stayedAway(view, row))
    .map((/** @type {any} */ row) => ({ code: row.code }));
}

/** @param {any} view @param {any} row  of its codes */
function stayedAway(view, row) {
  return view.codes.cleared && view.codes.read_since_clear && !row.since_clear;
}

/** What is to be left for later: as an earlier closing left it, and codes that stand apart since. @param {any} view */
function leftForLater(view) {
  const gone = view.codes.rows.filter((/** @type {any} */ row) => stayedAway(view, row)).map((/** @type {any} */ row) => row.code);
  // A view that an earlier release kept does not know what was left.
  const left = (view.left ?? []).filter((/** @type {any} */ row) => !gone.includes(row.code));
  const codes = left.map((/** @type {any} */ row) => row.code);
  return [...left, ...apart(view).filter((/** @type {any} */ row) => !codes.includes(row.code))];
}
