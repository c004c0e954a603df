/**
 * How far this phone and the shop are: what only the phone has, and how the last exchange went. The first screen draws it
 * before the exchange itself is read.
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
import { hear } from './channel.js';
import { read } from './database.js';
import { observable } from './observable.js';
import { struckIn } from './struck.js';

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
