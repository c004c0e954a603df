/**
 * The exchange with the shop: entries first, photos after. Safe to interrupt and to repeat at any point.
 *
 * @typedef {import('./sync-state.js').SyncState} SyncState
 */
import { announce } from './channel.js';
import { write } from './database.js';
import { handIn } from './hand-in.js';
import { me } from './session.js';
import { ShopError } from './shop.js';
import { refreshSummaries } from './summaries.js';
import { exchangeEntries } from './sync-entries.js';
import { countAgain, syncState } from './sync-state.js';
import { phrase } from './tongue.js';
import { uploadPhotos } from './uploads.js';

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
  const { error, unsyncedEntries, unsyncedPhotos } = syncState.value;
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
