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

/**
 * @param {string} key  e.g. `form/<case>/check`
 * @param {any} value  what structured clone takes
 * @returns {Promise<void>}
 */
export async function keep(key, value) {
  throw new Error('to be built');
}

/**
 * @param {string} key
 * @returns {Promise<any>} undefined when nothing is kept
 */
export async function kept(key) {
  throw new Error('to be built');
}

/**
 * @param {string} key
 * @returns {Promise<void>}
 */
export async function drop(key) {
  throw new Error('to be built');
}

/**
 * Before the camera opens.
 * @param {Omit<ExpectedPhoto, 'since'>} photo
 * @returns {Promise<void>}
 */
export async function expectPhoto(photo) {
  throw new Error('to be built');
}

/** @returns {Promise<ExpectedPhoto | undefined>} one still expected */
export async function expectedPhoto() {
  throw new Error('to be built');
}

/** The photo came, or was given up. @returns {Promise<void>} */
export async function photoCame() {
  throw new Error('to be built');
}
