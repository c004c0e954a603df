/**
 * The kinds of entry as declared once by the core (`/kinds.json`), and the check of a body against them.
 *
 * @typedef {object} Field
 * @property {string} [name]
 * @property {'text'|'choice'|'choices'|'integer'|'number'|'flag'|'date'|'quantity'|'group'|'list'|'data'} type
 * @property {string} label
 * @property {string} [help]
 * @property {boolean} [required]
 * @property {boolean} [personal]
 * @property {boolean} [lines]
 * @property {boolean} [past]
 * @property {number} [max]
 * @property {number} [min]
 * @property {string} [pattern]
 * @property {string} [unit]
 * @property {string} [dimension]
 * @property {string} [permutation_of]
 * @property {{value: string, label: string}[]} [choices]
 * @property {Field} [of]
 * @property {Field[]} [fields]
 *
 * @typedef {{kind: string, label: string, help: string, fields: Field[]}} Kind
 *
 * @typedef {object} Check  a check a mechanic can make; see core/checks.py
 * @property {string} key
 * @property {string} label
 * @property {string} about
 * @property {{value: string, label: string}[]} findings
 * @property {number} minutes
 * @property {string} needs
 * @property {string[]} how
 * @property {string} caution
 * @property {boolean} round
 * @property {string} dimension
 *
 * @typedef {{kinds: Kind[], checks: Check[], units: any, body_limit: number}} Declaration
 *
 * @typedef {{field: string, message: string}} Problem  `field` is a path: "vehicle.plate", "codes.0.code"
 */

/**
 * The declaration, fetched once.
 * @returns {Promise<Declaration>}
 */
export async function declaration() {
  throw new Error('to be built');
}

/**
 * Check a body against the field types of its kind; fields not declared are kept and not judged. Call it after
 * `declaration()` has resolved.
 * @param {string} kind
 * @param {Record<string, any>} body
 * @returns {Problem[]} empty when it is good
 */
export function checkBody(kind, body) {
  throw new Error('to be built');
}
