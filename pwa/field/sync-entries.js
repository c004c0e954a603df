/**
 * Entries to and from the shop, batch after batch.
 *
 * @typedef {import('./log.js').Entry} Entry
 *
 * @typedef {object} SyncAnswer  see DEVELOPERS.md
 * @property {string} epoch
 * @property {number} cursor
 * @property {string[]} accepted
 * @property {{id: string, field: string, message: string}[]} set_aside
 * @property {Entry[]} entries
 * @property {boolean} more
 * @property {string[]} photos_wanted
 * @property {number} server_ms
 */
import { announce } from './channel.js';
import { read } from './database.js';
import { deviceId } from './session.js';
import { sendForJson, ShopError, somethingElse } from './shop.js';
import { keepAnswer } from './sync-answer.js';

const BATCH_BYTES = 64_000; // of entries in one request, at least one entry: a bad link still makes progress

/**
 * Send and fetch until neither side has more.
 * @throws {ShopError}
 */
export async function exchangeEntries() {
  const device = await deviceId();
  for (;;) {
    const { epoch, cursor, batch, counts } = await nextBatch();
    const sent = Date.now();
    const answer = checked(
      await sendForJson('POST', '/api/sync', { json: { device, epoch, cursor, entries: batch, unsynced: counts } }),
    );
    const skew = answer.server_ms - (sent + Date.now()) / 2;
    const restored = epoch !== null && epoch !== answer.epoch;
    announce('sync', { online: true, clockSkewMs: Math.round(skew), ...(restored ? { epochChanged: true } : {}) });
    const cases = await keepAnswer(answer, restored);
    if (cases.length) announce('log', { cases });
    if (!restored) insistOnProgress(answer, batch, cursor);
    if (!answer.more && !(await anyUnsynced())) return;
  }
}

/**
 * An exchange that moves nothing would go on for ever.
 * @param {SyncAnswer} answer
 * @param {Entry[]} batch
 * @param {number} cursor  before it
 */
function insistOnProgress(answer, batch, cursor) {
  const settled = new Set([...answer.accepted, ...answer.set_aside.map(({ id }) => id)]);
  if (batch.length && !batch.some((entry) => settled.has(entry.id))) {
    throw new ShopError('shop_trouble', 'The shop answered for none of the entries sent. They stay here.');
  }
  if (!batch.length && answer.more && answer.cursor === cursor) {
    throw new ShopError('shop_trouble', 'The shop promises more entries and sends none. It is tried again later.');
  }
}

/** The oldest entries that the shop lacks, and where the exchange stands. */
function nextBatch() {
  return read(['entries', 'uploads', 'settings'], async (tx) => {
    const settings = tx.objectStore('settings');
    /** @type {Entry[]} */
    const batch = [];
    let bytes = 0;
    let since = null;
    const unsynced = tx.objectStore('entries').index('unsynced');
    for (let at = await unsynced.openCursor(); at; at = await at.continue()) {
      const { entry } = at.value;
      since ??= entry.at[0];
      bytes += new TextEncoder().encode(JSON.stringify(entry)).length;
      if (batch.length && bytes > BATCH_BYTES) break;
      batch.push(entry);
    }
    return {
      epoch: /** @type {string | null} */ ((await settings.get('epoch')) ?? null),
      cursor: /** @type {number} */ ((await settings.get('cursor')) ?? 0),
      batch,
      counts: { entries: await unsynced.count(), photos: await tx.objectStore('uploads').count(), since_ms: since },
    };
  });
}

function anyUnsynced() {
  return read(['entries'], async (tx) => (await tx.objectStore('entries').index('unsynced').count()) > 0);
}

/**
 * An answer of another shape is no answer of the shop.
 * @param {any} answer
 * @returns {SyncAnswer}
 */
function checked(answer) {
  const lists = ['accepted', 'set_aside', 'entries', 'photos_wanted'];
  if (typeof answer.epoch !== 'string' || lists.some((name) => !Array.isArray(answer[name]))) throw somethingElse();
  return answer;
}
