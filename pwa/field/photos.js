/**
 * Pictures: taken in, made small, turned upright, freed of metadata, named by their SHA-256 and kept as bytes.
 *
 * @typedef {object} TakenIn
 * @property {string} sha256
 * @property {number} bytes  size of the kept JPEG
 * @property {number} width  px
 * @property {number} height  px
 * @property {string} mime  always image/jpeg
 * @property {'dark' | 'blurred' | 'plain' | ''} doubt  reason to take it again
 */
import { read, write } from './database.js';
import { sha256Of } from './hash.js';
import { KEPT_BYTES, MIME, PhotoRefused, pictureOf } from './picture.js';
import { send, ShopError } from './shop.js';
import { phrase } from './tongue.js';

export { PhotoRefused } from './picture.js';

const ROOM_WANTED = 10 * KEPT_BYTES;
const full = () => phrase('The phone is full: free some space, then take the photo again. Findings can still be recorded.');

/**
 * Keep a picture. The entry of kind `photo` (fields sha256, bytes, width, height) is the caller's to record.
 * @param {Blob} file  from the camera or a file input
 * @returns {Promise<TakenIn>} once picture and thumbnail are on the disk
 * @throws {PhotoRefused}
 */
export async function takeIn(file) {
  if (!(await haveRoom(ROOM_WANTED))) throw new PhotoRefused(full());
  const { bytes, width, height, thumb, doubt } = await pictureOf(file);
  const sha256 = await sha256Of(bytes);
  await keepFile(sha256, bytes, MIME, thumb).catch((error) => {
    throw error.name === 'QuotaExceededError' ? new PhotoRefused(full()) : error;
  });
  return { sha256, bytes: bytes.byteLength, width, height, mime: MIME, doubt };
}

/** Asked before anything is written, so that nothing is written by half. @param {number} wanted  bytes */
export async function haveRoom(wanted) {
  const { quota = Infinity, usage = 0 } = (await navigator.storage?.estimate?.()) ?? {};
  return quota - usage >= wanted || (await letGo(wanted)) >= wanted;
}

/**
 * Let go of photos that the shop has, the oldest first; they can be fetched again, and their thumbnails stay.
 * @param {number} wanted  bytes
 * @returns {Promise<number>} bytes let go
 */
export function letGo(wanted) {
  return write(['photos', 'uploads'], async (tx) => {
    const shopHas = [];
    const queued = new Set(await tx.objectStore('uploads').getAllKeys()); // the shop may have lost what it had
    for (let at = await tx.objectStore('photos').openCursor(); at; at = await at.continue()) {
      const { sha256, size, taken, state } = at.value;
      if (state === 'shop' && !queued.has(sha256)) shopHas.push({ sha256, size, taken });
    }
    let freed = 0;
    for (const { sha256, size } of shopHas.sort((a, b) => a.taken - b.taken)) {
      if (freed >= wanted) break;
      await tx.objectStore('photos').delete(sha256);
      freed += size;
    }
    return freed;
  });
}

/**
 * @param {string} sha256
 * @param {ArrayBuffer} bytes
 * @param {string} mime
 * @param {ArrayBuffer} [thumb]  JPEG; a recording has none
 */
export function keepFile(sha256, bytes, mime, thumb) {
  return write(['photos', 'thumbs'], async (tx) => {
    const before = await tx.objectStore('photos').get(sha256);
    const row = { sha256, bytes, mime, size: bytes.byteLength, taken: Date.now(), state: /** @type {const} */ ('here') };
    if (!before) await tx.objectStore('photos').put(row);
    if (thumb) await tx.objectStore('thumbs').put({ sha256, bytes: thumb, mime: MIME });
  });
}

/**
 * Addresses given out, with the number of images that show each: one picture on several screens is read once.
 * @type {Map<string, {url: Promise<string | null>, users: number}>}
 */
const given = new Map();

/**
 * Address of a picture or a recording for `src`: from this phone, else fetched from the shop and kept.
 * @param {string} sha256
 * @returns {Promise<string | null>} null when it is neither here nor to be had now. Call `releaseUrl` when the image goes
 */
export function photoUrl(sha256) {
  return giveOut(`photo ${sha256}`, () => bytesOf('photos', sha256, `/api/photos/${sha256}`));
}

/**
 * The same for its thumbnail, 320 px on the long side.
 * @param {string} sha256
 * @returns {Promise<string | null>}
 */
export function thumbUrl(sha256) {
  return giveOut(`thumb ${sha256}`, () => bytesOf('thumbs', sha256, `/api/photos/${sha256}/thumb`));
}

/** @param {string | null} url  given by `photoUrl` or `thumbUrl` */
export async function releaseUrl(url) {
  if (!url) return;
  for (const [key, one] of given) {
    if ((await one.url) !== url) continue;
    one.users -= 1;
    if (one.users) return;
    given.delete(key);
    URL.revokeObjectURL(url);
  }
}

/**
 * @param {string} key
 * @param {() => Promise<Blob | null>} find
 */
async function giveOut(key, find) {
  const one = given.get(key) ?? { url: find().then((blob) => blob && URL.createObjectURL(blob)), users: 0 };
  one.users += 1;
  given.set(key, one);
  const url = await one.url.catch(() => null);
  if (url === null) given.delete(key); // perhaps it can be had later
  return url;
}

/**
 * @param {'photos' | 'thumbs'} store
 * @param {string} sha256
 * @param {string} path
 * @returns {Promise<Blob | null>}
 */
async function bytesOf(store, sha256, path) {
  const here = await read([store], (tx) => /** @type {any} */ (tx.objectStore(store)).get(sha256));
  if (here) return new Blob([here.bytes], { type: here.mime });
  const answer = await send('GET', path).catch((error) => {
    if (error instanceof ShopError) return null;
    throw error;
  });
  const mime = answer?.headers.get('Content-Type') ?? '';
  if (!answer || !/^(image|audio)\//.test(mime)) return null;
  const bytes = await answer.arrayBuffer();
  if (store === 'photos' && (await sha256Of(bytes)) !== sha256) return null;
  await write([store], (tx) => {
    const row = store === 'thumbs' ? {} : { size: bytes.byteLength, taken: Date.now(), state: 'shop' };
    return /** @type {any} */ (tx.objectStore(store)).put({ sha256, bytes, mime, ...row });
  }).catch(() => {}); // shown all the same
  return new Blob([bytes], { type: mime });
}
