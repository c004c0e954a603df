/**
 * Photos that do not reach the shop by themselves: those that it does not take, and those that no entry names.
 *
 * @typedef {import('./database.js').UploadRow} UploadRow
 *
 * @typedef {object} Untaken  a photo that the shop did not take, or that is damaged on this phone
 * @property {string} sha256
 * @property {string} mime  empty: it is not here any more
 * @property {string} trouble  why, and what to do
 * @property {boolean} kept  somebody has decided that it stays on this phone only
 * @property {string | null} case  of the entry that names it
 *
 * @typedef {object} Nameless  a photo that no entry names: the page was closed before it was recorded
 * @property {string} sha256
 * @property {string} mime
 * @property {number} taken  ms
 * @property {number} bytes
 */
import { announce } from './channel.js';
import { read, write } from './database.js';
import { photosNamed } from './numbering.js';

// A form that is being filled in may still record it. Origin: estimate, from memory.
const SETTLED_MS = 24 * 3600_000;

const AT_ONCE = 200; // entries read in one go, so that a tap does not wait for thousands

/** @returns {Promise<Untaken[]>} the oldest first */
export function untaken() {
  return read(['entries', 'photos', 'uploads'], async (tx) => {
    const rows = (await tx.objectStore('uploads').getAll()).filter(({ trouble }) => trouble);
    const cases = rows.length ? casesNaming(await tx.objectStore('entries').getAll()) : new Map();
    const found = [];
    for (const { sha256, trouble = '', kept = false } of rows.sort((a, b) => a.since - b.since)) {
      const photo = await tx.objectStore('photos').get(sha256);
      found.push({ sha256, mime: photo?.mime ?? '', trouble, kept, case: cases.get(sha256) ?? null });
    }
    return found;
  });
}

/**
 * Let it be: it stays on this phone only, in every backup file, and is no longer asked about.
 * @param {string} sha256
 */
export function keepHere(sha256) {
  return changed(sha256, (row) => ({ ...row, kept: true }));
}

/**
 * Let the next exchange try it once more.
 * @param {string} sha256
 */
export async function tryAgain(sha256) {
  await write(['photos'], async (tx) => {
    const photo = await tx.objectStore('photos').get(sha256);
    if (photo) await tx.objectStore('photos').put({ ...photo, sent: 0 });
  });
  await changed(sha256, ({ size, since }) => ({ sha256, size, since }));
}

/** @returns {Promise<Nameless[]>} the oldest first; what was just taken is left out */
export function nameless() {
  return read(['entries', 'photos', 'uploads'], async (tx) => {
    const left = new Set(await tx.objectStore('photos').getAllKeys());
    for (const sha256 of await tx.objectStore('uploads').getAllKeys()) left.delete(sha256);
    /** @type {string | undefined} */
    let last;
    while (left.size) {
      const rows = await tx.objectStore('entries').getAll(last && IDBKeyRange.lowerBound(last, true), AT_ONCE);
      for (const sha256 of casesNaming(rows).keys()) left.delete(sha256);
      if (rows.length < AT_ONCE) break;
      last = rows[AT_ONCE - 1].entry.id;
    }
    const found = [];
    for (const sha256 of left) {
      const photo = await tx.objectStore('photos').get(sha256);
      if (photo?.state === 'here' && Date.now() - photo.taken > SETTLED_MS) found.push({ sha256, mime: photo.mime, taken: photo.taken, bytes: photo.size });
    }
    return found.sort((a, b) => a.taken - b.taken);
  });
}

/**
 * Delete a photo that no entry names. One that an entry names after all stays.
 * @param {string} sha256
 * @returns {Promise<boolean>} whether it was deleted
 */
export function discard(sha256) {
  return write(['entries', 'photos', 'thumbs', 'uploads'], async (tx) => {
    const isNamed = casesNaming(await tx.objectStore('entries').getAll()).has(sha256);
    if (isNamed || (await tx.objectStore('uploads').getKey(sha256))) return false;
    await tx.objectStore('photos').delete(sha256);
    await tx.objectStore('thumbs').delete(sha256);
    return true;
  });
}

/**
 * @param {import('./database.js').EntryRow[]} rows
 * @returns {Map<string, string>} each photo that an entry names -> the entry's case
 */
function casesNaming(rows) {
  return new Map(rows.flatMap(({ entry }) => photosNamed(entry).map((sha256) => /** @type {[string, string]} */ ([sha256, entry.case]))));
}

/**
 * @param {string} sha256
 * @param {(row: UploadRow) => UploadRow} change
 */
async function changed(sha256, change) {
  await write(['uploads'], async (tx) => {
    const row = await tx.objectStore('uploads').get(sha256);
    if (row) await tx.objectStore('uploads').put(change(row));
  });
  announce('log', { cases: [] });
}
