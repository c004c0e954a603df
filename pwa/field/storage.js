/**
 * The phone's room for our records, and a copy of what only this phone has as a file.
 *
 * @typedef {object} Room
 * @property {boolean} lasting  the browser promised not to clear our records by itself
 * @property {number | null} used  bytes; null: the browser does not say
 * @property {number | null} free  bytes
 * @property {boolean} low  under 200 MB or under a tenth free
 */
import { queuePhotos } from './append.js';
import { announce } from './channel.js';
import { uuid7 } from './clock.js';
import { read, write } from './database.js';
import { sha256Of } from './hash.js';
import { takenBack } from './numbering.js';
import { refreshSummaries } from './summaries.js';
import { phrase } from './tongue.js';

// Origin: estimate, from memory; some 600 photos.
const LOW_BYTES = 200_000_000;
const LOW_SHARE = 0.1;

/** First line of a backup; the others are entries and photos, one a line. */
const HEAD = 'coiltrail backup 1';

let askedToLast = false;

/** @returns {Promise<Room>} asks for lasting storage, once for a page */
export async function room() {
  const storage = navigator.storage;
  let lasting = Boolean(await storage?.persisted?.());
  if (!lasting && !askedToLast) {
    askedToLast = true;
    lasting = Boolean(await storage?.persist?.());
  }
  const { quota, usage } = (await storage?.estimate?.()) ?? {};
  if (quota === undefined || usage === undefined) return { lasting, used: null, free: null, low: false };
  const free = Math.max(0, quota - usage);
  return { lasting, used: usage, free, low: free < LOW_BYTES || free < LOW_SHARE * quota };
}

/** @returns {Promise<{blob: Blob, name: string, entries: number, photos: number}>} everything not yet in the shop */
export async function backup() {
  const { rows, hashes } = await read(['entries', 'uploads'], async (tx) => ({
    rows: await tx.objectStore('entries').index('unsynced').getAll(),
    hashes: await tx.objectStore('uploads').getAllKeys(),
  }));
  const made = new Date().toISOString();
  /** @type {BlobPart[]} */
  const lines = [line({ file: HEAD, made })];
  for (const { entry } of rows) lines.push(line({ entry }));
  for (const sha256 of hashes) {
    const photo = await read(['photos'], (tx) => tx.objectStore('photos').get(sha256));
    if (photo) lines.push(line({ photo: { sha256, mime: photo.mime, taken: photo.taken, base64: base64(photo.bytes) } }));
  }
  const blob = new Blob(lines, { type: 'application/jsonl' });
  return { blob, name: `coiltrail-${made.slice(0, 10)}.jsonl`, entries: rows.length, photos: hashes.length };
}

/**
 * Take back such a file. What is here already is left as it is.
 * @param {Blob} file
 * @returns {Promise<{entries: number, photos: number, refused: string[]}>} what was new; `refused`: lines that could
 *   not be taken, with the reason
 */
export async function restore(file) {
  const [head, ...lines] = (await file.text()).split('\n').filter((text) => text.trim());
  if (parsed(head)?.file !== HEAD) {
    return { entries: 0, photos: 0, refused: [phrase('This file is not a backup made by this application. Choose another.')] };
  }
  const outcome = { entries: 0, photos: 0, refused: /** @type {string[]} */ ([]) };
  const read = lines.map((text, index) => ({ number: index + 2, ...parsed(text) }));
  for (const { photo, number } of read.filter((one) => one.photo)) {
    const taken = await takePhoto(photo).catch(() => null);
    if (taken === null) outcome.refused.push(phrase('Line {number}: the photo is damaged.', { number }));
    else outcome.photos += Number(taken);
  }
  for (const { number } of read.filter((one) => !one.photo && !isEntry(one.entry))) {
    outcome.refused.push(phrase('Line {number}: this is no entry; the file was cut off or changed here.', { number }));
  }
  const cases = await takeEntries(read.map((one) => one.entry).filter(isEntry));
  outcome.entries = cases.length;
  announce('log', { cases: [...new Set(cases)], recorded: true });
  return outcome;
}

/** @param {any[]} entries @returns {Promise<string[]>} the case of each that was new */
function takeEntries(entries) {
  return write(['entries', 'cases', 'settings', 'photos', 'uploads'], async (tx) => {
    const settings = tx.objectStore('settings');
    const held = new Set(await tx.objectStore('entries').getAllKeys());
    const { added, clock, anotherDevice } = takenBack(entries, {
      held,
      device: await settings.get('device'),
      clock: (await settings.get('clock')) ?? [0, 0],
    });
    for (const entry of added) {
      await tx.objectStore('entries').add({ entry, unsynced: 1 });
      await queuePhotos(tx, entry);
    }
    await settings.put(clock, 'clock');
    if (anotherDevice) await settings.put(uuid7(), 'device');
    const cases = added.map((entry) => entry.case);
    await refreshSummaries(tx, new Set(cases));
    return cases;
  });
}

/**
 * @param {{sha256: string, mime: string, taken: number, base64: string}} photo
 * @returns {Promise<boolean>} whether it was new
 * @throws when its bytes are not its hash
 */
async function takePhoto({ sha256, mime, taken, base64 }) {
  const bytes = Uint8Array.from(atob(base64), (letter) => letter.charCodeAt(0)).buffer;
  if ((await sha256Of(bytes)) !== sha256) throw new Error('damaged');
  return write(['photos', 'uploads'], async (tx) => {
    if (await tx.objectStore('photos').getKey(sha256)) return false;
    await tx.objectStore('photos').add({ sha256, bytes, mime, size: bytes.byteLength, taken, state: 'here' });
    await tx.objectStore('uploads').put({ sha256, size: bytes.byteLength, since: taken });
    return true;
  });
}

/** @param {any} entry  enough of an entry to be kept; the shop checks the rest */
function isEntry(entry) {
  return ['id', 'case', 'kind', 'device'].every((name) => typeof entry?.[name] === 'string') && Array.isArray(entry.at) && Number.isInteger(entry.n);
}

/** @param {object} content */
function line(content) {
  return `${JSON.stringify(content)}\n`;
}

/** @param {string | undefined} text @returns {any} */
function parsed(text) {
  try {
    return JSON.parse(text ?? '');
  } catch {
    return null;
  }
}

/** @param {ArrayBuffer} bytes */
function base64(bytes) {
  let letters = '';
  const view = new Uint8Array(bytes);
  const step = 0x8000; // arguments that one call bears
  for (let at = 0; at < view.length; at += step) letters += String.fromCharCode(...view.subarray(at, at + step));
  return btoa(letters);
}
