/** The road test: a clock that outlives the page, then what was felt. */
import { useEffect, useState } from 'preact/hooks';
import { field as declaredField } from '../declared.js';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { ChoiceField, Field } from '../pieces/fields.js';
import { useForm } from '../pieces/form.js';
import { Notice } from '../pieces/notice.js';
import { RecordScreen } from '../pieces/record-screen.js';
import { StillMoved } from '../pieces/still-moved.js';
import { phrase } from '../tongue.js';
import { percent } from '../words.js';

const MINUTE = 60e3; // ms
const UNTOLD = 'untold';

/** @param {{id: string}} props */
export function Drive({ id }) {
  const form = useForm(`form/${id}/drive`, () => ({}));
  const fixed = openCase.value?.diagnosis?.fixed;
  const { begun, driven = 0 } = form.values;
  const provoking = openCase.value?.view?.provoking ?? [];
  useEffect(() => {
    if (form.ready && !form.kept && provoking.length && !form.get('conditions')) form.set('conditions', provoking);
  }, [form.ready, provoking.join()]);
  /** @param {Record<string, any>} values */
  const toBody = ({ begun: started, driven: before, missed: where, untold, ...values }) => ({
    ...values,
    ...(missed(values) ? { missed: where, untold } : {}),
    ...(values.minutes === undefined && (started || before)
      ? { minutes: tenths((before ?? 0) + (started ? Date.now() - started : 0)) }
      : {}),
  });
  return html`<${RecordScreen}
    id=${id}
    title="Road test"
    kind="road_test"
    form=${form}
    toBody=${toBody}
    words="Record the road test"
  >
    ${
      fixed &&
      html`<${Notice} title=${fixed.driven ? phrase('Fixed by now: {p}', { p: percent(fixed.p) }) : phrase('Not proved yet')}>
      <p>${fixed.text}</p>
    <//>`
    }
    ${fixed && html`<${StillMoved} id=${id} />`}
    <${Clock}
      begun=${begun}
      driven=${driven}
      onStart=${() => form.set('begun', Date.now())}
      onStop=${() => stop(form)}
    />
    <${Field} kind="road_test" path="minutes" form=${form} help="Left empty while the clock runs: its minutes count." />
    <${Field} kind="road_test" path="felt" form=${form} />
    ${missed(form.values) && html`<${Missed} form=${form} engine=${openCase.value?.view?.engine} />`}
    <${Field} kind="road_test" path="lamp" form=${form} />
    <${Field}
      kind="road_test"
      path="conditions"
      form=${form}
      help=${provoking.length ? phrase('Chosen: when it missed before, so what the drive is to bring about. Change it to how the drive was.') : ''}
    />
    <${Field} kind="road_test" path="distance" form=${form} />
    <${Field} kind="road_test" path="note" form=${form} />
  <//>`;
}

/** @param {Record<string, any>} values */
function missed({ felt }) {
  return felt === 'sometimes' || felt === 'always';
}

/** Where it missed: cylinders, or that it could not be told. @param {{form: import('../pieces/form.js').Form, engine: any}} props */
function Missed({ form, engine }) {
  if (!engine) return null;
  const numbers = Array.from({ length: engine.cylinders }, (_, index) => String(index + 1));
  const choices = [
    ...numbers.map((number) => ({ value: number, label: number })),
    { value: UNTOLD, label: phrase('Could not tell') },
  ];
  const asText = {
    ...form,
    get: () => (form.get('untold') ? [UNTOLD] : (form.get('missed') ?? []).map(String)),
    set: (/** @type {string} */ _, /** @type {string[]} */ values) => {
      const untold = values.at(-1) === UNTOLD;
      const named = values.filter((value) => value !== UNTOLD).map(Number);
      form.set('untold', untold || undefined);
      form.set('missed', untold || !named.length ? undefined : named.sort((a, b) => a - b));
    },
  };
  const field = { ...declaredField('road_test', 'missed'), type: 'choices', choices };
  return html`<${ChoiceField}
    field=${field}
    path="missed"
    form=${asText}
    help=${phrase('Cylinders that missed, as felt or as codes or counters told.')}
  />`;
}

/** @param {import('../pieces/form.js').Form} form */
function stop(form) {
  const { begun, driven = 0 } = form.values;
  const whole = driven + (begun ? Date.now() - begun : 0);
  form.set('driven', whole);
  form.set('begun', undefined);
  form.set('minutes', tenths(whole));
}

/** @param {number} ms */
function tenths(ms) {
  return Math.round(ms / (MINUTE / 10)) / 10;
}

/** @param {{begun?: number, driven: number, onStart: () => void, onStop: () => void}} props */
function Clock({ begun, driven, onStart, onStop }) {
  const [now, setNow] = useState(Date.now());
  useEffect(() => {
    if (!begun) return;
    const timer = setInterval(() => setNow(Date.now()), 1000);
    return () => clearInterval(timer);
  }, [begun]);
  const seconds = Math.max(0, Math.floor((driven + (begun ? Math.max(now, begun) - begun : 0)) / 1000));
  const shown = `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, '0')}`;
  return html`<div class="clock">
    <p class="clock-time" role="timer" aria-label=${phrase('{n} minute driven|{n} minutes driven', { n: Math.floor(seconds / 60) })}>${shown}</p>
    ${
      begun
        ? html`<button type="button" class="key tall" onClick=${onStop}>Stop the clock</button>`
        : html`<button
          type="button"
          class="key tall"
          onClick=${onStart}
        >${driven ? phrase('Go on') : phrase('Start the clock')}</button>`
    }
  </div>`;
}
