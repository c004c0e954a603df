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
 * @property {string} title  year, make and model; else the plate, or the VIN; else empty
 * @property {string} plate
 * @property {string} [vin]  not in lines written by the first release
 * @property {string} customer
 * @property {number} opened  ms
 * @property {number} lastAt  ms of the latest entry
 * @property {'open' | 'closed'} status
 * @property {boolean} [repaired]  here, not before arrival; not in lines written before there was such a field
 * @property {number} unsynced  entries of the case that only this phone has
 *
 * @typedef {object} Change
 * @property {string[]} cases  cases with new entries or another state
 * @property {boolean} [recorded]  by a hand on this phone, not by sync
 */
import { append } from './append.js';
import { announce, hear } from './channel.js';
import { compare, uuid7 } from './clock.js';
import { read } from './database.js';
import { checkBody, declaration } from './kinds.js';
import { observable } from './observable.js';
import { me } from './session.js';
import { phrase } from './tongue.js';

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
  return uuid7();
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
  await declaration();
  const problems = drafts.flatMap((draft, index) =>
    problemsOf(draft).map(({ field, message }) => ({ field: drafts.length > 1 ? `${index}.${field}` : field, message })),
  );
  if (problems.length) throw new Refused(problems);
  const person = await author();
  await saveAgain();
  const entries = drafts.map((draft) => entryOf(draft, person));
  return keepSafe(entries);
}

/** @param {Draft} draft */
function problemsOf(draft) {
  const problems = checkBody(draft.kind, draft.body);
  const when = draft.when ?? null;
  if (when && 'ms' in when && !(Number.isSafeInteger(when.ms) && when.ms >= 0 && when.ms <= Date.now() + DAY_MS)) {
    problems.push({ field: 'when', message: phrase('When it happened: this is in the future; give today or an earlier time.') });
  }
  return problems;
}

const DAY_MS = 24 * 3600 * 1000;
const RETRY_MS = 10_000; // between attempts to save what is in memory only

/** @returns {Promise<string>} id of the person */
async function author() {
  const who = await me();
  if (!who) {
    throw new Refused([{ field: '', message: phrase('Sign in first, so that the entry says who recorded it. It stays typed here.') }]);
  }
  return who.person.id;
}

/**
 * The entry but for `at`, `device` and `n`, which are taken while it is written. Its id stands from the start, so that
 * a repeated write cannot save it twice.
 * @param {Draft} draft
 * @param {string} person
 * @returns {Entry}
 */
function entryOf({ case: caseId, kind, body, when = null }, person) {
  const plain = JSON.parse(JSON.stringify(body));
  return { id: uuid7(), case: caseId, kind, at: [0, 0], when, device: '', n: 0, by: person, body: plain };
}

/**
 * Save, or else keep in memory and say so.
 * @param {Entry[]} entries
 */
async function keepSafe(entries) {
  /** @type {Entry[]} */
  let saved;
  try {
    saved = await append(entries);
  } catch (error) {
    const message = failure(error);
    const dated = entries.map((entry) => ({ ...entry, when: entry.when ?? { ms: Date.now() } }));
    unsavedNow.change({ entries: [...unsavedNow.value.entries, ...dated], message });
    setTimeout(saveAgain, RETRY_MS);
    throw new NotSaved(message, dated);
  }
  announce('log', { cases: casesOf(saved), recorded: true });
  return saved;
}

/** @param {any} error */
function failure(error) {
  const why =
    error?.name === 'QuotaExceededError'
      ? phrase('the phone is full. Free some space')
      : phrase('the phone’s store does not answer. Keep this page open');
  return phrase('Not saved yet: {why}, then try again; the entry is kept until then.', { why });
}

/** @param {Entry[]} entries */
function casesOf(entries) {
  return [...new Set(entries.map((entry) => entry.case))];
}

/**
 * @param {string} caseId
 * @returns {Promise<{entries: Entry[], onlyHere: Set<string>}>} all entries of the case, in the order of `at`, and the ids
 *   of those that are on this phone only. Those set aside are among them, but for what whoever recorded it may not
 */
export async function logOf(caseId) {
  const rows = await read(['entries'], (tx) => tx.objectStore('entries').index('case').getAll(caseId));
  const effective = rows.filter(({ withheld }) => !withheld);
  return {
    entries: effective.map((row) => row.entry).sort((a, b) => compare(a.at, b.at)),
    onlyHere: new Set(rows.filter((row) => row.unsynced).map((row) => row.entry.id)),
  };
}

/** @param {string} caseId @returns {Promise<Entry[]>} as `logOf` gives them */
export async function entriesOf(caseId) {
  return (await logOf(caseId)).entries;
}

/** @returns {Promise<Summary[]>} the latest first; the shop's own log is no case */
export async function caseList() {
  const shop = (await me())?.shop.id;
  const cases = await read(['cases'], (tx) => tx.objectStore('cases').getAll());
  return cases.filter((one) => one.case !== shop).sort((a, b) => b.lastAt - a.lastAt);
}

/**
 * Hear of every change of the log, whichever tab or sync made it.
 * @param {(change: Change) => void} listener
 * @returns {() => void} ends it
 */
export function onChange(listener) {
  return hear('log', listener);
}

const unsavedNow = observable({ entries: /** @type {Entry[]} */ ([]), message: '' });

/**
 * Entries that the phone's store did not take: shown until they are saved.
 * @type {import('./observable.js').Observable<{entries: Entry[], message: string}>}
 */
export const unsaved = unsavedNow;

/**
 * Try again now to save what is in memory only.
 * @returns {Promise<boolean>} whether nothing is left
 */
export async function saveAgain() {
  const { entries } = unsavedNow.value;
  if (!entries.length) return true;
  try {
    const saved = await append(entries);
    const left = unsavedNow.value.entries.filter((entry) => !entries.includes(entry));
    unsavedNow.change({ entries: left, message: left.length ? unsavedNow.value.message : '' });
    announce('log', { cases: casesOf(saved), recorded: true });
    return !left.length;
  } catch (error) {
    unsavedNow.change({ message: failure(error) });
    setTimeout(saveAgain, RETRY_MS);
    return false;
  }
}
