/**
 * The log of entries on this phone. A promise given by `record` resolves only when the entry is on the disk.
 *
 * @typedef {object} Entry
 * @property {string} id  UUIDv7
 * @property {string} case  UUIDv7 of the case
 * @property {string} kind
 * @property {[number, number]} at  hybrid logical clock: [ms, counter]
 * @property {null | {ms: number} | {before_arrival: number}} when  when it happened, if not now
 * @property {string} device
 * @property {number} n  the device's own counter: 1, 2, 3 ...
 * @property {string} by  id of the person
 * @property {Record<string, any>} body
 *
 * @typedef {object} Draft  what the caller knows of an entry; the log fills in the rest
 * @property {string} case
 * @property {string} kind
 * @property {Record<string, any>} body
 * @property {Entry['when']} [when]
 *
 * @typedef {object} Summary  one line of the list of cases
 * @property {string} case
 * @property {string} title  year, make and model; else the plate; else "Vehicle not named"
 * @property {string} plate
 * @property {string} customer
 * @property {number} opened  ms
 * @property {number} lastAt  ms of the latest entry
 * @property {'open' | 'closed'} status
 * @property {number} unsynced  entries of the case that only this phone has
 *
 * @typedef {object} Change
 * @property {string[]} cases  cases with new entries or another state
 */

/** An entry that cannot be taken as it is. Nothing was saved; the caller keeps what was typed. */
export class Refused extends Error {
  /** @param {import('./kinds.js').Problem[]} problems */
  constructor(problems) {
    super(problems.map((problem) => problem.message).join(' '));
    this.name = 'Refused';
    this.problems = problems;
  }
}

/**
 * The phone's store did not take the entries. They are kept in memory (`unsaved` shows them) and tried again, so
 * the caller must not record them a second time, only say that they are not safe yet.
 */
export class NotSaved extends Error {
  /**
   * @param {string} message
   * @param {Entry[]} entries
   */
  constructor(message, entries) {
    super(message);
    this.name = 'NotSaved';
    this.entries = entries;
  }
}

/** @returns {string} id for a case that is about to be opened */
export function newCaseId() {
  throw new Error('to be built');
}

/**
 * Check, complete and save one entry.
 * @param {Draft} draft
 * @returns {Promise<Entry>} once it is on the disk
 * @throws {Refused} with the problems, each naming field and remedy
 * @throws {NotSaved} when the phone's store fails
 */
export async function record(draft) {
  return (await recordAll([draft]))[0];
}

/**
 * Save several entries together: all of them or none. Problems name the entry as `0.field`, `1.field` when there
 * is more than one.
 * @param {Draft[]} drafts
 * @returns {Promise<Entry[]>}
 */
export async function recordAll(drafts) {
  throw new Error('to be built');
}

/**
 * @param {string} caseId
 * @returns {Promise<Entry[]>} all entries of the case, in the order of `at`; entries set aside are among them
 */
export async function entriesOf(caseId) {
  throw new Error('to be built');
}

/**
 * @param {string} caseId
 * @returns {Promise<Set<string>>} ids of its entries that are on this phone only
 */
export async function onlyHere(caseId) {
  throw new Error('to be built');
}

/** @returns {Promise<Summary[]>} the latest first */
export async function caseList() {
  throw new Error('to be built');
}

/**
 * Hear of every change of the log, whichever tab or sync made it.
 * @param {(change: Change) => void} listener
 * @returns {() => void} ends it
 */
export function onChange(listener) {
  throw new Error('to be built');
}

/**
 * Entries that the phone's store did not take: shown until they are saved.
 * @type {import('./observable.js').Observable<{entries: Entry[], message: string}>}
 */
export const unsaved = /** @type {any} */ (null);

/** Try again now to save what is in memory only. @returns {Promise<void>} */
export async function saveAgain() {
  throw new Error('to be built');
}
