/** From a tag to its part: on this phone first, else in the shop. */
import { caseList, entriesOf } from '../field/log.js';
import { sendForJson } from '../field/shop.js';
import { standing } from '../field/summaries.js';
import { phrase } from './tongue.js';

const PATIENCE = 2500; // ms that the shop is waited for where the work must go on

/**
 * @param {string} code  ten characters as they should be
 * @returns {Promise<{case: string, part: string} | {message: string}>}
 */
export async function findTag(code) {
  const cases = await Promise.all((await caseList()).map((one) => entriesOf(one.case)));
  const bindings = cases.flatMap(standing).filter((entry) => entry.kind === 'tag_bound' && entry.body.code === code);
  // A tag that has come off one part hangs on the next, perhaps in another case.
  const bound = bindings.sort((a, b) => a.at[0] - b.at[0] || a.at[1] - b.at[1]).at(-1);
  if (bound) return { case: bound.case, part: bound.body.part };
  try {
    const found = await sendForJson('GET', `/api/tags/${code}`);
    return { case: found.case, part: found.part };
  } catch (trouble) {
    const { code: kind, message } = /** @type {import('../field/shop.js').ShopError} */ (trouble);
    return {
      message:
        kind === 'no_connection'
          ? phrase('No case on this device has this tag, and the shop cannot be asked without a connection.')
          : message,
    };
  }
}

/**
 * What a tag hangs on already, as far as is known now: the shop is asked, and not waited for long.
 * @param {string} code
 * @returns {Promise<{case: string, part: string} | null>}
 */
export async function hangsOn(code) {
  const late = new Promise((resolve) => setTimeout(() => resolve(null), PATIENCE));
  const found = await Promise.race([findTag(code), late]);
  return found && 'part' in found ? found : null;
}
