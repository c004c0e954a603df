/** Codes in any text, and how what was found joins what a form of codes holds already. */
import { ask } from '../field/core.js';
import { withoutBroken } from '../field/kinds.js';
import { field } from './declared.js';

/**
 * @typedef {{code: string, status: string, open?: string, words?: string, note?: string}} Read  `open`: the status it may have instead
 * @typedef {object} Found
 * @property {Read[]} codes
 * @property {string} obtained
 * @property {string} [raw]  the text, as much as an entry takes
 * @property {string} [left]  what of it was not understood
 */

/** Whether a text is one code and nothing else. @param {string} text */
export function isCode(text) {
  return new RegExp(`^(?:${field('codes_read', 'codes.code').pattern})$`).test(text);
}

/** @param {string} text @returns {Promise<Found | {error: {message: string}}>} */
export async function codesIn(text) {
  const answer = await ask('find_codes', { text }, { topic: 'find_codes', priority: 3 });
  if (answer.error) return { error: answer.error };
  return {
    codes: answer.codes,
    obtained: answer.obtained ?? 'pasted',
    raw: rawOf(text),
    left: clipped((answer.left_over ?? []).join('\n'), 'not_understood'),
  };
}

/**
 * @param {Record<string, any>} values  of the form
 * @param {Found} found
 * @returns {Record<string, any>} what of the values changes
 */
export function joined(values, { codes: added, obtained, raw, left }) {
  /** @type {Read[]} */
  const codes = values.codes ?? [];
  const held = codes.filter((one) => !added.some((two) => two.code === one.code && two.status === one.status));
  const typedToo = codes.length > 0 && !raw;
  return {
    codes: [...held, ...added],
    obtained: typedToo ? values.obtained : obtained,
    ...(raw ? { raw } : {}),
    ...(left === undefined ? {} : { not_understood: left }),
  };
}

/** A pasted text as an entry keeps it. @param {string} text */
export function rawOf(text) {
  return clipped(text, 'raw');
}

const BYTES = 24000; // of either text: both together stay within the limit of an entry's body

/** As much of a text as an entry takes. @param {string} text @param {'raw' | 'not_understood'} name */
function clipped(text, name) {
  let kept = text.slice(0, field('codes_read', name).max);
  while (new TextEncoder().encode(kept).length > BYTES) kept = kept.slice(0, Math.floor(kept.length * 0.9));
  return withoutBroken(kept); // a cut may halve a character
}
