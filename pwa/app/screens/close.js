/** Closing: the confirmed cause, what is left for later, advice to the owner. */
import { useEffect } from 'preact/hooks';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { Field } from '../pieces/fields.js';
import { useForm } from '../pieces/form.js';
import { LeftForLater } from '../pieces/left-for-later.js';
import { Notice } from '../pieces/notice.js';
import { RecordScreen } from '../pieces/record-screen.js';
import { to } from '../route.js';
import { phrase } from '../tongue.js';
import { percent } from '../words.js';

const PROVED = 0.95; // from here on a repair counts as proved on the road
const LIKELY = 0.5; // from here on the leading explanation stands as the cause to be confirmed

/** @param {{id: string}} props */
export function Close({ id }) {
  const form = useForm(`form/${id}/close`, () => ({}));
  const open = openCase.value;
  const { view, diagnosis } = open ?? {};
  useEffect(() => {
    if (form.ready && !form.kept && view && form.values.later === undefined) form.set('later', apart(view));
  }, [form.ready, Boolean(view)]);
  useEffect(() => {
    if (form.ready && !form.kept && diagnosis?.explanations?.[0]?.p > LIKELY && !form.values.cause)
      choose(diagnosis?.explanations[0]);
  }, [form.ready, Boolean(diagnosis)]);
  const fixed = diagnosis?.fixed;
  const leading = (diagnosis?.explanations ?? []).slice(0, 4);
  /** @param {Record<string, any>} values */
  const toBody = ({ chosen, ...values }) => ({
    ...values,
    ...(diagnosis ? { probabilities: { explanations: leading.map(shortly), fixed: fixed ?? null } } : {}),
  });
  /** @param {any} explanation */
  const choose = (explanation) => {
    form.set('chosen', explanation.label);
    form.set('cause', explanation.label);
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
    ${fixed && (!fixed.driven || fixed.p < PROVED) && html`<${Notice} tone="warn" title=${fixedWords(fixed)}><p>${fixed.text}</p><//>`}
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
          /><span>${one.label} (${percent(one.p)})</span>
        </label>`,
        )}
      </div>
    </div>`
    }
    <${Field} kind="case_closed" path="cause" form=${form} />
    <${LeftForLater} form=${form} />
    <${Field} kind="case_closed" path="advice" form=${form} />
  <//>`;
}

/** As it is said now, and its faults, by which a report says it in another language. @param {any} explanation */
function shortly({ label, p, faults }) {
  return { label, p, faults: faults.map((/** @type {any} */ { component, state, gone }) => ({ component, state, gone })) };
}

/** Codes that stand apart from the miss and have not stayed away. @param {any} view */
function apart(view) {
  const { rows, cleared, read_since_clear: readSince } = view.codes;
  return rows
    .filter((/** @type {any} */ row) => row.bearing === 'apart' && !(cleared && readSince && !row.since_clear))
    .map((/** @type {any} */ row) => ({ code: row.code, text: row.text }));
}

/** @param {any} fixed */
function fixedWords(fixed) {
  return fixed.driven ? phrase('Fixed by now: {p}', { p: percent(fixed.p) }) : phrase('Not proved yet');
}
