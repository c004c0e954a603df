/** A choice that the tap saves shows what was tapped at once: the log has it a moment later, and a redraw between must not turn it back. */
import { useState } from 'preact/hooks';

/**
 * @typedef {import('./saving.js').Outcome} Outcome
 *
 * @param {string | undefined} saved  what the log says
 * @param {import('../field/log.js').Entry[]} entries  the log
 * @param {(value: string) => Promise<Outcome>} save  says itself where it fails
 * @returns {[string | undefined, (value: string) => Promise<void>]} what to show, and what to do at a tap
 */
export function useAtOnce(saved, entries, save) {
  const [tap, setTap] = useState(/** @type {{value: string, entry: string | null} | null} */ (null));
  /** @param {string} value */
  const choose = async (value) => {
    const mine = { value, entry: /** @type {string | null} */ (null) };
    setTap(mine);
    const [entry] = (await save(value)).entries;
    setTap((latest) => (latest !== mine ? latest : entry ? { value, entry: entry.id } : null));
  };
  const known = tap === null || entries.some(({ id }) => id === tap.entry);
  return [known ? saved : tap.value, choose];
}
