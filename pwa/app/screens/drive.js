/** The road test: a clock that outlives the page, then what was felt. */
import { useEffect, useState } from 'preact/hooks';
import { html } from '../html.js';
import { openCase } from '../open-case.js';
import { Field } from '../pieces/fields.js';
import { useForm } from '../pieces/form.js';
import { Notice } from '../pieces/notice.js';
import { RecordScreen } from '../pieces/record-screen.js';
import { phrase } from '../tongue.js';
import { percent } from '../words.js';

const MINUTE = 60e3; // ms

/** @param {{id: string}} props */
export function Drive({ id }) {
  const form = useForm(`form/${id}/drive`, () => ({}));
  const fixed = openCase.value?.diagnosis?.fixed;
  const { begun, driven = 0 } = form.values;
  /** @param {Record<string, any>} values */
  const toBody = ({ begun: started, driven: before, ...values }) =>
    values.minutes === undefined && (started || before)
      ? { ...values, minutes: tenths((before ?? 0) + (started ? Date.now() - started : 0)) }
      : values;
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
    <${Clock}
      begun=${begun}
      driven=${driven}
      onStart=${() => form.set('begun', Date.now())}
      onStop=${() => stop(form)}
    />
    <${Field} kind="road_test" path="minutes" form=${form} help="Left empty while the clock runs: its minutes count." />
    <${Field} kind="road_test" path="felt" form=${form} />
    <${Field} kind="road_test" path="conditions" form=${form} />
    <${Field} kind="road_test" path="distance" form=${form} />
    <${Field} kind="road_test" path="note" form=${form} />
  <//>`;
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
