/**
 * The rules of the exchange with the shop, without input or output: what is offered, what an answer changes, and when
 * it is over. What they keep true stands in DEVELOPERS.md, "The sync protocol and its invariants"; its numbers are
 * beside the rules here.
 *
 * @typedef {import('./log.js').Entry} Entry
 * @typedef {import('./database.js').EntryRow} EntryRow
 * @typedef {import('./clock.js').Stamp} Stamp
 * @typedef {import('./sync-state.js').SetAside} SetAside
 *
 * @typedef {object} Place  where this phone stands with the shop
 * @property {string | null} epoch  null: never exchanged
 * @property {number} cursor  it has everything of the shop's log up to this number
 * @property {[number, string] | null} head  how far the log was when the shop last told, and the hash there
 *
 * @typedef {object} SyncAnswer  see DEVELOPERS.md
 * @property {string} epoch
 * @property {number} cursor
 * @property {[number, string]} head
 * @property {string[]} accepted
 * @property {{id: string, field: string, message: string}[]} set_aside  of the entries just sent
 * @property {Entry[]} entries
 * @property {SetAside[]} apart  what the shop set aside of others
 * @property {Entry[]} blanked  entries erased at a person's request, as they stand now
 * @property {boolean} more
 * @property {string[]} photos_wanted
 * @property {number} server_ms
 *
 * @typedef {object} Known  what this phone holds, as far as the answer speaks of it
 * @property {Place} asked  where it stood when it asked
 * @property {Place} place  where it stands now
 * @property {string} device
 * @property {Stamp} clock
 * @property {number} [now]
 * @property {Map<string, EntryRow>} rows  by id
 *
 * @typedef {object} Changes  to be made all together or not at all
 * @property {boolean} offerAll  first mark every entry as not in the shop, and queue every photo that one names
 * @property {EntryRow[]} rows  to put
 * @property {string[]} settled  ids that are set aside no more
 * @property {SetAside[]} aside  to put
 * @property {string[]} photos  hashes of photos to queue where this phone has them
 * @property {Place} place
 * @property {Stamp} clock
 * @property {boolean} anotherDevice  go on under a new device id
 */
import { past } from './clock.js';
import { ShopError, somethingElse } from './shop.js';
import { phrase } from './tongue.js';

/** @type {Place} */
export const NOWHERE = { epoch: null, cursor: 0, head: null };

const MOST_EPOCHS = 3; // new ones within one exchange
const BATCH_BYTES = 64_000; // of entries in one request, at least one entry: a bad link still makes progress

/**
 * What is to be offered, in each device's own order (5): the shop then never has a later entry of a device without
 * the earlier ones, whenever the phone is lost.
 * @param {string[]} all  ids of all entries by device and counter
 * @param {string[]} waiting  ids of those that the shop has not acknowledged
 * @returns {string[]}
 */
export function inOrder(all, waiting) {
  const left = new Set(waiting);
  const first = all.filter((id) => left.delete(id));
  return [...first, ...left];
}

/**
 * What goes into one request.
 * @param {number} [mostBytes]
 */
export function newBatch(mostBytes = BATCH_BYTES) {
  /** @type {Entry[]} */
  const entries = [];
  let bytes = 0;
  return {
    entries,
    /**
     * @param {Entry} entry
     * @returns {boolean} whether it was taken; if not, the batch is full
     */
    takes(entry) {
      bytes += new TextEncoder().encode(JSON.stringify(entry)).length;
      if (entries.length && bytes > mostBytes) return false;
      entries.push(entry);
      return true;
    },
  };
}

/**
 * Ask and keep until neither side has more. It may be broken off between any two steps.
 * @param {object} phone
 * @param {() => Promise<{asked: Place, batch: Entry[], rest: object}>} phone.next  `rest`: what else the request says
 * @param {(request: object) => Promise<any>} phone.send
 * @param {(asked: Place, answer: SyncAnswer) => Promise<void>} phone.keep
 * @param {() => Promise<boolean>} phone.anyLeft
 * @throws {ShopError}
 */
export async function exchangeAll({ next, send, keep, anyLeft }) {
  let epochs = 0;
  for (;;) {
    const { asked, batch, rest } = await next();
    const answer = checked(await send({ ...rest, ...asked, entries: batch }));
    await keep(asked, answer);
    if (!isRestored(asked, answer)) insistOnProgress(answer, batch, asked.cursor);
    else if (++epochs > MOST_EPOCHS) throw beginsAnew();
    if (!answer.more && !(await anyLeft())) return;
  }
}

/**
 * An answer of another shape is no answer of the shop.
 * @param {any} answer
 * @returns {SyncAnswer}
 */
function checked(answer) {
  const lists = ['head', 'accepted', 'set_aside', 'entries', 'apart', 'blanked', 'photos_wanted'];
  if (typeof answer.epoch !== 'string' || !Number.isSafeInteger(answer.cursor) || lists.some((name) => !Array.isArray(answer[name]))) {
    throw somethingElse();
  }
  return answer;
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
    throw new ShopError('shop_trouble', phrase('The shop answered for none of the entries sent. They stay here.'));
  }
  if (!batch.length && answer.more && answer.cursor === cursor) {
    throw new ShopError('shop_trouble', phrase('The shop promises more entries and sends none. It is tried again later.'));
  }
}

