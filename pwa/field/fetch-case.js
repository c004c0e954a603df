/** A case that the shop has and this phone does not hold: all of it, kept as if an exchange had brought it. */
import { announce } from './channel.js';
import { read } from './database.js';
import { sendForJson, somethingElse } from './shop.js';
import { syncNow } from './sync.js';
import { keepAnswer, readPlace } from './sync-answer.js';

/**
 * @param {string} caseId
 * @returns {Promise<void>} once it is on this phone
 * @throws {import('./shop.js').ShopError}
 */
export async function fetchCase(caseId) {
  const place = await read(['settings'], (tx) => readPlace(tx.objectStore('settings')));
  if (place.epoch === null) return void (await syncNow()); // the first exchange brings it
  const { entries } = await sendForJson('GET', `/api/cases/${caseId}/entries`);
  if (!Array.isArray(entries)) throw somethingElse();
  const nothing = { accepted: [], set_aside: [], apart: [], blanked: [], photos_wanted: [], more: false, server_ms: 0 };
  // The place in the shop's log stays where it is: what lies between is still to come.
  const cases = await keepAnswer(place, {
    ...nothing,
    epoch: place.epoch,
    cursor: place.cursor,
    head: place.head ?? [0, ''],
    entries,
  });
  announce('log', { cases });
}
