/**
 * Finding cases: in what this phone holds, at once and without a connection, and in the whole shop with one.
 *
 * @typedef {object} Hit
 * @property {string} case
 * @property {string} title
 * @property {string} plate
 * @property {string} customer
 * @property {string} what
 * @property {'open' | 'closed'} status
 * @property {number} last_ms
 * @property {string[]} people  ids
 */
import { declaration } from '../field/kinds.js';
import { caseList, entriesOf, onChange } from '../field/log.js';
import { sendForJson } from '../field/shop.js';
import { standing } from '../field/summaries.js';
import { compared, holds } from './sought.js';

export const MOST_TEXT = 200; // characters of a search, as in the shop

/** @typedef {import('./sought.js').Sought} Sought */
/** What can be looked through, once read. @typedef {{hit: Hit, texts: import('./sought.js').Compared, times: number[]}} Held */

/** As read last; what is recorded or comes in has it read anew. @type {Promise<Held[]> | null} */
let reading = null;
onChange(() => (reading = null));

/** @returns {Promise<Held[]>} the latest first */
export function heldCases() {
  reading ??= readHeld().catch((trouble) => {
    reading = null;
    throw trouble;
  });
  return reading;
}

/** @returns {Promise<Held[]>} */
async function readHeld() {
  const named = labels(await declaration());
  const found = [];
  for (const line of await caseList()) {
    const entries = standing(await entriesOf(line.case));
    const closing = entries.findLast((entry) => entry.kind === 'case_closed');
    found.push({
      hit: {
        case: line.case,
        title: line.title,
        plate: line.plate,
        customer: line.customer,
        what: line.status === 'closed' ? (closing?.body.cause ?? '') : '',
        status: line.status,
        last_ms: line.lastAt,
        people: [...new Set(entries.map((entry) => entry.by))],
      },
      texts: compared(entries.flatMap((entry) => [...textsIn(entry.body), ...named(entry)])),
      times: [line.opened, line.lastAt],
    });
  }
  return found;
}

/** @param {Held[]} held @param {string} q */
export function withWords(held, q) {
  return held.filter(({ texts }) => holds(texts, q));
}

/** Those of the held cases that are as sought. @param {Held[]} held @param {Sought} sought @returns {Hit[]} */
export function among(held, { q, status, by, since, until }) {
  return withWords(held, q)
    .filter(
      (one) =>
        (!status || one.hit.status === status) &&
        (!by || one.hit.people.includes(by)) &&
        (!since || one.times[1] >= new Date(`${since}T00:00`).getTime()) &&
        (!until || one.times[0] <= new Date(`${until}T23:59:59`).getTime()),
    )
    .map((one) => one.hit);
}

/**
 * @param {Sought} sought
 * @param {number | null} cursor
 * @returns {Promise<{cases: Hit[], cursor: number | null}>}
 * @throws {import('../field/shop.js').ShopError}
 */
export function inShop(sought, cursor = null) {
  const asked = Object.entries({ ...sought, cursor: cursor === null ? '' : String(cursor) }).filter(([, value]) => value);
  return sendForJson('GET', `/api/cases?${new URLSearchParams(asked)}`);
}

/** Every text in a body, but for names of pictures and raw output. @param {any} value @returns {string[]} */
function textsIn(value) {
  if (typeof value === 'string') return /^[0-9a-f]{64}$/.test(value) ? [] : [value];
  if (!value || typeof value !== 'object') return [];
  return Object.entries(value).flatMap(([name, inner]) => (name === 'raw' ? [] : textsIn(inner)));
}

/**
 * Gives the words for what was chosen in an entry, as its screens have them.
 * @param {import('../field/kinds.js').Declaration} declared
 */
function labels({ kinds, checks }) {
  const fieldsOf = Object.fromEntries(kinds.map(({ kind, fields }) => [kind, fields]));
  const findingsOf = Object.fromEntries(checks.map(({ key, findings }) => [key, findings]));
  return (/** @type {import('../field/log.js').Entry} */ { kind, body }) => [
    ...labelsIn(fieldsOf[kind] ?? [], body),
    ...(kind === 'check' ? labelled(findingsOf[body.check], body.finding) : []),
  ];
}

/** @param {import('../field/kinds.js').Field[]} fields @param {any} body @returns {string[]} */
function labelsIn(fields, body) {
  return fields.flatMap(({ name, choices, fields: inner, of }) => {
    /** @type {any[]} */
    const values = [body?.[name ?? ''] ?? []].flat();
    return values.flatMap((value) =>
      value && typeof value === 'object' ? labelsIn(inner ?? of?.fields ?? [], value) : labelled(choices ?? of?.choices, value),
    );
  });
}

/** @param {{value: string, label: string}[] | undefined} choices @param {any} value */
function labelled(choices, value) {
  return (choices ?? []).filter((one) => one.value === value).map(({ label }) => label);
}
