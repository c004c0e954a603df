/**
 * The phone's own database: the only place that opens IndexedDB.
 *
 * Every write is strict (the promise resolves after the flush to the disk) and runs in one transaction under one
 * lock over all tabs. A connection that the browser has lost is opened anew and the transaction repeated once; so
 * the work given to `read` and `write` must bear being done twice, and may wait for nothing but its transaction.
 *
 * @typedef {import('./log.js').Entry} Entry
 *
 * @typedef {object} EntryRow
 * @property {Entry} entry  as recorded, never changed
 * @property {1} [unsynced]  there until the shop has acknowledged it
 * @property {1} [withheld]  the shop keeps it apart because whoever recorded it may not: it has no effect
 * @property {1} [handedIn]  this phone was shut out and has handed it in, to be looked at
 *
 * @typedef {object} PhotoRow
 * @property {string} sha256
 * @property {ArrayBuffer} bytes  never a File or Blob: iOS gives those back damaged
 * @property {string} mime
 * @property {number} size  bytes
 * @property {number} taken  ms
 * @property {'here' | 'shop'} state  where it is: on this phone only, or in the shop too
 * @property {number} [sent]  how often all of it was sent and the shop said that it has it
 *
 * @typedef {{sha256: string, bytes: ArrayBuffer, mime: string}} ThumbRow
 *
 * @typedef {object} UploadRow  a photo the shop has yet to get
 * @property {string} sha256
 * @property {number} size  bytes
 * @property {number} since  ms
 * @property {string} [trouble]  why it is not sent any more
 * @property {boolean} [kept]  somebody has decided that it stays on this phone only
 *
 * @typedef {object} Stores
 * @property {{key: string, value: EntryRow, indexes: {case: string, unsynced: number, device_n: [string, number]}}} entries
 * @property {{key: string, value: import('./log.js').Summary}} cases
 * @property {{key: string, value: PhotoRow}} photos
 * @property {{key: string, value: ThumbRow}} thumbs
 * @property {{key: string, value: UploadRow}} uploads
 * @property {{key: string, value: import('./sync-state.js').SetAside}} setaside
 * @property {{key: string, value: any}} drafts
 * @property {{key: string, value: any}} settings
 *
 * @typedef {keyof Stores} StoreName
 * @typedef {'readonly' | 'readwrite'} Mode
 */
import { openDB } from '/vendor/idb/build/index.js';
import { observable } from './observable.js';
import { phrase } from './tongue.js';

/** @typedef {import('/vendor/idb/build/index.js').IDBPDatabase<Stores>} Database */

const NAME = 'coiltrail';
const OPEN_MS = 10_000; // then opening is given up: iOS sometimes never answers (estimate, from memory)
const WORK_MS = 30_000; // the same for one transaction

/**
 * Step i leads from version i to i + 1. A released step is never changed; a new one is added.
 * @type {((db: Database) => void)[]}
 */
const STEPS = [
  (db) => {
    const entries = db.createObjectStore('entries', { keyPath: 'entry.id' });
    entries.createIndex('case', 'entry.case');
    entries.createIndex('unsynced', 'unsynced');
    entries.createIndex('device_n', ['entry.device', 'entry.n']);
    db.createObjectStore('cases', { keyPath: 'case' });
    db.createObjectStore('photos', { keyPath: 'sha256' });
    db.createObjectStore('thumbs', { keyPath: 'sha256' });
    db.createObjectStore('uploads', { keyPath: 'sha256' });
    db.createObjectStore('setaside', { keyPath: 'id' });
    db.createObjectStore('drafts');
    db.createObjectStore('settings');
  },
];

/** What hinders the database as a whole, in words for the screen; empty when nothing does. */
export const databaseTrouble = observable({ message: '' });

/** @type {Promise<Database> | null} */
let connection = null;

/** Transactions that are not over. @type {Set<{abort: () => void}>} */
const running = new Set();

// A page that the browser puts aside takes its transactions with it, and WebKit lets no other page's run until it comes
// back or is dropped (https://bugs.webkit.org/show_bug.cgi?id=315804). What is given up here is repeated if it comes back.
globalThis.addEventListener?.('pagehide', ({ persisted }) => {
  if (persisted) for (const tx of running) giveUp(tx);
});

