/** A tag's code for the eye, and the address its square holds. */

/** Stands in an address for the part that a tag shall hang on, where it is not chosen yet. */
export const UNCHOSEN = '-';

/** In groups as printed: 4-3-3. @param {string} code */
export function tagWords(code) {
  return [code.slice(0, 4), code.slice(4, 7), code.slice(7)].join('-');
}

/** In capitals, so that the square stays small. @param {string} publicUrl @param {string} code */
export function tagAddress(publicUrl, code) {
  return `${publicUrl.replace(/\/+$/, '').toUpperCase()}/T/${code}`;
}
