/** From a tag to its part: on this phone first, else in the shop. */
import { caseList, entriesOf } from '../field/log.js';
import { sendForJson } from '../field/shop.js';

/**
 * @param {string} code  ten characters as they should be
 * @returns {Promise<{case: string, part: string} | {message: string}>}
 */
export async function findTag(code) {
  for (const { case: id } of await caseList()) {
    const bound = (await entriesOf(id)).findLast((entry) => entry.kind === 'tag_bound' && entry.body.code === code);
    if (bound) return { case: id, part: bound.body.part };
  }
  try {
    const found = await sendForJson('GET', `/api/tags/${code}`);
    return { case: found.case, part: found.part };
  } catch (trouble) {
    const { code: kind, message } = /** @type {import('../field/shop.js').ShopError} */ (trouble);
    return {
      message:
        kind === 'no_connection'
          ? 'No case on this phone has this tag, and the shop cannot be asked without a connection.'
          : message,
    };
  }
}
