/**
 * What the shop answers, put into the phone's stores.
 *
 * @typedef {import('./log.js').Entry} Entry
 * @typedef {import('./sync-entries.js').SyncAnswer} SyncAnswer
 */
import { past } from './clock.js';
import { write } from './database.js';
import { refreshSummaries } from './summaries.js';

/**
 * In one transaction: an interruption leaves the exchange as it was before it.
 * @param {SyncAnswer} answer
 * @param {boolean} restored  the shop has another epoch: everything is offered again
 * @returns {Promise<string[]>} cases that changed
 */
export function keepAnswer(answer, restored) {
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
