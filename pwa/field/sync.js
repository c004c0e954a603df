/**
 * The exchange with the shop: entries first, photos after. Safe to interrupt and to repeat at any point.
 *
 * @typedef {import('./log.js').Entry} Entry
 *
 * @typedef {object} SetAside  an entry that the shop keeps apart, with the reason
 * @property {string} id
 * @property {string} field
 * @property {string} message
 * @property {Entry} entry
 *
 * @typedef {object} SyncState
 * @property {boolean | null} online  the shop answered last time; null: not asked yet
 * @property {boolean} busy
 * @property {number} unsyncedEntries
 * @property {number} unsyncedPhotos
 * @property {number | null} since  ms: the oldest of what only this phone has
 * @property {number | null} lastSync  ms of the last complete exchange
 * @property {null | {code: 'no_connection' | 'sign_in' | 'shop_trouble' | 'refused' | 'photo_damaged' | 'store', message: string}} error
 * @property {SetAside[]} setAside
 * @property {number | null} clockSkewMs  the shop's clock minus this phone's; show it beyond five minutes
 * @property {boolean} epochChanged  the shop was restored from a backup and everything is offered again
 *
 * @typedef {object} SyncAnswer  see DEVELOPERS.md
 * @property {string} epoch
 * @property {number} cursor
 * @property {string[]} accepted
 * @property {{id: string, field: string, message: string}[]} set_aside
 * @property {Entry[]} entries
 * @property {boolean} more
 * @property {string[]} photos_wanted
 * @property {number} server_ms
 */
import { announce, hear } from './channel.js';
import { past } from './clock.js';
import { read, write } from './database.js';
import { refreshSummaries } from './log.js';
import { observable } from './observable.js';
import { deviceId, me } from './session.js';
import { sendForJson, ShopError, somethingElse } from './shop.js';
import { uploadPhotos } from './uploads.js';

const BATCH_BYTES = 64_000; // of entries in one request, at least one entry: a bad link still makes progress

/** @type {SyncState} */
const NOTHING_KNOWN = {
  online: null,
  busy: false,
  unsyncedEntries: 0,
  unsyncedPhotos: 0,
  since: null,
  lastSync: null,
  error: null,
  setAside: [],
  clockSkewMs: null,
  epochChanged: false,
};

const state = observable(NOTHING_KNOWN);

/** @type {import('./observable.js').Observable<SyncState>} */
export const syncState = state;

hear('sync', (/** @type {Partial<SyncState>} */ news) => state.change(news));
hear('log', () => countAgain().catch(reportError));

/** @type {Promise<boolean> | null} */
let running = null;

/**
 * Exchange with the shop now. Never throws: the outcome stands in `syncState`. One exchange runs at a time over all
 * tabs and the worker.
 * @returns {Promise<boolean>} true when everything of this phone is in the shop
 */
export function syncNow() {
  running ??= alone(exchange).finally(() => {
    running = null;
  });
  return running;
}

/**
 * Offer an entry that was set aside once more.
 * @param {string} id
 * @returns {Promise<void>}
 */
export async function offerAgain(id) {
  await write(['entries', 'cases', 'setaside'], async (tx) => {
    const row = await tx.objectStore('entries').get(id);
    if (!row) return;
    await tx.objectStore('entries').put({ ...row, unsynced: 1 });
    await tx.objectStore('setaside').delete(id);
    await refreshSummaries(tx, [row.entry.case]);
  });
  await syncNow();
}

/** Count anew what only this phone has. */
export async function countAgain() {
  const counts = await read(['entries', 'uploads', 'setaside', 'settings'], async (tx) => {
    const unsynced = tx.objectStore('entries').index('unsynced');
    const first = await unsynced.get(1);
    const uploads = await tx.objectStore('uploads').getAll();
    const times = [first?.entry.at[0], ...uploads.map((row) => row.since)].filter((ms) => ms !== undefined);
    return {
      unsyncedEntries: await unsynced.count(),
      unsyncedPhotos: uploads.length,
      since: times.length ? Math.min(...times) : null,
      setAside: await tx.objectStore('setaside').getAll(),
      lastSync: (await tx.objectStore('settings').get('last sync')) ?? null,
    };
  });
  state.change(counts);
  return counts;
}

