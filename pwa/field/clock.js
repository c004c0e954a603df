/**
 * Stamps and ids. `at` is a hybrid logical clock (Kulkarni and others, 2014): wall-clock milliseconds and a counter.
 * It never runs backwards on a device and moves past what was seen from others.
 *
 * @typedef {[number, number]} Stamp  [ms, counter]
 */

// Phones can be days off and are followed; a stamp further ahead comes from a broken clock and would date
// everything after it wrongly for ever. Origin: estimate, from memory.
const BROKEN_AHEAD_MS = 366 * 24 * 3600 * 1000;

/**
 * The stamp that follows `last`.
 * @param {Stamp} last
 * @param {number} [now]  the wall clock, ms
 * @returns {Stamp}
 */
export function next(last, now = Date.now()) {
  return now > last[0] ? [now, 0] : [last[0], last[1] + 1];
}

/**
 * `last` moved past `seen`.
 * @param {Stamp} last
 * @param {Stamp} seen
 * @param {number} [now]
 * @returns {Stamp}
 */
export function past(last, seen, now = Date.now()) {
  if (seen[0] > now + BROKEN_AHEAD_MS) return last;
  return compare(seen, last) > 0 ? [seen[0], seen[1]] : last;
}

/**
 * @param {Stamp} a
 * @param {Stamp} b
 */
export function compare(a, b) {
  return a[0] - b[0] || a[1] - b[1];
}

/**
 * @param {number} [now]
 * @returns {string} UUIDv7 (RFC 9562): 48 bits of milliseconds, then random
 */
export function uuid7(now = Date.now()) {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  const view = new DataView(bytes.buffer);
  view.setUint16(0, Math.floor(now / 2 ** 32));
  view.setUint32(2, now % 2 ** 32);
  bytes[6] = (bytes[6] & 0x0f) | 0x70;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join('-');
}
