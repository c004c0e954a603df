/**
 * The rules by which a photo goes to the shop in pieces, without network of its own.
 *
 * @typedef {(method: 'HEAD' | 'PATCH', path: string, request?: import('./shop.js').Request) => Promise<{headers: Headers}>} Send
 */
import { ShopError, somethingElse } from './shop.js';
import { phrase } from './tongue.js';

const PIECE_BYTES = 64 * 1024;
const MOST_STUCK = 3; // answers in a row that bring it no further
const MOST_SENT = 5; // times a photo is sent whole; more often than shops are restored (estimate, from memory)

/**
 * Send a photo from where the shop stands to its end. It may be broken off between any two steps.
 * @param {string} sha256
 * @param {ArrayBuffer} bytes
 * @param {Send} send
 * @param {number} [pieceBytes]
 * @returns {Promise<boolean>} whether anything was sent: the shop had not all of it already
 * @throws {ShopError}
 */
export async function sendPieces(sha256, bytes, send, pieceBytes = PIECE_BYTES) {
  const path = `/api/photos/${sha256}`;
  let place = placeIn(await send('HEAD', path));
  if (place.complete) return false;
  let stuck = 0;
  while (!place.complete) {
    const next = await sendPiece(path, bytes, place.offset, send, pieceBytes);
    // Another device may send the same photo; but a place that stays the same would keep this going for ever.
    stuck = next.offset > place.offset || next.complete ? 0 : stuck + 1;
    if (stuck > MOST_STUCK) throw new ShopError('shop_trouble', phrase('The shop’s server does not take a photo further. It is tried again later.'));
    place = next;
  }
  return true;
}

/**
 * @param {string} path
 * @param {ArrayBuffer} bytes
 * @param {number} offset
 * @param {Send} send
 * @param {number} pieceBytes
 */
async function sendPiece(path, bytes, offset, send, pieceBytes) {
  const headers = { 'Upload-Offset': String(offset), 'Upload-Length': String(bytes.byteLength) };
  try {
    return placeIn(await send('PATCH', path, { bytes: bytes.slice(offset, offset + pieceBytes), headers }));
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
 * A shop that takes a photo and asks for it again, over and over, does not keep it: that must be seen, and not go on.
 * @param {number} sent  how often it was sent whole
 * @returns {string | undefined} what to say instead of sending it once more
 */
export function sentTooOften(sent) {
  if (sent < MOST_SENT) return undefined;
  return phrase('The shop has taken this photo {sent} times and asks for it again: it does not keep it. Whoever minds the shop’s server should run coiltrail check.', { sent });
}

/**
 * What a failed sending means for the photo.
 * @param {unknown} error
 * @returns {'not its fault' | 'again later' | 'never again'}
 */
export function verdictOf(error) {
  if (!(error instanceof ShopError) || error.status < 400 || error.status === 401 || error.status >= 500) return 'not its fault';
  return error.status === 422 && error.code !== 'wrong_hash' ? 'never again' : 'again later';
}
