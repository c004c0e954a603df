/**
 * The kinds of entry and the checks as the core declares them, at hand without waiting on every screen but the first.
 * Every label, choice and range on a form comes from here.
 *
 * @typedef {import('../field/kinds.js').Field} Field
 * @typedef {import('../field/kinds.js').Check} Check
 * @typedef {{unit: string, factor: number, offset: number, decimals: number}} Unit
 */
import { declaration } from '../field/kinds.js';

/** @type {import('../field/kinds.js').Declaration} */
let declared = { kinds: [], checks: [], tools: [], units: {}, begins: [], currency_digits: {}, body_limit: 0 };

/** Before any screen but the first, which does without. */
export async function loadDeclaration() {
  declared = await declaration();
}

/** @param {string} kind */
export function kindOf(kind) {
  const found = declared.kinds.find((one) => one.kind === kind);
  if (!found) throw new Error(`no kind of entry is called ${kind}`);
  return found;
}

/**
 * A field of a kind by its path, e.g. `field('case_opened', 'vehicle.plate')`.
 * @param {string} kind
 * @param {string} path
 * @returns {Field}
 */
export function field(kind, path) {
  /** @type {Field | undefined} */
  let found;
  let fields = kindOf(kind).fields;
  for (const name of path.split('.')) {
    found = fields.find((one) => one.name === name);
    fields = found?.fields ?? found?.of?.fields ?? [];
  }
  if (!found) throw new Error(`${kind} has no field ${path}`);
  return found;
}

/**
 * The words for a value of a choice.
 * @param {string} kind
 * @param {string} path
 * @param {string | undefined | null} value
 */
export function labelOf(kind, path, value) {
  return field(kind, path).choices?.find((choice) => choice.value === value)?.label ?? value ?? '';
}

/** @returns {Check[]} */
export function checks() {
  return declared.checks;
}

/** @param {string} key @returns {Check | undefined} */
export function check(key) {
  return declared.checks.find((one) => one.key === key);
}

/** What the checks need, as it lies in a van. @returns {{value: string, label: string}[]} */
export function tools() {
  return declared.tools;
}

/** @param {string} dimension @returns {Unit[]} */
export function unitsOf(dimension) {
  return declared.units[dimension] ?? [];
}

/**
 * The unit that people of a region write a dimension in.
 * @param {string} dimension
 * @param {string} region  ISO 3166; empty: nobody knows
 * @returns {string | undefined}
 */
export function unitOfRegion(dimension, region) {
  const other = declared.begins.find((one) => one.dimension === dimension && one.regions.includes(region));
  return other?.unit ?? unitsOf(dimension)[0]?.unit;
}

/** The dimension that a unit belongs to. @param {string} unit */
export function dimensionOf(unit) {
  const found = Object.entries(declared.units).find(([name, units]) => name !== 'any' && units.some((/** @type {Unit} */ one) => one.unit === unit));
  return found?.[0] ?? 'any';
}

/** How many digits of a currency stand after the point. @param {string | undefined} currency */
export function digitsOf(currency) {
  return declared.currency_digits[currency ?? ''] ?? 2;
}
