/**
 * The one transaction that adds entries of this phone to its log: number, stamp, entry, the photos it names and the line
 * in the list of cases, together or not at all.
 *
 * @typedef {import('./log.js').Entry} Entry
 */
import { write } from './database.js';
import { numbered, photosNamed } from './numbering.js';
import { refreshSummaries } from './summaries.js';

/**
 * @param {Entry[]} entries  complete but for `at`, `device` and `n`
 * @returns {Promise<Entry[]>} complete; one that is there already is given as it is
 */
export function append(entries) {
  return write(['entries', 'cases', 'settings', 'photos', 'uploads'], async (tx) => {
    const store = tx.objectStore('entries');
    const settings = tx.objectStore('settings');
    const held = new Map();
    for (const { id } of entries) {
      const row = await store.get(id);
      if (row) held.set(id, row.entry);
    }
    // Read here and not before: an exchange may just have given this phone another id.
    const device = await settings.get('device');
    const last = await lastNumber(tx, device);
    const { saved, added, clock } = numbered(entries, { held, device, last, clock: (await settings.get('clock')) ?? [0, 0] });
    for (const entry of added) {
      await store.add({ entry, unsynced: 1 });
      await queuePhotos(tx, entry);
    }
    await settings.put(clock, 'clock');
    await refreshSummaries(tx, new Set(saved.map((entry) => entry.case)));
    return saved;
  });
}

/**
 * The device's counter, read from the log itself, so that the two cannot disagree.
 * @param {any} tx
 * @param {string} device
 * @returns {Promise<number>}
 */
async function lastNumber(tx, device) {
  const own = IDBKeyRange.bound([device, 0], [device, Infinity]);
  const last = await tx.objectStore('entries').index('device_n').openKeyCursor(own, 'prev');
  return last ? last.key[1] : 0;
}

/**
 * Photos that an entry names join the queue for the shop.
 * @param {any} tx  over `photos` and `uploads`
 * @param {Entry} entry
 */
export async function queuePhotos(tx, entry) {
  for (const sha256 of photosNamed(entry)) {
    const photo = await tx.objectStore('photos').get(sha256);
    if (photo?.state === 'here') await tx.objectStore('uploads').put({ sha256, size: photo.size, since: entry.at[0] });
  }
}
