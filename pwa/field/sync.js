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
 * @property {number} untakenPhotos  of those, what the shop does not take: somebody must decide
 * @property {number} keptPhotos  not counted above: somebody has decided that they stay on this phone only
 * @property {number | null} since  ms: the oldest of what only this phone has
 * @property {number | null} lastSync  ms of the last complete exchange
 * @property {null | {code: 'no_connection' | 'sign_in' | 'shut_out' | 'shop_trouble' | 'refused' | 'photo_damaged' | 'store', message: string}} error
 * @property {SetAside[]} setAside  those that wait for a decision: what somebody has struck needs none
 * @property {number | null} clockSkewMs  the shop's clock minus this phone's; show it beyond five minutes
 * @property {boolean} epochChanged  the shop was restored from a backup and everything is offered again
 */
import { showBadge } from './badge.js';
import { announce, hear } from './channel.js';
import { read, write } from './database.js';
import { handIn } from './hand-in.js';
import { observable } from './observable.js';
import { me } from './session.js';
import { ShopError } from './shop.js';
import { struckIn } from './struck.js';
import { refreshSummaries } from './summaries.js';
import { exchangeEntries } from './sync-entries.js';
import { phrase } from './tongue.js';
import { uploadPhotos } from './uploads.js';

/** @type {SyncState} */
const NOTHING_KNOWN = {
  online: null,
  busy: false,
  unsyncedEntries: 0,
  unsyncedPhotos: 0,
  untakenPhotos: 0,
  keptPhotos: 0,
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
    const queue = await tx.objectStore('uploads').getAll();
    const uploads = queue.filter(({ kept }) => !kept);
    const times = [first?.entry.at[0], ...uploads.map((row) => row.since)].filter((ms) => ms !== undefined);
    return {
      unsyncedEntries: await unsynced.count(),
      unsyncedPhotos: uploads.length,
      untakenPhotos: uploads.filter(({ trouble }) => trouble).length,
      keptPhotos: queue.length - uploads.length,
      since: times.length ? Math.min(...times) : null,
      setAside: await undecided(tx),
      lastSync: (await tx.objectStore('settings').get('last sync')) ?? null,
    };
  });
  state.change(counts);
  showBadge(counts.unsyncedEntries + counts.unsyncedPhotos);
  return counts;
}

/** What is set aside and was not struck. @param {any} tx @returns {Promise<SetAside[]>} */
async function undecided(tx) {
  /** @type {SetAside[]} */
  const apart = await tx.objectStore('setaside').getAll();
  const cases = [...new Set(apart.map(({ entry }) => entry.case))];
  const byCase = tx.objectStore('entries').index('case');
  const rows = (await Promise.all(cases.map((one) => byCase.getAll(one)))).flat();
  const struck = struckIn(rows.map((/** @type {import('./database.js').EntryRow} */ row) => row.entry));
  return apart.filter(({ id }) => !struck.has(id));
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
    announce('sync', isShutOut(error) ? await handInInstead() : trouble(error));
  }
  const left = await countAgain().catch(() => ({}));
  announce('sync', { busy: false, ...left });
  const { error, unsyncedEntries, unsyncedPhotos } = state.value;
  return !error && !unsyncedEntries && !unsyncedPhotos;
}

/** @param {unknown} error */
function isShutOut(error) {
  return error instanceof ShopError && error.code === 'shut_out';
}

/** @returns {Promise<Partial<SyncState>>} */
async function handInInstead() {
  try {
    await handIn();
    await uploadPhotos(countAgain);
    return { online: true, error: { code: 'shut_out', message: phrase('This device was shut out. What it had recorded was handed in, to be looked at.') } };
  } catch (error) {
    return trouble(error);
  }
}

/**
 * @param {unknown} error
 * @returns {Partial<SyncState>}
 */
function trouble(error) {
  if (!(error instanceof ShopError)) {
    console.error(error);
    return { error: { code: 'store', message: phrase('The phone’s store failed during the exchange. It is tried again later.') } };
  }
  const { code, message, status } = error;
  if (code === 'no_connection') return { online: false, error: { code, message } };
  if (code === 'shop_trouble') return { online: true, error: { code, message } };
  if (status === 401) {
    return { online: true, error: { code: 'sign_in', message: phrase('Sign in again to exchange with the shop. Work on this device goes on.') } };
  }
  return { online: true, error: { code: 'refused', message } };
}
