/**
 * Photos on their way to the shop, in pieces, each continuing where the shop stands.
 *
 * @typedef {import('./database.js').UploadRow} UploadRow
 */
import { sha256Of } from './hash.js';
import { read, write } from './database.js';
import { send, ShopError, somethingElse } from './shop.js';

const PIECE_BYTES = 64 * 1024;

/**
 * Send all photos that wait. One that cannot be sent is kept and reported, and holds up no other.
 * @param {() => Promise<any>} counted  called after each photo
 * @returns {Promise<null | {code: 'photo_damaged', message: string}>} what became of those that could not be sent
 * @throws {ShopError} when the shop cannot be reached or wants a sign-in
 */
export async function uploadPhotos(counted) {
  const waiting = await read(['uploads'], (tx) => tx.objectStore('uploads').getAll());
  /** @type {Set<string>} */
  const troubles = new Set();
  for (const row of waiting.sort((a, b) => a.since - b.since)) {
    const message = row.trouble ?? (await upload(row));
    if (message) troubles.add(message);
    await counted();
  }
  return troubles.size ? { code: 'photo_damaged', message: [...troubles].join(' ') } : null;
}

/**
 * @param {UploadRow} row
 * @returns {Promise<string | null>} what is wrong with the photo itself; null when the shop has it
 */
async function upload({ sha256 }) {
  const photo = await read(['photos'], (tx) => tx.objectStore('photos').get(sha256));
  if (!photo || (await sha256Of(photo.bytes)) !== sha256) {
    return givenUp(sha256, 'A photo on this phone is damaged and cannot be sent. Take it again if the car is still there.');
  }
  try {
    await sendPieces(sha256, photo.bytes);
  } catch (error) {
    if (!(error instanceof ShopError) || error.status < 400 || error.status === 401 || error.status >= 500) throw error;
    const message = `The shop did not take a photo: ${error.message}`;
    const forGood = error.status === 422 && error.code !== 'wrong_hash';
    return forGood ? givenUp(sha256, message) : message;
  }
  await write(['photos', 'uploads'], async (tx) => {
    await tx.objectStore('photos').put({ ...photo, state: 'shop' });
    await tx.objectStore('uploads').delete(sha256);
  });
  return null;
}

/**
 * @param {string} sha256
 * @param {ArrayBuffer} bytes
 */
async function sendPieces(sha256, bytes) {
  let place = placeIn(await send('HEAD', `/api/photos/${sha256}`));
  let stuck = 0;
  while (!place.complete) {
    const next = await sendPiece(sha256, bytes, place.offset);
    // Another device may send the same photo; but a place that stays the same would keep this going for ever.
    stuck = next.offset > place.offset || next.complete ? 0 : stuck + 1;
    if (stuck > 3) throw new ShopError('shop_trouble', 'The shop’s server does not take a photo further. It is tried again later.');
    place = next;
  }
}

/**
 * @param {string} sha256
 * @param {ArrayBuffer} bytes
 * @param {number} offset
 */
async function sendPiece(sha256, bytes, offset) {
  const headers = { 'Upload-Offset': String(offset), 'Upload-Length': String(bytes.byteLength) };
  try {
    const piece = bytes.slice(offset, offset + PIECE_BYTES);
    return placeIn(await send('PATCH', `/api/photos/${sha256}`, { bytes: piece, headers }));
  } catch (error) {
    if (error instanceof ShopError && error.status === 409) return placeIn(error);
    throw error;
  }
}

/**
 * Where the shop stands, from its own words.
 * @param {{headers: Headers}} answer
 */
function placeIn({ headers }) {
  const offset = headers.get('Upload-Offset');
  const complete = headers.get('Upload-Complete');
  if (offset === null && complete === null) throw somethingElse();
  return { offset: Number(offset), complete: complete === '?1' };
}

/**
 * Do not send it again: to send it would change nothing. It stays on the phone and counts as not in the shop.
 * @param {string} sha256
 * @param {string} trouble
 */
async function givenUp(sha256, trouble) {
  await write(['uploads'], async (tx) => {
    const row = await tx.objectStore('uploads').get(sha256);
    if (row) await tx.objectStore('uploads').put({ ...row, trouble });
  });
  return trouble;
}
