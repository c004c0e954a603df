/**
 * Who works on this phone. Known without a connection once signed in.
 *
 * @typedef {object} Me
 * @property {{id: string, name: string, role: string}} person
 * @property {{id: string, name: string, phone: string, public_url: string}} shop
 * @property {string} device  id of this phone
 */

/** The shop refused, or could not be reached; `code` is the shop's, or "no_connection". */
export class SessionError extends Error {
  /**
   * @param {string} code
   * @param {string} message
   * @param {string} [field]
   */
  constructor(code, message, field) {
    super(message);
    this.name = 'SessionError';
    this.code = code;
    this.field = field;
  }
}

/** @returns {Promise<Me | null>} from this phone's own settings; null before the first sign-in and after signing out */
export async function me() {
  throw new Error('to be built');
}

/** @returns {Promise<string>} this phone's id, made once and kept */
export async function deviceId() {
  throw new Error('to be built');
}

/**
 * What anyone may know of the shop.
 * @returns {Promise<{shop_name?: string, needs_owner: boolean, server_ms: number, release: string}>}
 * @throws {SessionError}
 */
export async function shopState() {
  throw new Error('to be built');
}

/**
 * @param {{name: string, password: string, deviceName: string}} who
 * @returns {Promise<Me>}
 * @throws {SessionError}
 */
export async function signIn(who) {
  throw new Error('to be built');
}

/**
 * Make the first owner with the token of the one-time link.
 * @param {{token: string, shop: string, name: string, password: string, deviceName: string}} who
 * @returns {Promise<Me>}
 * @throws {SessionError}
 */
export async function makeOwner(who) {
  throw new Error('to be built');
}

/**
 * Needs a connection, since only the shop can end the session. The log stays on the phone.
 * @returns {Promise<void>}
 * @throws {SessionError}
 */
export async function signOut() {
  throw new Error('to be built');
}

/**
 * Hear of signing in and out, in any tab.
 * @param {() => void} listener
 * @returns {() => void}
 */
export function onSession(listener) {
  throw new Error('to be built');
}
