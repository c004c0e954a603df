/**
 * From a file of the camera to a small upright JPEG without metadata, or to a refusal in clear words.
 *
 * @typedef {object} Picture
 * @property {ArrayBuffer} bytes  JPEG
 * @property {number} width  px
 * @property {number} height  px
 * @property {ArrayBuffer} thumb  JPEG
 * @property {'dark' | 'blurred' | 'plain' | ''} doubt  what makes it doubtful that it shows what it was taken for
 */
import { imageHeader } from './imageheader.js';
import { doubtIn } from './sharpness.js';
import { phrase } from './tongue.js';

// Origin of all these limits: common practice, no source.
const LARGEST_BYTES = 50_000_000; // of a file from the camera
const LARGEST_PIXELS = 64_000_000; // decoded: four bytes a pixel
export const KEPT_BYTES = 300_000;
const SIDES = [1600, 1280, 1024, 800]; // px of the long side; the next one when no quality fits
const QUALITIES = [0.85, 0.75, 0.65, 0.55];
const THUMB_SIDE = 320;
const THUMB_QUALITY = 0.7;
export const MIME = 'image/jpeg';

/** A file that is not taken in; `message` says why and what to do. */
export class PhotoRefused extends Error {
  /** @param {string} message */
  constructor(message) {
    super(message);
    this.name = 'PhotoRefused';
  }
}

/**
 * @param {Blob} file
 * @returns {Promise<Picture>}
 * @throws {PhotoRefused}
 */
export async function pictureOf(file) {
  const bitmap = await decode(await contentOf(file), file.type);
  try {
    const { blob, width, height } = await reduce(bitmap);
    const thumb = await draw(bitmap, THUMB_SIDE).encode(THUMB_QUALITY);
    const doubt = await doubtIn(draw(bitmap, SIDES[0]).pixels());
    return { bytes: await blob.arrayBuffer(), width, height, thumb: await thumb.arrayBuffer(), doubt };
  } finally {
    bitmap.close();
  }
}

/**
 * The bytes of a file whose header promises a picture that can be taken in.
 * @param {Blob} file
 * @returns {Promise<ArrayBuffer>}
 */
async function contentOf(file) {
  if (file.size === 0) throw new PhotoRefused(phrase('This file is empty. Take the photo again.'));
  if (file.size > LARGEST_BYTES) {
    throw new PhotoRefused(phrase('This file has {size} MB; at most {LARGEST_BYTES} MB can be taken in. Choose a smaller picture.', { size: megabytes(file.size), LARGEST_BYTES: megabytes(LARGEST_BYTES) }));
  }
  const content = await file.arrayBuffer().catch(() => {
    throw new PhotoRefused(phrase('This file cannot be read. Take the photo again.'));
  });
  const header = imageHeader(content);
  if (!header) throw new PhotoRefused(phrase('This file is not a picture. Choose a JPEG, PNG or WebP file.'));
  if (!header.whole) throw new PhotoRefused(phrase('This picture breaks off: its end is missing. Take the photo again or send the file anew.'));
  refuseTooManyPixels(header.width ?? 0, header.height ?? 0);
  return content;
}

/** @param {number} width @param {number} height */
function refuseTooManyPixels(width, height) {
  if (width * height > LARGEST_PIXELS) {
    const limit = Math.round(LARGEST_PIXELS / 1e6);
    throw new PhotoRefused(phrase('This picture has {width} × {height} pixels, more than {limit} million. Choose a smaller one.', { width, height, limit }));
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
        ? phrase('This browser cannot read HEIC pictures. Set the camera to JPEG ("most compatible"), or choose a JPEG.')
        : phrase('This picture is damaged and cannot be shown. Take the photo again.'),
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
    const { width, height, encode } = draw(bitmap, side);
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
function draw(bitmap, side) {
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
  const pixels = () => context.getImageData(0, 0, width, height);
  return { width, height, encode, pixels };
}
