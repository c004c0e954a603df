/**
 * The exchange with the shop: entries first, photos after. Safe to interrupt and to repeat at any point.
 *
 * @typedef {object} SetAside  an entry that the shop keeps apart, with the reason
 * @property {string} id
 * @property {string} field
 * @property {string} message
 * @property {import('./log.js').Entry} entry
 *
 * @typedef {object} SyncState
 * @property {boolean | null} online  the shop answered last time; null: not asked yet
 * @property {boolean} busy
 * @property {number} unsyncedEntries
 * @property {number} unsyncedPhotos
 * @property {number | null} since  ms: the oldest of what only this phone has
 * @property {number | null} lastSync  ms of the last complete exchange
 * @property {null | {code: 'no_connection' | 'sign_in' | 'shop_trouble' | 'refused' | 'photo_damaged' | 'store', message: string}} error
 * @property {SetAside[]} setAside
 * @property {number | null} clockSkewMs  the shop's clock minus this phone's; show it beyond five minutes
 * @property {boolean} epochChanged  the shop was restored from a backup and everything is offered again
 */

/** @type {import('./observable.js').Observable<SyncState>} */
export const syncState = /** @type {any} */ (null);

/**
 * Exchange with the shop now. Never throws: the outcome stands in `syncState`.
 * @returns {Promise<boolean>} true when everything of this phone is in the shop
 */
export async function syncNow() {
  throw new Error('to be built');
}

/**
 * Offer an entry that was set aside once more.
 * @param {string} id
 * @returns {Promise<void>}
 */
export async function offerAgain(id) {
  throw new Error('to be built');
}
