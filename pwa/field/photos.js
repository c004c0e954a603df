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
import { read, write } from './database.js';
import { sha256Of } from './hash.js';
import { imageHeader } from './imageheader.js';
import { send, ShopError } from './shop.js';

// Origin of all these limits: common practice, no source.
const LARGEST_BYTES = 50_000_000; // of a file from the camera
const LARGEST_PIXELS = 64_000_000; // decoded: four bytes a pixel
const KEPT_BYTES = 300_000;
const SIDES = [1600, 1280, 1024, 800]; // px of the long side, the next when the best quality that fits is not good enough
const QUALITIES = [0.85, 0.75, 0.65, 0.55];
const THUMB_SIDE = 320;
const THUMB_QUALITY = 0.7;
const MIME = 'image/jpeg';

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
  await refuseWhenFull();
  const bitmap = await decode(await contentOf(file), file.type);
  try {
    const { blob, width, height } = await reduce(bitmap);
    const thumb = await (await draw(bitmap, THUMB_SIDE)).encode(THUMB_QUALITY);
    const bytes = await blob.arrayBuffer();
    const sha256 = await sha256Of(bytes);
    await keep(sha256, bytes, await thumb.arrayBuffer());
    return { sha256, bytes: bytes.byteLength, width, height, mime: MIME };
  } finally {
    bitmap.close();
  }
}

/** Before anything is written, so that nothing is written by half. */
async function refuseWhenFull() {
  const { quota = Infinity, usage = 0 } = (await navigator.storage?.estimate?.()) ?? {};
  if (quota - usage < 5 * KEPT_BYTES) {
    throw new PhotoRefused('The phone is full: free some space, then take the photo again. Findings can still be recorded.');
  }
}

/**
 * The bytes of a file whose header promises a picture that can be taken in.
 * @param {Blob} file
 * @returns {Promise<ArrayBuffer>}
 */
async function contentOf(file) {
  if (file.size === 0) throw new PhotoRefused('This file is empty. Take the photo again.');
  if (file.size > LARGEST_BYTES) {
    throw new PhotoRefused(`This file has ${megabytes(file.size)} MB; at most ${megabytes(LARGEST_BYTES)} MB can be taken in. Choose a smaller picture.`);
  }
  const content = await file.arrayBuffer().catch(() => {
    throw new PhotoRefused('This file cannot be read. Take the photo again.');
  });
  const header = imageHeader(content);
  if (!header) throw new PhotoRefused('This file is not a picture. Choose a JPEG, PNG or WebP file.');
  if (!header.whole) throw new PhotoRefused('This picture breaks off: its end is missing. Take the photo again or send the file anew.');
  refuseTooManyPixels(header.width ?? 0, header.height ?? 0);
  return content;
}

/** @param {number} width @param {number} height */
function refuseTooManyPixels(width, height) {
  if (width * height > LARGEST_PIXELS) {
    const limit = Math.round(LARGEST_PIXELS / 1e6);
    throw new PhotoRefused(`This picture has ${width} × ${height} pixels, more than ${limit} million. Choose a smaller one.`);
  }
}

/** @param {number} bytes */
function megabytes(bytes) {
  return Math.round(bytes / 1e6);
}

/**
 * Decoded and upright: `from-image` turns it as its EXIF orientation says, once; the canvas turns nothing.
 * @param {ArrayBuffer} content
 * @param {string} type
 * @returns {Promise<ImageBitmap>}
 */
async function decode(content, type) {
  const bitmap = await createImageBitmap(new Blob([content], { type }), { imageOrientation: 'from-image' }).catch(() => {
    const heif = imageHeader(content)?.format === 'heif';
    throw new PhotoRefused(
      heif
        ? 'This browser cannot read HEIC pictures. Set the camera to JPEG ("most compatible"), or choose a JPEG.'
        : 'This picture is damaged and cannot be shown. Take the photo again.',
    );
  });
  if (bitmap.width * bitmap.height > LARGEST_PIXELS) {
    bitmap.close();
    refuseTooManyPixels(LARGEST_PIXELS, 2);
  }
  return bitmap;
}

/**
 * The best JPEG that fits.
 * @param {ImageBitmap} bitmap
 */
async function reduce(bitmap) {
  let smallest;
  for (const side of SIDES) {
    const { width, height, encode } = await draw(bitmap, side);
    for (const quality of QUALITIES) {
      smallest = { blob: await encode(quality), width, height };
      if (smallest.blob.size <= KEPT_BYTES) return smallest;
    }
  }
  return /** @type {{blob: Blob, width: number, height: number}} */ (smallest);
}

/**
 * Drawn at most `side` px long. Encoded from a canvas, no metadata of the file survives.
 * @param {ImageBitmap} bitmap
 * @param {number} side
 */
async function draw(bitmap, side) {
  const scale = Math.min(1, side / Math.max(bitmap.width, bitmap.height));
  const width = Math.max(1, Math.round(bitmap.width * scale));
  const height = Math.max(1, Math.round(bitmap.height * scale));
  const canvas = new OffscreenCanvas(width, height);
  const context = /** @type {OffscreenCanvasRenderingContext2D} */ (canvas.getContext('2d', { alpha: false }));
  context.fillStyle = 'white'; // what is transparent in a PNG
  context.fillRect(0, 0, width, height);
  context.imageSmoothingQuality = 'high';
  context.drawImage(bitmap, 0, 0, width, height);
  const encode = (/** @type {number} */ quality) => canvas.convertToBlob({ type: MIME, quality });
  return { width, height, encode };
}

/**
 * @param {string} sha256
 * @param {ArrayBuffer} bytes
 * @param {ArrayBuffer} thumb
 */
function keep(sha256, bytes, thumb) {
  return write(['photos', 'thumbs'], async (tx) => {
    const before = await tx.objectStore('photos').get(sha256);
    const row = { sha256, bytes, mime: MIME, size: bytes.byteLength, taken: Date.now(), state: /** @type {const} */ ('here') };
    if (!before) await tx.objectStore('photos').put(row);
    await tx.objectStore('thumbs').put({ sha256, bytes: thumb, mime: MIME });
  });
}

/**
 * Addresses given out, with the number of images that show each: one picture on several screens is read once.
 * @type {Map<string, {url: Promise<string | null>, users: number}>}
 */
const given = new Map();

/**
 * Address of a picture for `<img src>`: from this phone, else fetched from the shop and kept.
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
  if (!answer || !mime.startsWith('image/')) return null;
  const bytes = await answer.arrayBuffer();
  if (store === 'photos' && (await sha256Of(bytes)) !== sha256) return null;
  await write([store], (tx) => {
    const row = store === 'thumbs' ? {} : { size: bytes.byteLength, taken: Date.now(), state: 'shop' };
    return /** @type {any} */ (tx.objectStore(store)).put({ sha256, bytes, mime, ...row });
  }).catch(() => {}); // shown all the same
  return new Blob([bytes], { type: mime });
}
