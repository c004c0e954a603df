/**
 * The rules by which entries join this phone's log, without input or output. Numbers in brackets are those of
 * DEVELOPERS.md, "The sync protocol and its invariants".
 *
 * @typedef {import('./log.js').Entry} Entry
 * @typedef {import('./clock.js').Stamp} Stamp
 */
import { next, past } from './clock.js';

/**
 * Entries just recorded, completed: device, number without a gap (5), stamp never running backwards.
 * @param {Entry[]} entries  complete but for `at`, `device` and `n`
 * @param {object} known
 * @param {Map<string, Entry>} known.held  those among them that are in the log already: an earlier write did succeed
 * @param {string} known.device
 * @param {number} known.last  the device's last number, 0 if none
 * @param {Stamp} known.clock
 * @param {number} [known.now]
 * @returns {{saved: Entry[], added: Entry[], clock: Stamp}} `saved`: all of them, `added`: those to be added
 */
export function numbered(entries, { held, device, last, clock, now }) {
  let stamp = clock;
  let n = last;
  /** @type {Entry[]} */
  const added = [];
  const saved = entries.map((entry) => {
    const before = held.get(entry.id);
    if (before) return before;
    stamp = next(stamp, now);
    n += 1;
    added.push({ ...entry, device, at: stamp, n });
    return added[added.length - 1];
  });
  return { saved, added, clock: stamp };
}

/**
 * Entries from a backup file, to be taken into this phone's log.
 * @param {Entry[]} entries
 * @param {object} known
 * @param {Set<string>} known.held  ids of those that are here already
 * @param {string} known.device
 * @param {Stamp} known.clock
 * @param {number} [known.now]
 * @returns {{added: Entry[], clock: Stamp, anotherDevice: boolean}} `anotherDevice`: go on under a new device id, since
 *   this phone's own counter went further once than its store knows (6)
 */
export function takenBack(entries, { held, device, clock, now }) {
  const seen = new Set(held);
  const added = entries.filter(({ id }) => !seen.has(id) && seen.add(id));
  return {
    added,
    clock: added.reduce((/** @type {Stamp} */ stamp, { at }) => past(stamp, at, now), clock),
    anotherDevice: added.some((entry) => entry.device === device),
  };
}

/**
 * @param {Entry} entry
 * @returns {string[]} every SHA-256 that it names
 */
export function photosNamed(entry) {
  return hashesIn(entry.body);
}

/** @param {any} value @returns {string[]} */
function hashesIn(value) {
  if (typeof value === 'string') return /^[0-9a-f]{64}$/.test(value) ? [value] : [];
  return value && typeof value === 'object' ? Object.values(value).flatMap(hashesIn) : [];
}
