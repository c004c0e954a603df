/**
 * The one transaction that adds entries of this phone to its log: number, stamp, entry, the photos it names and the line
 * in the list of cases, together or not at all.
 *
 * @typedef {import('./log.js').Entry} Entry
 */
import { uuid7 } from './clock.js';
import { write } from './database.js';
import { numbered, photosNamed } from './numbering.js';
import { grown, refreshSummaries } from './summaries.js';

/**
 * @param {Entry[]} entries  complete but for `at`, `device` and `n`
 * @returns {Promise<Entry[]>} complete; one that is there already is given as it is
 */
export function append(entries) {
  return write(['entries', 'cases', 'settings', 'photos', 'uploads'], async (tx) => {
    const store = tx.objectStore('entries');
    const settings = tx.objectStore('settings');
    // Asked together, here and below: the store answers one after the other, and a slow phone pays for each wait. Read here
    // and not before: an exchange may just have given this phone another id.
    const cases = [...new Set(entries.map((entry) => entry.case))];
    const [rows, ours, before, lines] = await Promise.all([
      Promise.all(entries.map(({ id }) => store.get(id))),
      settings.get('device'),
      settings.get('clock'),
      Promise.all(cases.map((one) => tx.objectStore('cases').get(one))),
    ]);
    const held = new Map(rows.flatMap((row) => (row ? [[row.entry.id, row.entry]] : [])));
    const device = ours ?? uuid7();
    const last = await lastNumber(tx, device);
    const { saved, added, clock } = numbered(entries, { held, device, last, clock: before ?? [0, 0] });
    await Promise.all([
      ...added.map((entry) => store.add({ entry, unsynced: 1 })),
      ...added.map((entry) => queuePhotos(tx, entry)),
      settings.put(clock, 'clock'),
      ours ?? settings.put(device, 'device'),
      ...cases.map((one, index) => {
        const line = grown(lines[index], added.filter((entry) => entry.case === one));
        return line ? tx.objectStore('cases').put(line) : refreshSummaries(tx, [one]); // which asks after the adding
      }),
    ]);
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
