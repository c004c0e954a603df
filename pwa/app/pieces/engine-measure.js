/** A key that lets the phone measure the running engine: hands off, a countdown, and what the core says of it. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { ask } from '../../field/core.js';
import { measure } from '../../field/measuring.js';
import { field } from '../declared.js';
import { html } from '../html.js';
import { changeSettings, settings } from '../settings.js';
import { phrase } from '../tongue.js';
import { ChoiceField } from './fields.js';
import { Notice } from './notice.js';

/**
 * Measures when told to: `run(question, arguments, byFeel)` samples and asks the core. It is to be called within a tap.
 * @returns {{left: {settle: number, measure: number} | null, busy: boolean, run: (question: string, given: Record<string, any>, byFeel?: boolean) => Promise<import('../../field/core.js').Answer>}}
 */
export function useMeasuring() {
  const [left, setLeft] = useState(/** @type {{settle: number, measure: number} | null} */ (null));
  const [busy, setBusy] = useState(false);
  /** @param {string} question @param {Record<string, any>} given @param {boolean} [byFeel] */
  const run = async (question, given, byFeel) => {
    setBusy(true);
    const samples = await measure(setLeft, byFeel);
    setLeft(null);
    navigator.vibrate?.(120); // whoever stands at the engine need not look
    const answer = await ask(question, { ...given, samples }, { priority: 3 });
    setBusy(false);
    return answer;
  };
  return { left, busy, run };
}

/** What is left of a measurement, as large as it can be. @param {{left: {settle: number, measure: number} | null, busy: boolean}} props */
export function Countdown({ left, busy }) {
  const shown = useRef(/** @type {HTMLElement | null} */ (null));
  const counting = Boolean(left);
  // The keys at the bottom must not cover it.
  useEffect(() => shown.current?.scrollIntoView({ block: 'center' }), [counting]);
  if (!left) return busy ? html`<p class="countdown-words" role="status">Working it out</p>` : null;
  const words = left.settle ? phrase('Hands off the phone') : phrase('Measuring');
  return html`<div class="countdown" ref=${shown} role="timer" aria-label=${words}>
    <p class="countdown-number" aria-hidden="true">${left.settle || left.measure}</p>
    <p class="countdown-words" role="status">${words}</p>
  </div>`;
}

/** Where the phone is laid, and what to beware of. */
export function LayPhone() {
  const form = /** @type {import('./form.js').Form} */ (
    /** @type {unknown} */ ({
      get: () => settings.value.phoneRests,
      set: (/** @type {string} */ _, /** @type {any} */ chosen) => changeSettings({ phoneRests: chosen }),
      problemAt: () => '',
    })
  );
  return html`<p>
      Warm engine at idle, everything else switched off. Lay the phone flat on the engine cover, or hold it hard to the
      fender, in the same place for every cylinder.
    </p>
    <${Notice} tone="warn">
      The phone must not slide: clear of belts, fan and exhaust, on nothing that is hot. Keep clear of them yourself.
    <//>
    <${ChoiceField} field=${field('shake_measured', 'rests')} path="rests" form=${form} />`;
}

/** What was measured, in words; senses that gave nothing are named. @param {{told: import('../../field/core.js').Answer | null}} props */
export function Told({ told }) {
  if (!told) return null;
  return html`<div class="stack close" role="status">
    <p class="measured-text">${told.error?.message ?? told.text}</p>
    ${told.trouble?.map((/** @type {string} */ words) => html`<p class="soft" key=${words}>${words}</p>`)}
  </div>`;
}
