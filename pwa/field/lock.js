/**
 * The lock: after the application lay idle it opens again by a code, or by the phone's own fingerprint or face. It
 * works without a connection.
 *
 * It keeps somebody who picks up the phone out of the application. What the phone holds is not encrypted by it: who can
 * look into the browser's store reads the records, and for that the phone's own lock is the one that counts. The code is
 * kept as PBKDF2-HMAC-SHA-256, since people use a code in more than one place.
 *
 * @typedef {object} Lock
 * @property {number} idleMinutes
 * @property {{salt: ArrayBuffer, rounds: number, hash: ArrayBuffer}} code
 * @property {import('./passkey.js').Passkey | null} passkey
 * @property {number} failures
 * @property {number} waitUntil  ms; no code is looked at before
 */
import { announce, hear } from './channel.js';
import { read, write } from './database.js';
import { askPasskey, makePasskey } from './passkey.js';
import { phrase } from './tongue.js';

export const SHORTEST_CODE = 4;
const ROUNDS = 600_000; // OWASP Password Storage Cheat Sheet, 2023, for PBKDF2-HMAC-SHA-256
const FREE_TRIES = 5;
const FIRST_WAIT_MS = 30_000;
const LONGEST_WAIT_MS = 15 * 60_000;

/** @returns {Promise<Lock | null>} */
export async function lockOf() {
  return (await read(['settings'], (tx) => tx.objectStore('settings').get('lock'))) ?? null;
}

/** @param {() => void} listener @returns {() => void} */
export function onLock(listener) {
  return hear('lock', listener);
}

/**
 * Set a code. A fingerprint that was set before goes on.
 * @param {string} code
 * @param {number} idleMinutes
 */
export async function setCode(code, idleMinutes) {
  if (code.length < SHORTEST_CODE) throw new Error(phrase('Give the code at least {SHORTEST_CODE} digits or letters.', { SHORTEST_CODE }));
  const salt = crypto.getRandomValues(new Uint8Array(16)).buffer;
  const hash = await derived(code, salt, ROUNDS);
  const passkey = (await lockOf())?.passkey ?? null;
  await keep({ idleMinutes, code: { salt, rounds: ROUNDS, hash }, passkey, failures: 0, waitUntil: 0 });
}

/** @param {number} idleMinutes */
export async function setIdleMinutes(idleMinutes) {
  const lock = await lockOf();
  if (lock) await keep({ ...lock, idleMinutes });
}

export async function takeAwayLock() {
  await write(['settings'], (tx) => tx.objectStore('settings').delete('lock'));
  announce('lock');
}

/** Let the phone's own fingerprint, face or code open it too. @param {{id: string, name: string}} person */
export async function setPasskey(person) {
  const passkey = await makePasskey(person);
  const lock = await lockOf();
  if (lock) await keep({ ...lock, passkey });
}

/**
 * Look at a code. Each try is counted before it is looked at, so that a page that is loaded anew gains nothing.
 * @param {string} code
 * @returns {Promise<{open: boolean, waitMs: number}>}  `waitMs`: how long until the next try is looked at
 */
export async function tryCode(code) {
  const counted = await write(['settings'], async (tx) => {
    /** @type {Lock | undefined} */
    const lock = await tx.objectStore('settings').get('lock');
    if (!lock) return null;
    // A clock that was set back does not make the wait longer than it may be.
    const waitMs = Math.min(lock.waitUntil - Date.now(), LONGEST_WAIT_MS);
    if (waitMs > 0) return { lock, waitMs };
    const failures = lock.failures + 1;
    const nextMs = failures < FREE_TRIES ? 0 : Math.min(FIRST_WAIT_MS * 2 ** (failures - FREE_TRIES), LONGEST_WAIT_MS);
    await tx.objectStore('settings').put({ ...lock, failures, waitUntil: Date.now() + nextMs }, 'lock');
    return { lock, waitMs: 0, nextMs };
  });
  if (!counted) return { open: true, waitMs: 0 };
  if (counted.waitMs) return { open: false, waitMs: counted.waitMs };
  const { salt, rounds, hash } = counted.lock.code;
  if (!same(new Uint8Array(await derived(code, salt, rounds)), new Uint8Array(hash))) {
    return { open: false, waitMs: counted.nextMs ?? 0 };
  }
  await forgetFailures();
  return { open: true, waitMs: 0 };
}

/** @returns {Promise<boolean>} whether the phone recognised who holds it */
export async function tryPasskey() {
  const lock = await lockOf();
  if (!lock?.passkey || !(await askPasskey(lock.passkey))) return false;
  await forgetFailures();
  return true;
}

export async function forgetFailures() {
  const lock = await lockOf();
  if (lock) await keep({ ...lock, failures: 0, waitUntil: 0 });
}

/** @param {Lock} lock */
async function keep(lock) {
  await write(['settings'], (tx) => tx.objectStore('settings').put(lock, 'lock'));
  announce('lock');
}

/** @param {string} code @param {ArrayBuffer} salt @param {number} iterations */
async function derived(code, salt, iterations) {
  const key = await crypto.subtle.importKey('raw', new TextEncoder().encode(code.normalize('NFC')), 'PBKDF2', false, ['deriveBits']);
  return crypto.subtle.deriveBits({ name: 'PBKDF2', hash: 'SHA-256', salt, iterations }, key, 256);
}

/** @param {Uint8Array} a @param {Uint8Array} b */
function same(a, b) {
  return a.length === b.length && a.every((byte, at) => byte === b[at]);
}
