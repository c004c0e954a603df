/**
 * Photos on their way to the shop, in pieces, each continuing where the shop stands.
 *
 * @typedef {import('./database.js').UploadRow} UploadRow
 */
import { sha256Of } from './hash.js';
import { read, write } from './database.js';
import { sendPieces, sentTooOften, verdictOf } from './pieces.js';
import { send } from './shop.js';
import { phrase } from './tongue.js';

/**
 * Send all photos that wait. One that cannot be sent is kept and reported, and holds up no other.
 * @param {() => Promise<any>} counted  called after each photo
 * @returns {Promise<null | {code: 'photo_damaged', message: string}>} what became of those that could not be sent
 * @throws {import('./shop.js').ShopError} when the shop cannot be reached or wants a sign-in
 */
export async function uploadPhotos(counted) {
  const waiting = await read(['uploads'], (tx) => tx.objectStore('uploads').getAll());
  /** @type {Set<string>} */
  const troubles = new Set();
  for (const row of waiting.filter(({ kept }) => !kept).sort((a, b) => a.since - b.since)) {
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
    return givenUp(sha256, phrase('A photo on this device is damaged and cannot be sent. Take it again if the car is still there.'));
  }
  const tooOften = sentTooOften(photo.sent ?? 0);
  if (tooOften) return givenUp(sha256, tooOften);
  let sent = false;
  try {
    sent = await sendPieces(sha256, photo.bytes, send);
  } catch (error) {
    const verdict = verdictOf(error);
    if (verdict === 'not its fault') throw error;
    const message = phrase('The shop did not take a photo: {message}', { message: /** @type {Error} */ (error).message });
    return verdict === 'never again' ? givenUp(sha256, message) : message;
  }
  await write(['photos', 'uploads'], async (tx) => {
    await tx.objectStore('photos').put({ ...photo, state: 'shop', sent: (photo.sent ?? 0) + Number(sent) });
    await tx.objectStore('uploads').delete(sha256);
  });
  return null;
}

/**
 * Do not send it again: to send it would change nothing. It stays on the phone and counts as not in the shop, until
 * somebody has decided about it (`stray-photos.js`).
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