/** A shop that acknowledges and then forgets, again and again, would be offered everything for ever. */
function beginsAnew() {
  return new ShopError('shop_trouble', phrase('The shop’s server forgets what it takes in, again and again. Everything stays here; it is tried again later.'));
}

/**
 * Whether the shop has begun a new epoch since this phone last heard of it: it has forgotten some of what it said (7).
 * @param {Place} asked
 * @param {SyncAnswer} answer
 */
export function isRestored(asked, answer) {
  return asked.epoch !== null && asked.epoch !== answer.epoch;
}

/**
 * Ids of all entries that an answer speaks of.
 * @param {SyncAnswer} answer
 */
export function idsIn(answer) {
  const lists = [answer.set_aside, answer.entries, answer.apart, answer.blanked];
  return new Set([...answer.accepted, ...lists.flat().map(({ id }) => id)]);
}

/**
 * What an answer changes.
 * @param {SyncAnswer} answer
 * @param {Known} known
 * @returns {Changes | null} null: the answer is out of date, since another has moved this phone to another epoch
 */
export function changesBy(answer, { asked, place, device, clock, now, rows }) {
  if (asked.epoch !== place.epoch) return null;
  const offerAll = isRestored(asked, answer);
  /** @type {Map<string, EntryRow>} */
  const put = new Map();
  /** @type {Map<string, SetAside | null>} */
  const aside = new Map();
  let anotherDevice = false;
  const held = (/** @type {string} */ id) => put.get(id) ?? rows.get(id);

  // The shop has the entry: it is offered no more (1). An entry itself is never changed.
  const settle = (/** @type {string} */ id) => {
    const row = held(id);
    if (row && (row.unsynced || row.withheld || offerAll)) put.set(id, { entry: row.entry });
  };
  // Answers may come out of order: what a later one has settled, an earlier one sets aside no more (2).
  const isLate = !offerAll && place.head !== null && answer.head[0] < place.head[0];
  const keepAside = (/** @type {SetAside} */ one) => {
    if (isLate && rows.has(one.id) && !rows.get(one.id)?.unsynced) return;
    settle(one.id);
    const row = held(one.id);
    if (row && one.field === 'by') put.set(one.id, { entry: row.entry, withheld: 1 });
    aside.set(one.id, one);
  };
  // An entry of this phone's own that it lacks: its store is older than its past (6).
  const receive = (/** @type {Entry} */ entry) => {
    anotherDevice ||= entry.device === device;
    put.set(entry.id, { entry });
  };

  // Before all else: what was erased is overwritten, the one exception from (3).
  for (const entry of answer.blanked) {
    if (held(entry.id)) put.set(entry.id, { entry });
  }
  for (const id of answer.accepted) {
    settle(id);
    aside.set(id, null);
  }
  for (const refusal of answer.set_aside) {
    const row = held(refusal.id);
    if (row) keepAside({ ...refusal, entry: row.entry });
  }
  for (const entry of answer.entries) {
    const row = held(entry.id);
    if (!row) receive(entry);
    else if (sameEntry(row.entry, entry)) {
      settle(entry.id);
      aside.set(entry.id, null);
    } else {
      // Never overwritten, only shown (3).
      const message = phrase('The shop holds another entry under the same id. Both are kept.');
      aside.set(entry.id, { id: entry.id, field: 'id', message, entry });
    }
  }
  for (const one of answer.apart) {
    const row = held(one.id);
    if (!row) receive(one.entry);
    if (!row || sameEntry(row.entry, one.entry)) keepAside(one);
    else aside.set(one.id, one);
  }

  const later = [...answer.entries, ...answer.apart.map(({ entry }) => entry)];
  return {
    offerAll,
    rows: [...put.values()],
    settled: [...aside].filter(([, one]) => one === null).map(([id]) => id),
    aside: [...aside.values()].filter((one) => one !== null),
    photos: answer.photos_wanted,
    place: placeAfter(answer, asked, place, offerAll),
    clock: later.reduce((/** @type {Stamp} */ stamp, { at }) => past(stamp, at, now), clock),
    anotherDevice,
  };
}

/**
 * Answers of one epoch may be kept in any order: the cursor passes over nothing that has not arrived (4).
 * @param {SyncAnswer} answer
 * @param {Place} asked
 * @param {Place} place
 * @param {boolean} offerAll
 * @returns {Place}
 */
function placeAfter({ epoch, cursor, head }, asked, place, offerAll) {
  if (offerAll) return { epoch, cursor, head };
  return {
    epoch,
    cursor: asked.cursor <= place.cursor ? Math.max(place.cursor, cursor) : place.cursor,
    head: place.head && place.head[0] > head[0] ? place.head : head,
  };
}

/** @param {Entry} a @param {Entry} b */
export function sameEntry(a, b) {
  return sorted(a) === sorted(b);
}

/** @param {any} value @returns {string} JSON with sorted keys */
function sorted(value) {
  return JSON.stringify(value, (_key, inner) =>
    inner && typeof inner === 'object' && !Array.isArray(inner)
      ? Object.fromEntries(Object.entries(inner).sort(([a], [b]) => (a < b ? -1 : 1)))
      : inner,
  );
}
