/**
 * What the shop answers, put into the phone's stores.
 *
 * @typedef {import('./exchange.js').Place} Place
 * @typedef {import('./exchange.js').SyncAnswer} SyncAnswer
 */
import { uuid7 } from './clock.js';
import { write } from './database.js';
import { changesBy, idsIn, NOWHERE } from './exchange.js';
import { photosNamed } from './numbering.js';
import { refreshSummaries } from './summaries.js';

/**
 * In one transaction: an interruption leaves the exchange as it was before it.
 * @param {Place} asked
 * @param {SyncAnswer} answer
 * @returns {Promise<string[]>} cases that changed
 */
export function keepAnswer(asked, answer) {
  return write(['entries', 'cases', 'setaside', 'photos', 'thumbs', 'uploads', 'drafts', 'settings'], async (tx) => {
    const settings = tx.objectStore('settings');
    const rows = await rowsOf(tx, idsIn(answer));
    const changes = changesBy(answer, {
      asked,
      place: await readPlace(settings),
      device: await settings.get('device'),
      clock: (await settings.get('clock')) ?? [0, 0],
      rows,
    });
    if (!changes) return [];
    const cases = changes.offerAll ? await offerEverything(tx) : new Set();
    for (const entry of answer.blanked) await forget(tx, rows.get(entry.id)?.entry, entry);
    for (const row of changes.rows) {
      await tx.objectStore('entries').put(row);
      cases.add(row.entry.case);
    }
    for (const id of changes.settled) await tx.objectStore('setaside').delete(id);
    for (const one of changes.aside) await tx.objectStore('setaside').put(one);
    for (const sha256 of changes.photos) await queuePhoto(tx, sha256);
    await refreshSummaries(tx, cases);
    for (const [name, value] of Object.entries(changes.place)) await settings.put(value, name);
    await settings.put(changes.clock, 'clock');
    if (changes.anotherDevice) await settings.put(uuid7(), 'device');
    return [...cases];
  });
}

/**
 * @param {any} settings  the store
 * @returns {Promise<Place>}
 */
export async function readPlace(settings) {
  return {
    epoch: (await settings.get('epoch')) ?? NOWHERE.epoch,
    cursor: (await settings.get('cursor')) ?? NOWHERE.cursor,
    head: (await settings.get('head')) ?? NOWHERE.head,
  };
}

/**
 * What hangs on an erased entry goes too: its pictures, what it says where it was set aside, half-filled forms of its case.
 * @param {any} tx
 * @param {import('./log.js').Entry | undefined} before  as this phone had it
 * @param {import('./log.js').Entry} entry  as it stands now
 */
async function forget(tx, before, entry) {
  for (const sha256 of new Set([...photosNamed(entry), ...(before ? photosNamed(before) : [])])) {
    for (const store of ['photos', 'thumbs', 'uploads']) await tx.objectStore(store).delete(sha256);
  }
  const aside = await tx.objectStore('setaside').get(entry.id);
  if (aside) await tx.objectStore('setaside').put({ ...aside, entry });
  for (const key of await tx.objectStore('drafts').getAllKeys()) {
    if (String(key).includes(entry.case)) await tx.objectStore('drafts').delete(key);
  }
}

/** @param {any} tx @param {Set<string>} ids */
async function rowsOf(tx, ids) {
  const rows = new Map();
  for (const id of ids) {
    const row = await tx.objectStore('entries').get(id);
    if (row) rows.set(id, row);
  }
  return rows;
}

/** The shop may have forgotten all of it. @param {any} tx @returns {Promise<Set<string>>} its cases */
async function offerEverything(tx) {
  const cases = new Set();
  const photos = new Set(await tx.objectStore('photos').getAllKeys());
  const queued = new Set(await tx.objectStore('uploads').getAllKeys());
  for (let at = await tx.objectStore('entries').openCursor(); at; at = await at.continue()) {
    const { entry, unsynced, withheld } = at.value;
    cases.add(entry.case);
    if (!unsynced) await at.update({ entry, unsynced: 1, ...(withheld ? { withheld } : {}) });
    for (const sha256 of photosNamed(entry)) {
      if (!photos.has(sha256) || queued.has(sha256)) continue;
      queued.add(sha256);
      // The picture itself is not read: there may be hundreds.
      await tx.objectStore('uploads').put({ sha256, size: entry.body.bytes ?? 0, since: entry.at[0] });
    }
  }
  return cases;
}

/** The shop lacks a photo that this phone may have. @param {any} tx @param {string} sha256 */
async function queuePhoto(tx, sha256) {
  if (await tx.objectStore('uploads').getKey(sha256)) return;
  const photo = await tx.objectStore('photos').get(sha256);
  if (photo) await tx.objectStore('uploads').put({ sha256, size: photo.size, since: photo.taken });
}
