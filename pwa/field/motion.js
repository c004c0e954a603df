/**
 * The phone's accelerometer, gravity included: the sensor itself, before any filter of the platform.
 *
 * @typedef {{t: number[], x: number[], y: number[], z: number[]}} Motion  ms on the page's clock, m/s²
 * @typedef {{trouble: 'refused' | 'missing' | 'left' | 'unasked'}} Trouble  what the core has words for
 */

/**
 * Ask for the sensor where the platform wants to be asked (iOS, Chromium from 152). Within a tap.
 * @returns {Promise<Trouble | null>}
 */
export async function askForMotion() {
  if (!('DeviceMotionEvent' in window)) return { trouble: 'missing' };
  const { requestPermission } = /** @type {{requestPermission?: () => Promise<string>}} */ (
    /** @type {unknown} */ (DeviceMotionEvent)
  );
  if (!requestPermission) return null;
  try {
    return (await requestPermission.call(DeviceMotionEvent)) === 'granted' ? null : { trouble: 'refused' };
  } catch {
    return { trouble: 'refused' };
  }
}

const WAKES_MS = 1200; // a sensor that is there speaks within a tenth of that

/** Whether the sensor says anything at all: some phones send events with nothing in them, others none. @returns {Promise<boolean>} */
export async function wakes() {
  const felt = feel();
  for (let waited = 0; waited < WAKES_MS; waited += 100) {
    await new Promise((resolve) => setTimeout(resolve, 100));
    if (felt.any()) break;
  }
  return !('trouble' in felt());
}

/**
 * Keep what the sensor says until the returned function is called, which gives it.
 * @returns {(() => Motion | Trouble) & {any: () => boolean}}  `any`: whether it has said something yet
 */
export function feel() {
  /** @type {Motion} */
  const motion = { t: [], x: [], y: [], z: [] };
  /** @param {DeviceMotionEvent} event */
  const onMotion = ({ accelerationIncludingGravity: felt, timeStamp }) => {
    // A machine without the sensor sends one event with nothing in it.
    if (felt?.x == null || felt.y == null || felt.z == null) return;
    motion.t.push(timeStamp);
    motion.x.push(felt.x);
    motion.y.push(felt.y);
    motion.z.push(felt.z);
  };
  addEventListener('devicemotion', onMotion);
  /** @returns {Motion | Trouble} */
  const end = () => {
    removeEventListener('devicemotion', onMotion);
    return motion.t.length ? motion : { trouble: 'missing' };
  };
  return Object.assign(end, { any: () => motion.t.length > 0 });
}
