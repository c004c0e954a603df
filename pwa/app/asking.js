/** One request that changes something in the shop, and what is said of it. */
import { sendForJson, send } from '../field/shop.js';
import { say, sayTrouble } from './said.js';

/**
 * @param {string} method
 * @param {string} path
 * @param {object} [json]
 * @param {string} [done]  what is said when it is done
 * @returns {Promise<boolean>} whether it was
 */
export async function change(method, path, json, done) {
  try {
    await send(method, path, json ? { json } : {});
    if (done) say(done);
    return true;
  } catch (problem) {
    sayTrouble(/** @type {Error} */ (problem).message);
    return false;
  }
}

/**
 * As `change`, for what the shop answers.
 * @param {string} path
 * @param {object} json
 * @returns {Promise<any>} null when it did not work, which has been said
 */
export async function make(path, json) {
  try {
    return await sendForJson('POST', path, { json });
  } catch (problem) {
    sayTrouble(/** @type {Error} */ (problem).message);
    return null;
  }
}
