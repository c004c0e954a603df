/**
 * The language that this page speaks. English texts are the keys of a catalogue; without one they stand as they are.
 * What is written here holds in the service worker too, which speaks English.
 */

/** @type {Record<string, string> | null} */
let catalogue = null;

let code = 'en';

/** Texts that were asked for and stand in no catalogue, for the tests. @type {Set<string>} */
export const missed = new Set();

/** @param {string} language @param {Record<string, string>} texts  English text -> text of that language */
export function use(language, texts) {
  code = language;
  catalogue = texts;
}

/** The code of the language spoken, e.g. "en". */
export function language() {
  return code;
}

/** Whether texts stand as they were written. */
export function inEnglish() {
  return catalogue === null;
}

/**
 * `text` in the language spoken, `{name}` in it standing for the value of that name. Where a number decides between forms
 * they stand as `one|many`, and `n` chooses. A text of two meanings says which at its end: `dead ((cylinder))`.
 * @param {string} text
 * @param {Record<string, unknown>} [values]
 */
export function phrase(text, values) {
  const said = lookUp(text);
  if (!values) return said;
  const [one, many = one] = said.split('|');
  return (values.n === 1 ? one : many).replace(/\{(\w+)\}/g, (_, name) => String(values[name]));
}

/** @param {string} text */
function lookUp(text) {
  if (catalogue !== null && Object.hasOwn(catalogue, text)) return catalogue[text];
  if (catalogue !== null) missed.add(text);
  return text.endsWith('))') ? text.slice(0, text.indexOf(' ((')) : text;
}

/** Keys under which declared data carries texts for people. */
const SPOKEN = ['label', 'help', 'hint', 'means', 'needs', 'caution', 'how'];

/**
 * Declared data (kinds, checks, tools) with its texts in the language spoken.
 * @template T
 * @param {T} data
 * @returns {T}
 */
export function declaredIn(data) {
  return inEnglish() ? data : /** @type {T} */ (spoken(data, ''));
}

/** @param {unknown} data @param {string} key @returns {unknown} */
function spoken(data, key) {
  if (Array.isArray(data)) return data.map((one) => spoken(one, key));
  if (typeof data === 'object' && data) return Object.fromEntries(Object.entries(data).map(([name, one]) => [name, spoken(one, name)]));
  return typeof data === 'string' && data && SPOKEN.includes(key) ? phrase(data) : data;
}
