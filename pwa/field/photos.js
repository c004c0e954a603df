/**
 * Pictures: taken in, made small, turned upright, freed of metadata, named by their SHA-256 and kept as bytes.
 *
 * @typedef {object} TakenIn
 * @property {string} sha256
 * @property {number} bytes  size of the kept JPEG
 * @property {number} width  px
 * @property {number} height  px
 * @property {string} mime  always image/jpeg
 */

/** A file that is not taken in; `message` says why and what to do. */
export class PhotoRefused extends Error {
  /** @param {string} message */
  constructor(message) {
    super(message);
    this.name = 'PhotoRefused';
  }
}

/**
 * Keep a picture. The entry of kind `photo` (fields sha256, bytes, width, height) is the caller's to record.
 * @param {Blob} file  from the camera or a file input
 * @returns {Promise<TakenIn>} once picture and thumbnail are on the disk
 * @throws {PhotoRefused}
 */
export async function takeIn(file) {
  throw new Error('to be built');
}

/**
 * Address of a picture for `<img src>`: from this phone, else fetched from the shop and kept.
 * @param {string} sha256
 * @returns {Promise<string | null>} null when it is neither here nor to be had now. Call `releaseUrl` when the image goes
 */
export async function photoUrl(sha256) {
  throw new Error('to be built');
}

/**
 * The same for its thumbnail, 320 px on the long side.
 * @param {string} sha256
 * @returns {Promise<string | null>}
 */
export async function thumbUrl(sha256) {
  throw new Error('to be built');
}

/** @param {string | null} url  given by `photoUrl` or `thumbUrl` */
export function releaseUrl(url) {
  throw new Error('to be built');
}
