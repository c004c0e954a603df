/** When a page exchanges with the shop of itself. */
import { hear } from './channel.js';
import { countAgain, syncNow, syncState } from './sync.js';

const AFTER_RECORD_MS = 2_000; // several taps in a row make one exchange
const FIRST_WAIT_MS = 5_000;
const LONGEST_WAIT_MS = 10 * 60_000;

/**
 * Start it, once for a page: at once, when the connection returns, when the page becomes visible, after each
 * record, and again after a failure, later each time.
 * @returns {() => void} ends it
 */
export function startSync() {
  let timer = 0;
  let failures = 0;

  const later = (/** @type {number} */ ms) => {
    clearTimeout(timer);
    timer = window.setTimeout(go, ms);
  };
  const go = async () => {
    clearTimeout(timer);
    const whole = await syncNow();
    failures = whole || worthNoRepeat() ? 0 : failures + 1;
    if (failures) later(waitAfter(failures));
    if (failures) await askForBackgroundSync();
  };
  const atOnce = () => {
    failures = 0;
    void go();
  };
  const whenVisible = () => {
    if (document.visibilityState === 'visible') atOnce();
  };
  const afterRecord = (/** @type {import('./log.js').Change} */ change) => {
    if (change.recorded && !failures) later(AFTER_RECORD_MS);
  };

  window.addEventListener('online', atOnce);
  document.addEventListener('visibilitychange', whenVisible);
  const ends = [hear('log', afterRecord), hear('session', atOnce)];
  void countAgain();
  atOnce();
  return () => {
    clearTimeout(timer);
    window.removeEventListener('online', atOnce);
    document.removeEventListener('visibilitychange', whenVisible);
    for (const end of ends) end();
  };
}

/** Signing in, or taking a photo again, is the person's to do: asking the shop again would change nothing. */
function worthNoRepeat() {
  const { error } = syncState.value;
  return error === null || error.code === 'sign_in' || error.code === 'shut_out' || error.code === 'photo_damaged';
}

/**
 * Twice as long after each failure, and at random between half and whole of that, so that the phones of a shop do
 * not all ask at once when it comes back.
 * @param {number} failures
 */
function waitAfter(failures) {
  const longest = Math.min(FIRST_WAIT_MS * 2 ** (failures - 1), LONGEST_WAIT_MS);
  return longest * (0.5 + Math.random() / 2);
}

/** Where it exists (Chromium), the worker exchanges when the connection returns, even with the page closed. */
async function askForBackgroundSync() {
  const registration = await navigator.serviceWorker?.getRegistration();
  const manager = /** @type {any} */ (registration)?.sync;
  await manager?.register('coiltrail').catch(() => {});
}
