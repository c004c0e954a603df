/** Recording from a screen: what the log says becomes words at the right place. */
import { NotSaved, Refused, record, recordAll } from '../field/log.js';
import { say, sayTrouble } from './said.js';
import { phrase } from './tongue.js';

/**
 * @typedef {import('../field/log.js').Draft} Draft
 * @typedef {import('../field/log.js').Entry} Entry
 * @typedef {import('../field/kinds.js').Problem} Problem
 * @typedef {{entries: Entry[], problems: Problem[]}} Outcome  problems: nothing was recorded
 */

/**
 * Record one entry. An entry the phone's store did not take is in memory and tried again: for the screen it counts as
 * recorded, and the user is told.
 * @param {Draft} draft
 * @param {string} [words]  what to say on success
 * @returns {Promise<Outcome>}
 */
export function save(draft, words) {
  return attempt(async () => [await record(draft)], words);
}

/**
 * Record several entries, all or none.
 * @param {Draft[]} drafts
 * @param {string} [words]
 * @returns {Promise<Outcome>}
 */
export function saveAll(drafts, words) {
  return attempt(() => recordAll(drafts), words);
}

/**
 * @param {() => Promise<Entry[]>} recording
 * @param {string} [words]
 * @returns {Promise<Outcome>}
 */
async function attempt(recording, words = phrase('Saved on this device')) {
  try {
    const entries = await recording();
    say(words);
    return { entries, problems: [] };
  } catch (trouble) {
    if (trouble instanceof Refused) {
      sayTrouble(phrase('Not saved. {message}', { message: trouble.problems[0]?.message ?? trouble.message }));
      return { entries: [], problems: trouble.problems };
    }
    if (trouble instanceof NotSaved) {
      sayTrouble(trouble.message);
      return { entries: trouble.entries, problems: [] };
    }
    const message = trouble instanceof Error ? trouble.message : String(trouble);
    sayTrouble(phrase('Not saved. {message}', { message }));
    return { entries: [], problems: [{ field: '', message }] };
  }
}
