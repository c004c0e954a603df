/**
 * The phone's room for our records, and a copy of what only this phone has as a file.
 *
 * @typedef {object} Room
 * @property {boolean} lasting  the browser promised not to clear our records by itself
 * @property {number | null} used  bytes; null: the browser does not say
 * @property {number | null} free  bytes
 * @property {boolean} low  under 200 MB or under a tenth free
 */

/** @returns {Promise<Room>} asks for lasting storage the first time */
export async function room() {
  throw new Error('to be built');
}

/** @returns {Promise<{blob: Blob, name: string, entries: number, photos: number}>} everything not yet in the shop */
export async function backup() {
  throw new Error('to be built');
}

/**
 * Take back such a file. What is here already is left as it is.
 * @param {Blob} file
 * @returns {Promise<{entries: number, photos: number, refused: string[]}>}
 */
export async function restore(file) {
  throw new Error('to be built');
}
