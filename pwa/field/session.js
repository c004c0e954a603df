/**
 * Who works on this phone. Known without a connection once signed in.
 *
 * @typedef {object} Me
 * @property {{id: string, name: string, role: string}} person
 * @property {{id: string, name: string}[]} [people]  everybody of the shop; an older shop does not tell
 * @property {{id: string, name: string, phone: string, public_url: string}} shop
 * @property {string} device  id of this phone
 */
import { announce, hear } from './channel.js';
import { uuid7 } from './clock.js';
import { read, write } from './database.js';
import { send, sendForJson } from './shop.js';

/** What signing in and out may fail with: `code` is the shop's, or "no_connection" or "shop_trouble". */
export { ShopError as SessionError } from './shop.js';

/** As read last: each entry asks, and whoever signs in or out, in any tab, makes it known. @type {Promise<Me | null> | null} */
let known = null;

hear('session', () => (known = null));
// A page that the browser had put aside heard nothing meanwhile.
globalThis.addEventListener?.('pageshow', ({ persisted }) => {
  if (persisted) known = null;
});

/** @returns {Promise<Me | null>} from this phone's own settings; null before the first sign-in and after signing out */
export function me() {
  known ??= readMe().catch((trouble) => {
    known = null;
    throw trouble;
  });
  return known;
}

/** @returns {Promise<Me | null>} */
async function readMe() {
  return (await read(['settings'], (tx) => tx.objectStore('settings').get('me'))) ?? null;
}

/** @returns {Promise<string>} this phone's id, made once and kept */
export async function deviceId() {
  const kept = await read(['settings'], (tx) => tx.objectStore('settings').get('device'));
  if (kept) return kept;
  const made = uuid7();
  return write(['settings'], async (tx) => {
    const before = await tx.objectStore('settings').get('device');
    if (!before) await tx.objectStore('settings').put(made, 'device');
    return before ?? made;
  });
}

/**
 * What anyone may know of the shop.
 * @returns {Promise<{shop_name?: string, needs_owner: boolean, server_ms: number, release: string}>}
 * @throws {SessionError}
 */
export function shopState() {
  return sendForJson('GET', '/api/state');
}

/**
 * @param {{name: string, password: string, deviceName: string}} who
 * @returns {Promise<Me>}
 * @throws {SessionError}
 */
export function signIn({ name, password, deviceName }) {
  return enter('/api/sign-in', { name, password, device_name: deviceName });
}

/**
 * Make the first owner with the token of the one-time link.
 * @param {{token: string, shop: string, phone?: string, name: string, password: string, deviceName: string}} who
 *   `shop` and `phone`: the shop's name and number, as labels show them
 * @returns {Promise<Me>}
 * @throws {SessionError}
 */
export function makeOwner({ token, shop, phone = '', name, password, deviceName }) {
  return enter('/api/owner', { token, shop, phone, name, password, device_name: deviceName });
}

/**
 * What an invitation's link is for.
 * @param {string} token
 * @returns {Promise<{shop: string, name: string, role: string, new_password: boolean}>}
 * @throws {SessionError}
 */
export function lookAtInvitation(token) {
  return sendForJson('POST', '/api/invitations/look', { json: { token } });
}

/**
 * Join by an invitation, or set a new password by a link.
 * @param {{token: string, password: string, deviceName: string}} given
 * @returns {Promise<Me>}
 * @throws {SessionError}
 */
export function join({ token, password, deviceName }) {
  return enter('/api/invitations/join', { token, password, device_name: deviceName });
}

/**
 * Be signed in as whoever shows the code.
 * @param {{token: string, deviceName: string}} given
 * @returns {Promise<Me>}
 * @throws {SessionError}
 */
export function pair({ token, deviceName }) {
  return enter('/api/pairings/pair', { token, device_name: deviceName });
}

/**
 * Ask the shop again who this is: a role may have changed. Nothing happens without a connection.
 * @returns {Promise<void>}
 */
export async function askWhoAgain() {
  const before = await me();
  if (!before) return;
  const now = await sendForJson('GET', '/api/me').catch(() => null);
  if (!now || JSON.stringify(now) === JSON.stringify(before)) return;
  await write(['settings'], (tx) => tx.objectStore('settings').put(now, 'me'));
  announce('session');
}

/**
 * Needs a connection, since only the shop can end the session. The log stays on the phone.
 * @returns {Promise<void>}
 * @throws {SessionError}
 */
export async function signOut() {
  await send('POST', '/api/sign-out', { json: {} });
  await write(['settings'], (tx) => tx.objectStore('settings').delete('me'));
  announce('session');
}

/**
 * Hear of signing in and out, in any tab.
 * @param {() => void} listener
 * @returns {() => void}
 */
export function onSession(listener) {
  return hear('session', listener);
}

/**
 * @param {string} path
 * @param {object} credentials
 * @returns {Promise<Me>}
 */
async function enter(path, credentials) {
  await sendForJson('POST', path, { json: { ...credentials, device: await deviceId() } });
  /** @type {Me} */
  const who = await sendForJson('GET', '/api/me');
  await write(['settings'], (tx) => tx.objectStore('settings').put(who, 'me'));
  announce('session');
  return who;
}