/**
 * @template T
 * @param {() => Promise<T>} work
 * @returns {Promise<T>}
 */
function alone(work) {
  return navigator.locks ? navigator.locks.request('coiltrail.sync', work) : work();
}

/** @returns {Promise<boolean>} */
async function exchange() {
  try {
    if (!(await me())) return false; // before the first sign-in there is nobody to exchange for
    announce('sync', { busy: true });
    await exchangeEntries();
    const error = await uploadPhotos(countAgain);
    await write(['settings'], (tx) => tx.objectStore('settings').put(Date.now(), 'last sync'));
    announce('sync', { online: true, error, epochChanged: false });
  } catch (error) {
    announce('sync', trouble(error));
  }
  const left = await countAgain().catch(() => ({}));
  announce('sync', { busy: false, ...left });
  const { error, unsyncedEntries, unsyncedPhotos } = state.value;
  return !error && !unsyncedEntries && !unsyncedPhotos;
}

/**
 * @param {unknown} error
 * @returns {Partial<SyncState>}
 */
function trouble(error) {
  if (!(error instanceof ShopError)) {
    console.error(error);
    return { error: { code: 'store', message: 'The phone’s store failed during the exchange. It is tried again later.' } };
  }
  const { code, message, status } = error;
  if (code === 'no_connection') return { online: false, error: { code, message } };
  if (code === 'shop_trouble') return { online: true, error: { code, message } };
  if (status === 401) {
    return { online: true, error: { code: 'sign_in', message: 'Sign in again to exchange with the shop. Work on this phone goes on.' } };
  }
  return { online: true, error: { code: 'refused', message } };
}

/** Send and fetch batch after batch until neither side has more. */
async function exchangeEntries() {
  const device = await deviceId();
  for (;;) {
    const { epoch, cursor, batch, counts } = await nextBatch();
    const sent = Date.now();
    const answer = checked(
      await sendForJson('POST', '/api/sync', { json: { device, epoch, cursor, entries: batch, unsynced: counts } }),
    );
    const skew = answer.server_ms - (sent + Date.now()) / 2;
    const restored = epoch !== null && epoch !== answer.epoch;
    announce('sync', { online: true, clockSkewMs: Math.round(skew), ...(restored ? { epochChanged: true } : {}) });
    const cases = await takeOver(answer, restored);
    if (cases.length) announce('log', { cases });
    const settled = new Set([...answer.accepted, ...answer.set_aside.map(({ id }) => id)]);
    if (batch.length && !restored && !batch.some((entry) => settled.has(entry.id))) {
      throw new ShopError('shop_trouble', 'The shop answered for none of the entries sent. They stay here.');
    }
    if (!answer.more && !(await anyUnsynced())) return;
  }
}

/** The oldest entries that the shop lacks, and where the exchange stands. */
function nextBatch() {
  return read(['entries', 'uploads', 'settings'], async (tx) => {
    const settings = tx.objectStore('settings');
    /** @type {Entry[]} */
    const batch = [];
    let bytes = 0;
    let since = null;
    const unsynced = tx.objectStore('entries').index('unsynced');
    for (let at = await unsynced.openCursor(); at; at = await at.continue()) {
      const { entry } = at.value;
      since ??= entry.at[0];
      bytes += new TextEncoder().encode(JSON.stringify(entry)).length;
      if (batch.length && bytes > BATCH_BYTES) break;
      batch.push(entry);
    }
    return {
      epoch: /** @type {string | null} */ ((await settings.get('epoch')) ?? null),
      cursor: /** @type {number} */ ((await settings.get('cursor')) ?? 0),
      batch,
      counts: { entries: await unsynced.count(), photos: await tx.objectStore('uploads').count(), since_ms: since },
    };
  });
}

function anyUnsynced() {
  return read(['entries'], async (tx) => (await tx.objectStore('entries').index('unsynced').count()) > 0);
}

/**
 * An answer of another shape is no answer of the shop.
 * @param {any} answer
 * @returns {SyncAnswer}
 */
