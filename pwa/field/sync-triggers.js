/** When a page exchanges with the shop of itself. */
import { hear } from './channel.js';
import { answers } from './shop.js';
import { syncNow } from './sync.js';
import { countAgain, syncState } from './sync-state.js';

const AFTER_RECORD_MS = 2_000; // several taps in a row make one exchange
const FIRST_WAIT_MS = 5_000;
const LONGEST_WAIT_MS = 10 * 60_000;
const LONGEST_PROBE_WAIT_MS = 10_000; // while somebody looks and the shop was out of reach
const ASK_ANYWAY = 6; // of so many waits one asks even where the phone says that it has no network

/**
 * Start it, once for a page: at once, when the connection returns, when the page becomes visible, after each
 * record, and again after a failure, later each time. Not every browser tells that the connection has returned: a page
 * that is seen asks for the shop in short, and exchanges as soon as it answers.
 * @returns {() => void} ends it
 */
export function startSync() {
  let timer = 0;
  let failures = 0;

  const later = (/** @type {number} */ ms) => {
    clearTimeout(timer);
    timer = window.setTimeout(next, ms);
  };
  const next = async () => {
    if (outOfReach() && seen()) {
      // A phone that says it has no network is believed, but for now and then: asking costs its battery.
      const worthAsking = navigator.onLine || failures % ASK_ANYWAY === 0;
      if (!worthAsking || !(await answers())) {
        failures += 1;
        return later(waitAfter(failures));
      }
    }
    await go();
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
    if (seen()) atOnce();
  };
  const whenBack = () => {
    if (failures || syncState.value.unsyncedEntries || syncState.value.unsyncedPhotos) atOnce();
  };
  const afterRecord = (/** @type {import('./log.js').Change} */ change) => {
    if (change.recorded && (!failures || outOfReach())) later(AFTER_RECORD_MS);
  };

  window.addEventListener('online', atOnce);
  window.addEventListener('pageshow', whenBack);
  window.addEventListener('focus', whenBack);
  document.addEventListener('visibilitychange', whenVisible);
  const ends = [hear('log', afterRecord), hear('session', atOnce)];
  void countAgain();
  atOnce();
  return () => {
    clearTimeout(timer);
    window.removeEventListener('online', atOnce);
    window.removeEventListener('pageshow', whenBack);
    window.removeEventListener('focus', whenBack);
    document.removeEventListener('visibilitychange', whenVisible);
    for (const end of ends) end();
  };
}

/** Signing in, or taking a photo again, is the person's to do: asking the shop again would change nothing. */
function worthNoRepeat() {
  const { error } = syncState.value;
  return error === null || error.code === 'sign_in' || error.code === 'shut_out' || error.code === 'photo_damaged';
}

function seen() {
  return document.visibilityState === 'visible';
}

function outOfReach() {
  return syncState.value.error?.code === 'no_connection';
}

/**
 * Twice as long after each failure, and at random between half and whole of that, so that the phones of a shop do
 * not all ask at once when it comes back.
 * @param {number} failures
 */
function waitAfter(failures) {
  const most = outOfReach() && seen() ? LONGEST_PROBE_WAIT_MS : LONGEST_WAIT_MS;
  const longest = Math.min(FIRST_WAIT_MS * 2 ** (failures - 1), most);
  return longest * (0.5 + Math.random() / 2);
}

/** Where it exists (Chromium), the worker exchanges when the connection returns, even with the page closed. */
async function askForBackgroundSync() {
  const registration = await navigator.serviceWorker?.getRegistration();
  const manager = /** @type {any} */ (registration)?.sync;
  await manager?.register('coiltrail').catch(() => {});
}