/** @param {{abort: () => void}} tx */
function giveUp(tx) {
  try {
    tx.abort();
  } catch {
    // It is over, or on its way to the disk.
  }
}

/** @returns {Promise<Database>} */
function open() {
  if (connection) return connection;
  /** @type {Promise<Database>} */
  const opened = openDB(NAME, STEPS.length, {
    upgrade(/** @type {Database} */ db, from) {
      for (const step of STEPS.slice(from)) step(db);
    },
    blocked() {
      databaseTrouble.change({ message: phrase('Close the other tabs of this application: an older one holds its records.') });
    },
    blocking: () => forget(opened), // a newer release waits to change the stores: let it
    terminated: () => forget(opened),
  });
  opened.then(
    () => databaseTrouble.change({ message: '' }),
    (error) => {
      forget(opened);
      if (error.name === 'VersionError') {
        databaseTrouble.change({ message: phrase('A newer release of this application is open: load this page anew.') });
      }
    },
  );
  connection = opened;
  return opened;
}

/** @param {Promise<Database> | null} which */
function forget(which) {
  which?.then((db) => db.close()).catch(() => {});
  if (connection === which) connection = null;
}

/**
 * Look into the stores in one transaction.
 * @template {StoreName[]} Names
 * @template T
 * @param {[...Names]} names
 * @param {(tx: import('/vendor/idb/build/index.js').IDBPTransaction<Stores, Names, 'readonly'>) => Promise<T>} work
 * @returns {Promise<T>}
 */
export function read(names, work) {
  return twice(names, 'readonly', /** @type {any} */ (work));
}

/**
 * Change the stores in one transaction: all of it or nothing. Resolves when it is on the disk. When `work` throws,
 * nothing is changed.
 * @template {StoreName[]} Names
 * @template T
 * @param {[...Names]} names
 * @param {(tx: import('/vendor/idb/build/index.js').IDBPTransaction<Stores, Names, 'readwrite'>) => Promise<T>} work
 * @returns {Promise<T>}
 */
export function write(names, work) {
  const run = () => twice(names, 'readwrite', /** @type {any} */ (work));
  return navigator.locks ? navigator.locks.request('coiltrail.write', run) : run();
}

/**
 * @param {StoreName[]} names
 * @param {Mode} mode
 * @param {(tx: any) => Promise<any>} work
 */
async function twice(names, mode, work) {
  try {
    return await once(names, mode, work);
  } catch (error) {
    if (!connectionLost(error)) throw error;
    forget(connection);
    return once(names, mode, work);
  }
}

/**
 * @param {StoreName[]} names
 * @param {Mode} mode
 * @param {(tx: any) => Promise<any>} work
 */
async function once(names, mode, work) {
  const db = await within(OPEN_MS, open());
  const tx = db.transaction(names, mode, { durability: 'strict' });
  tx.done.catch(() => {}); // its failure is reported below, by the await
  running.add(tx);
  try {
    return await within(
      WORK_MS,
      work(tx).then(async (result) => {
        handOver(tx);
        await tx.done;
        return result;
      }),
    );
  } catch (error) {
    giveUp(tx);
    throw error;
  } finally {
    running.delete(tx);
  }
}

/** To the disk at once, also should the page go before it hears of it. @param {{commit: () => void}} tx */
function handOver(tx) {
  try {
    tx.commit();
  } catch {
    // It went by itself: its work asked for nothing more.
  }
}

/**
 * Only these names mean that the connection, not the work, has failed.
 * @param {unknown} error
 */
function connectionLost(error) {
  return (
    error instanceof DOMException && ['InvalidStateError', 'UnknownError', 'AbortError', 'TimeoutError'].includes(error.name)
  );
}

/**
 * @template T
 * @param {number} ms
 * @param {Promise<T>} promise
 * @returns {Promise<T>}
 */
function within(ms, promise) {
  return new Promise((resolve, reject) => {
    const timer = setTimeout(() => {
      forget(connection);
      reject(new DOMException(phrase('The phone’s database does not answer.'), 'TimeoutError'));
    }, ms);
    promise.then(resolve, reject).finally(() => clearTimeout(timer));
  });
}
