/**
 * Entries to and from the shop, batch after batch.
 *
 * @typedef {import('./exchange.js').Place} Place
 * @typedef {import('./exchange.js').SyncAnswer} SyncAnswer
 */
import { announce } from './channel.js';
import { read } from './database.js';
import { exchangeAll, inOrder, isRestored, newBatch } from './exchange.js';
import { deviceId } from './session.js';
import { sendForJson } from './shop.js';
import { keepAnswer, readPlace } from './sync-answer.js';

/**
 * Send and fetch until neither side has more.
 * @throws {import('./shop.js').ShopError}
 */
export async function exchangeEntries() {
  let sent = 0;
  await exchangeAll({
    next: async () => {
      const { place, batch, counts } = await nextBatch();
      return { asked: place, batch, rest: { device: await deviceId(), unsynced: counts } };
    },
    send: (request) => {
      sent = Date.now();
      return sendForJson('POST', '/api/sync', { json: request });
    },
    keep: async (asked, answer) => {
      const skew = answer.server_ms - (sent + Date.now()) / 2;
      announce('sync', { online: true, clockSkewMs: Math.round(skew), ...(isRestored(asked, answer) ? { epochChanged: true } : {}) });
      const cases = await keepAnswer(asked, answer);
      if (cases.length) announce('log', { cases });
    },
    anyLeft: () => read(['entries'], async (tx) => (await tx.objectStore('entries').index('unsynced').count()) > 0),
  });
}

/** The first entries that the shop lacks, and where the exchange stands. */
function nextBatch() {
  return read(['entries', 'uploads', 'settings'], async (tx) => {
    const entries = tx.objectStore('entries');
    const waiting = await entries.index('unsynced').getAllKeys();
    const ordered = waiting.length ? inOrder(await entries.index('device_n').getAllKeys(), waiting) : [];
    const batch = newBatch();
    for (const id of ordered) {
      if (!batch.takes(/** @type {any} */ (await entries.get(id)).entry)) break;
    }
    const oldest = await entries.index('unsynced').get(1);
    return {
      place: await readPlace(tx.objectStore('settings')),
      batch: batch.entries,
      counts: { entries: waiting.length, photos: await tx.objectStore('uploads').count(), since_ms: oldest?.entry.at[0] ?? null },
    };
  });
}
