/**
 * Which case is open, for the first screen: it does without the code that a case needs, which is read with the first case, or
 * when the first screen stands.
 */

import { loadDeclaration } from './declared.js';

/** @type {Promise<typeof import('./open-case.js')> | null} */
let reading = null;

/** Everything that a case needs is read and follows what happens from then on. */
export function readyForCases() {
  reading ??= follow().catch((trouble) => {
    reading = null;
    throw trouble;
  });
  return reading;
}

async function follow() {
  const [cases, terms] = await Promise.all([import('./open-case.js'), import('./shop-terms.js'), loadDeclaration()]);
  terms.followTerms();
  cases.followOpenCase();
  return cases;
}

/** Make this the open case. @param {string | null} id  null: none is */
export async function standAt(id) {
  // What cannot be read is told by the case's screen, which needs the same.
  if (id || reading) (await readyForCases().catch(() => null))?.showCase(id);
}
