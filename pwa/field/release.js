/**
 * Which release of the application runs here, and when a newer one takes over: never in the middle of something.
 *
 * @typedef {object} ReleaseState
 * @property {'none' | 'installing' | 'ready'} offline  ready: the page opens without a connection
 * @property {boolean} waiting  a newer release is on the phone, whole and checked, and waits for `takeOver`
 * @property {string} error  why the newest release could not be put on the phone; empty when all is well
 */

/** @type {import('./observable.js').Observable<ReleaseState>} */
export const releaseState = /** @type {any} */ (null);

/** Put this release on the phone and look for newer ones from time to time. Once for a page. */
export function watchRelease() {
  throw new Error('to be built');
}

/**
 * Say that something is in hand (a round, a half-filled form): no release takes over in any tab until it is put down.
 * @returns {() => void} puts it down
 */
export function inHand() {
  throw new Error('to be built');
}

/**
 * Let the waiting release take over; every tab then loads anew.
 * @returns {Promise<boolean>} false: something is in hand in this or another tab
 */
export async function takeOver() {
  throw new Error('to be built');
}
