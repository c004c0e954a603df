/**
 * What is half done: half-filled forms, the place in a round, and the mark that a photo is expected. Durable, so
 * that a phone which kills the page behind the camera comes back to the same place.
 *
 * @typedef {object} ExpectedPhoto
 * @property {string} case
 * @property {Record<string, any>} about  the fields of the photo entry known beforehand: cylinder, place, shows ...
 * @property {string} screen  where to come back to
 * @property {number} since  ms
 */
import { read, write } from './database.js';

const EXPECTED_PHOTO = 'expected photo';

/**
 * @param {string} key  e.g. `form/<case>/check`
 * @param {any} value  what structured clone takes
 * @returns {Promise<void>}
 */
export async function keep(key, value) {
  await write(['drafts'], (tx) => tx.objectStore('drafts').put(value, key));
}

/**
 * @param {string} key
 * @returns {Promise<any>} undefined when nothing is kept
 */
export function kept(key) {
  return read(['drafts'], (tx) => tx.objectStore('drafts').get(key));
}

/**
 * All whose key begins with `prefix`, in the order of their keys.
 * @param {string} prefix
 * @returns {Promise<{key: string, value: any}[]>}
 */
export function keptUnder(prefix) {
  const range = IDBKeyRange.bound(prefix, `${prefix}\uffff`);
  return read(['drafts'], async (tx) => {
    const store = tx.objectStore('drafts');
    const [keys, values] = await Promise.all([store.getAllKeys(range), store.getAll(range)]);
    return keys.map((/** @type {any} */ key, /** @type {number} */ index) => ({ key, value: values[index] }));
  });
}

/**
 * @param {string} key
 * @returns {Promise<void>}
 */
export function drop(key) {
  return write(['drafts'], (tx) => tx.objectStore('drafts').delete(key));
}

/**
 * Before the camera opens.
 * @param {Omit<ExpectedPhoto, 'since'>} photo
 * @returns {Promise<void>}
 */
export function expectPhoto(photo) {
  return keep(EXPECTED_PHOTO, { ...photo, since: Date.now() });
}

/** @returns {Promise<ExpectedPhoto | undefined>} one still expected */
export function expectedPhoto() {
  return kept(EXPECTED_PHOTO);
}

/** The photo came, or was given up. @returns {Promise<void>} */
export function photoCame() {
  return drop(EXPECTED_PHOTO);
}
