/** What cases are looked for by: typed once, it holds for the list and the whole shop, and stays while a case is open. */
import { signal } from '@preact/signals';

/** @typedef {{q: string, status: string, by: string, since: string, until: string}} Sought */

/** @type {import('@preact/signals').Signal<Sought>} */
export const sought = signal({ q: '', status: '', by: '', since: '', until: '' });

/** @param {Partial<Sought>} part */
export function seek(part) {
  sought.value = { ...sought.value, ...part };
}

/** Texts as they are compared: their words, and each of them as one word. @typedef {{text: string, run: string}} Compared */

/** @param {string[]} texts @returns {Compared} */
export function compared(texts) {
  const each = texts.map(plain);
  return { text: each.join('\n'), run: each.map(joined).join('\n') };
}

/** Whether each word of `q` is in the texts, or all of it run together, as plates are compared. @param {Compared} texts @param {string} q */
export function holds({ text, run }, q) {
  const typed = plain(q);
  const whole = joined(typed);
  return typed.split(/\s+/).every((word) => text.includes(word)) || (whole.length > 1 && run.includes(whole));
}

/** Without capitals and accents. @param {string} text */
function plain(text) {
  return text.normalize('NFKD').replace(/\p{M}/gu, '').toLowerCase();
}

/** As one word, as the shop joins it (`store/words.py`). @param {string} text */
function joined(text) {
  return text.replace(/[^\p{L}\p{N}]+/gu, '');
}
