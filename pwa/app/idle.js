/** Whether the application is locked, over all tabs and across reloads; when it locks after nobody touched it. */
import { signal } from '@preact/signals';
import { lockOf, onLock } from '../field/lock.js';

const ACTIVE = 'coiltrail.active'; // ms of the last touch
const LOCKED = 'coiltrail.locked';
const LOOK_MS = 5_000;
const NOTE_MS = 2_000; // touches are written down no more often

/** @type {import('@preact/signals').Signal<import('../field/lock.js').Lock | null>} */
export const lock = signal(null);
export const locked = signal(false);

/** Once for a page, before its first screen stands. */
export async function followIdle() {
  lock.value = await lockOf();
  if (lock.value && (read(LOCKED) || wasIdle())) shut();
  onLock(() => void lockOf().then((now) => (lock.value = now)));
  addEventListener('storage', ({ key }) => {
    if (key === LOCKED) locked.value = lock.value !== null && Boolean(read(LOCKED));
  });
  let noted = 0;
  const touched = () => {
    if (locked.value || Date.now() - noted < NOTE_MS) return;
    lockIfIdle(); // the first touch after a sleep must not count before it was asked
    noted = Date.now();
    if (!locked.value) keep(ACTIVE, String(noted));
  };
  for (const what of ['pointerdown', 'keydown', 'scroll']) addEventListener(what, touched, { capture: true, passive: true });
  document.addEventListener('visibilitychange', lockIfIdle);
  setInterval(lockIfIdle, LOOK_MS);
}

export function shut() {
  locked.value = true;
  keep(LOCKED, '1');
}

export function open() {
  keep(ACTIVE, String(Date.now()));
  keep(LOCKED, '');
  locked.value = false;
}

function lockIfIdle() {
  if (lock.value && !locked.value && wasIdle()) shut();
}

/** A clock that was set back counts as idle too. */
function wasIdle() {
  const since = Date.now() - Number(read(ACTIVE));
  return since < -60_000 || since > (lock.value?.idleMinutes ?? 0) * 60_000;
}

/** @param {string} key */
function read(key) {
  try {
    return localStorage.getItem(key);
  } catch {
    return null; // without a store it is asked for at each start
  }
}

/** @param {string} key @param {string} value */
function keep(key, value) {
  try {
    if (value) localStorage.setItem(key, value);
    else localStorage.removeItem(key);
  } catch {
    // It holds for this page.
  }
}
