/**
 * A few seconds of what the phone feels and hears of a running engine, for the core to judge (`shake`, `measured_drop`).
 *
 * @typedef {object} Samples
 * @property {import('./motion.js').Motion | import('./motion.js').Trouble} motion
 * @property {import('./hearing.js').Sound | import('./motion.js').Trouble} sound
 */
import { Ear, openEar } from './hearing.js';
import { askForMotion, feel, wakes } from './motion.js';

export const SETTLE_S = 2; // until the tap itself is no longer felt
export const MEASURE_S = 5;
const IDLE_MS = 90_000; // after which the microphone is closed; asking anew at every cylinder would cost a tap each

/** @type {Ear | null} */
let ear = null;

let closing = 0;

/**
 * Measure once. To be called within a tap, which is when a platform lets itself be asked.
 * @param {(left: {settle: number, measure: number}) => void} onSecond  seconds left of either; at the start and at each second
 * @param {boolean} [byFeel]  without motion there is nothing to measure, and so nothing to wait for
 * @returns {Promise<Samples>}
 */
export async function measure(onSecond, byFeel = false) {
  const asked = Promise.all([askForMotion(), ear?.open ? ear : openEar()]);
  clearTimeout(closing);
  const [noMotion, heard] = await asked;
  ear = heard instanceof Ear ? heard : null;
  if (byFeel && (noMotion || !(await wakes()))) {
    closeSenses();
    return { motion: noMotion ?? { trouble: 'missing' }, sound: { trouble: 'unasked' } };
  }
  const page = watchPage();
  for (let settle = SETTLE_S; settle > 0; settle -= 1) {
    onSecond({ settle, measure: MEASURE_S });
    await seconds(1);
  }
  const felt = noMotion ? () => noMotion : feel();
  const sound = ear ? ear.listen() : () => heard;
  for (let left = MEASURE_S; left > 0; left -= 1) {
    onSecond({ settle: 0, measure: left });
    await seconds(1);
  }
  const samples = /** @type {Samples} */ ({ motion: felt(), sound: sound() });
  closing = window.setTimeout(closeSenses, IDLE_MS);
  addEventListener('hashchange', closeSenses, { once: true });
  return page.left() ? { motion: { trouble: 'left' }, sound: { trouble: 'left' } } : samples;
}

/** Let the microphone go. */
export function closeSenses() {
  clearTimeout(closing);
  ear?.close();
  ear = null;
}

/** Whether the page was out of sight since, which stops its sensors, or another screen was opened on the phone in hand. */
function watchPage() {
  let hidden = document.hidden;
  const onChange = () => {
    hidden ||= document.hidden;
  };
  const onLeave = () => {
    hidden = true;
  };
  document.addEventListener('visibilitychange', onChange);
  addEventListener('hashchange', onLeave);
  return {
    left: () => {
      document.removeEventListener('visibilitychange', onChange);
      removeEventListener('hashchange', onLeave);
      return hidden;
    },
  };
}

/** @param {number} count */
function seconds(count) {
  return new Promise((resolve) => setTimeout(resolve, 1000 * count));
}
