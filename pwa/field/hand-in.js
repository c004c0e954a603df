/** A phone that was shut out hands in what only it has. It is told which entries arrived, and nothing else. */
import { read, write } from './database.js';
import { inOrder, newBatch } from './exchange.js';
import { sendForJson, ShopError } from './shop.js';
import { phrase } from './tongue.js';

/**
 * Hand in every entry that the shop lacks, once. They still count as not in the shop: somebody has to look at them.
 * @throws {ShopError}
 */
export async function handIn() {
  for (;;) {
    const batch = await nextBatch();
    if (!batch.length) return;
    const { received } = await sendForJson('POST', '/api/handed-in', { json: { entries: batch } });
    if (!Array.isArray(received) || !batch.some(({ id }) => received.includes(id))) {
      throw new ShopError('shop_trouble', phrase('The shop took none of the entries that were handed in. They stay here.'));
    }
    await write(['entries'], async (tx) => {
      for (const id of received) {
        const row = await tx.objectStore('entries').get(id);
        if (row?.unsynced) await tx.objectStore('entries').put({ ...row, handedIn: 1 });
      }
    });
  }
}

function nextBatch() {
  return read(['entries'], async (tx) => {
    const entries = tx.objectStore('entries');
    const waiting = await entries.index('unsynced').getAllKeys();
    const batch = newBatch();
    for (const id of waiting.length ? inOrder(await entries.index('device_n').getAllKeys(), waiting) : []) {
      const row = /** @type {any} */ (await entries.get(id));
      if (!row.handedIn && !batch.takes(row.entry)) break;
    }
    return batch.entries;
  });
}
