/** What was struck out, told here too: what waits for a decision is counted while the core may be slow or absent. */
import { compare } from './clock.js';

/** @typedef {import('./log.js').Entry} Entry */

/**
 * The ids of the entries that do not count, as `entries.struck` of the core has it: a strike that is itself struck does
 * not strike.
 * @param {Entry[]} entries  of one case
 * @returns {Set<string>}
 */
export function struckIn(entries) {
  /** @type {Set<string>} */
  const struck = new Set();
  // A strike knows only earlier entries, so the latest is settled first.
  const latestFirst = entries.filter((entry) => entry.kind === 'struck').sort((a, b) => later(b, a));
  for (const strike of latestFirst) if (!struck.has(strike.id)) struck.add(strike.body.entry);
  return struck;
}

/** @param {Entry} a @param {Entry} b */
function later(a, b) {
  return compare(a.at, b.at) || byText(a.device, b.device) || a.n - b.n || byText(a.id, b.id);
}

/** @param {string} a @param {string} b */
function byText(a, b) {
  return a < b ? -1 : Number(a > b);
}
