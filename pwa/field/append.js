/**
 * The one transaction that adds entries of this phone to its log: number, stamp, entry, the photos it names and the line
 * in the list of cases, together or not at all.
 *
 * @typedef {import('./log.js').Entry} Entry
 */
import { next } from './clock.js';
import { write } from './database.js';
import { refreshSummaries } from './summaries.js';

/**
 * @param {Entry[]} entries  of one device, complete but for `at` and `n`
 * @returns {Promise<Entry[]>} complete; one that is there already is given as it is
 */
export function append(entries) {
  return write(['entries', 'cases', 'settings', 'photos', 'uploads'], async (tx) => {
    const store = tx.objectStore('entries');
    let stamp = (await tx.objectStore('settings').get('clock')) ?? [0, 0];
    let n = await lastNumber(tx, entries[0].device);
    const saved = [];
    for (const entry of entries) {
      const before = await store.get(entry.id);
      if (before) {
        saved.push(before.entry);
        continue;
      }
      stamp = next(stamp);
      n += 1;
      const complete = { ...entry, at: stamp, n };
      await store.add({ entry: complete, unsynced: 1 });
      await offerPhotos(tx, complete);
      saved.push(complete);
    }
    await tx.objectStore('settings').put(stamp, 'clock');
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
 * @param {any} tx
 * @param {Entry} entry
 */
async function offerPhotos(tx, entry) {
  for (const sha256 of hashesIn(entry.body)) {
    const photo = await tx.objectStore('photos').get(sha256);
    if (photo?.state === 'here') await tx.objectStore('uploads').put({ sha256, size: photo.size, since: entry.at[0] });
  }
}

/** @param {any} value @returns {string[]} every SHA-256 in it */
function hashesIn(value) {
  if (typeof value === 'string') return /^[0-9a-f]{64}$/.test(value) ? [value] : [];
  return value && typeof value === 'object' ? Object.values(value).flatMap(hashesIn) : [];
}
