/**
 * The drop test measured by the phone: all cylinders once, then each one disabled, and a proposal that one tap takes. It
 * is folded away until it is wanted; the findings below it overrule it.
 *
 * @typedef {object} Baseline  what was measured with all cylinders
 * @property {import('../../field/core.js').Answer} told
 * @property {number} ms  when, on the phone's clock
 */
import { useState } from 'preact/hooks';
import { html } from '../html.js';
import { saveAll } from '../saving.js';
import { settings } from '../settings.js';
import { phrase } from '../tongue.js';
import { Countdown, LayPhone, Told, useMeasuring } from './engine-measure.js';

/**
 * @param {object} props
 * @param {string} props.id
 * @param {number} props.cylinder
 * @param {number} props.cylinders
 * @param {Baseline | undefined} props.baseline
 * @param {(baseline: Baseline) => Promise<void>} props.onBaseline
 * @param {unknown} props.rpm  as it was typed from a tachometer
 * @param {string} props.finding  the label of what is proposed, or ''
 * @param {(answer: import('../../field/core.js').Answer | null) => void} props.onMeasured
 * @param {(key: HTMLElement) => void} props.onTake
 */
export function MeasuredDrop({ id, cylinder, cylinders, baseline, onBaseline, rpm, finding, onMeasured, onTake }) {
  const [told, setTold] = useState(/** @type {import('../../field/core.js').Answer | null} */ (null));
  const { left, busy: measuring, run } = useMeasuring();

  /** What was proposed before stands no more. */
  const anew = () => {
    setTold(null);
    onMeasured(null);
  };
  const measureAll = async () => {
    anew();
    const answer = await run('shake', { cylinders, rests: settings.value.phoneRests, ...(Number(rpm) > 0 ? { rpm } : {}) });
    if (!answer.rpm) return setTold(answer);
    const { body, ...kept } = answer;
    await onBaseline({ told: kept, ms: Date.now() });
    if (body) await saveAll([{ case: id, kind: 'shake_measured', body }]);
  };
  const measureOne = async () => {
    if (!baseline) return;
    anew();
    const age = Math.max(0, Date.now() - baseline.ms) / 1000;
    const answer = await run('measured_drop', { before: baseline.told, cylinders, age });
    setTold(answer);
    onMeasured(answer);
  };

  return html`<details class="more measured" open=${Boolean(baseline)}>
    <summary>Let the phone measure</summary>
    <div class="stack close">
      ${!baseline && html`<${LayPhone} />`}
      ${baseline && html`<${BaselineTold} told=${baseline.told} />`}
      <${Countdown} left=${left} busy=${measuring} />
      ${
        !measuring &&
        baseline &&
        html`<p>${phrase('Connect what was off before. Disable cylinder {n}, let the idle settle, then measure.', { n: cylinder })}</p>
          <button type="button" class="key wide" onClick=${() => void measureOne()}>
            ${phrase('Measure without cylinder {n}', { n: cylinder })}
          </button>`
      }
      <${Told} told=${told} />
      ${
        finding &&
        html`<button type="button" class="key main wide" onClick=${(/** @type {any} */ event) => onTake(event.currentTarget)}>
          ${phrase('Take it: {finding}', { finding })}
        </button>`
      }
      ${
        !measuring &&
        html`<button type="button" class=${baseline ? 'key quiet' : 'key wide'} onClick=${() => void measureAll()}>
          ${baseline ? phrase('Measure all cylinders again') : phrase('Measure with all cylinders')}
        </button>`
      }
    </div>
  </details>`;
}

/** @param {{told: import('../../field/core.js').Answer}} props */
function BaselineTold({ told }) {
  return html`<p class="soft">${phrase('All cylinders: {told}', { told: told.text })}</p>
    ${told.trouble?.map((/** @type {string} */ words) => html`<p class="soft" key=${words}>${words}</p>`)}`;
}