function checked(answer) {
  const lists = ['accepted', 'set_aside', 'entries', 'photos_wanted'];
  if (typeof answer.epoch !== 'string' || lists.some((name) => !Array.isArray(answer[name]))) throw somethingElse();
  return answer;
}

/**
 * Put an answer into the stores in one transaction: an interruption leaves the exchange as it was before it.
 * @param {SyncAnswer} answer
 * @param {boolean} restored  the shop has another epoch: everything is offered again
 * @returns {Promise<string[]>} cases that changed
 */
function takeOver(answer, restored) {
  return write(['entries', 'cases', 'setaside', 'photos', 'uploads', 'settings'], async (tx) => {
    const cases = restored ? await offerEverything(tx) : new Set();
    for (const id of answer.accepted) await settle(tx, id, cases);
    for (const refusal of answer.set_aside) await setAside(tx, refusal, cases);
    for (const entry of answer.entries) await receive(tx, entry, cases);
    for (const sha256 of answer.photos_wanted) await offerPhoto(tx, sha256);
    await refreshSummaries(tx, cases);
    const settings = tx.objectStore('settings');
    await settings.put(answer.epoch, 'epoch');
    await settings.put(answer.cursor, 'cursor');
    let clock = (await settings.get('clock')) ?? [0, 0];
    for (const entry of answer.entries) clock = past(clock, entry.at);
    await settings.put(clock, 'clock');
    return [...cases];
  });
}

/** @param {any} tx @returns {Promise<Set<string>>} */
async function offerEverything(tx) {
  const cases = new Set();
  for (let at = await tx.objectStore('entries').openCursor(); at; at = await at.continue()) {
    cases.add(at.value.entry.case);
    if (!at.value.unsynced) await at.update({ ...at.value, unsynced: 1 });
  }
  return cases;
}

/** The shop has it. @param {any} tx @param {string} id @param {Set<string>} cases */
async function settle(tx, id, cases) {
  await tx.objectStore('setaside').delete(id);
  const row = await tx.objectStore('entries').get(id);
  if (!row?.unsynced) return;
  delete row.unsynced;
  await tx.objectStore('entries').put(row);
  cases.add(row.entry.case);
}

/**
 * The shop keeps it apart: it is kept and shown here too, and no longer offered of itself.
 * @param {any} tx
 * @param {{id: string, field: string, message: string}} refusal
 * @param {Set<string>} cases
 */
async function setAside(tx, refusal, cases) {
  const row = await tx.objectStore('entries').get(refusal.id);
  if (!row) return;
  await settle(tx, refusal.id, cases);
  await tx.objectStore('setaside').put({ ...refusal, entry: row.entry });
}

/**
 * An entry from another device. One that this phone holds with other content is never overwritten, only shown.
 * @param {any} tx
 * @param {Entry} entry
 * @param {Set<string>} cases
 */
async function receive(tx, entry, cases) {
  const row = await tx.objectStore('entries').get(entry.id);
  if (!row) {
    await tx.objectStore('entries').add({ entry });
    cases.add(entry.case);
  } else if (sorted(row.entry) === sorted(entry)) {
    await settle(tx, entry.id, cases);
  } else {
    const message = 'The shop holds another entry under the same id. Both are kept.';
    await tx.objectStore('setaside').put({ id: entry.id, field: 'id', message, entry });
  }
}

/** @param {any} value @returns {string} JSON with sorted keys */
function sorted(value) {
  return JSON.stringify(value, (_key, inner) =>
    inner && typeof inner === 'object' && !Array.isArray(inner)
      ? Object.fromEntries(Object.entries(inner).sort(([a], [b]) => (a < b ? -1 : 1)))
      : inner,
  );
}

/** The shop lacks a photo that this phone has. @param {any} tx @param {string} sha256 */
async function offerPhoto(tx, sha256) {
  const photo = await tx.objectStore('photos').get(sha256);
  if (!photo) return;
  await tx.objectStore('photos').put({ ...photo, state: 'here' });
  const before = await tx.objectStore('uploads').get(sha256);
  await tx.objectStore('uploads').put(before ?? { sha256, size: photo.size, since: photo.taken });
}
