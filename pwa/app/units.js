/** Quantities as typed and in SI, by the core's own table of units. */
import { dimensionOf, unitOfRegion, unitsOf } from './declared.js';
import { settings } from './settings.js';
import { locale } from './tongue.js';
import { grouped } from './written.js';

/** @typedef {{si: number | null, typed: string, unit: string}} Quantity */

/**
 * A number as people type it: a comma is a decimal comma unless exactly three digits follow it and a number other than
 * 0 stands before it (the core reads it the same way).
 * @param {string} typed
 * @returns {number | null}
 */
export function plainNumber(typed) {
  let text = typed.replace(/[\s\u00a0\u202f]/g, '');
  if (!/^[+-]?[\d.,]*\d[\d.,]*$/.test(text)) return null;
  const comma = text.lastIndexOf(',');
  const dot = text.lastIndexOf('.');
  if (comma > dot && dot >= 0) text = text.replaceAll('.', '').replace(',', '.');
  else if (comma >= 0 && dot < 0 && !isThousands(text)) text = text.replace(',', '.');
  else text = text.replaceAll(',', '');
  const value = Number(text);
  return Number.isFinite(value) ? value : null;
}

/** @param {string} text  with a comma and no point */
function isThousands(text) {
  const groups = text.replace(/^[+-]/, '').split(',');
  return groups.length > 2 || (groups[1].length === 3 && /[1-9]/.test(groups[0]));
}

/**
 * @param {string} typed
 * @param {string} unit
 * @param {string} dimension
 * @returns {Quantity}  `si` null where what was typed is no number: the check then names the field
 */
export function quantity(typed, unit, dimension) {
  const value = plainNumber(typed);
  const row = unitsOf(dimension).find((one) => one.unit === unit);
  return { si: value === null || !row ? null : value * row.factor + row.offset, typed: typed.trim(), unit };
}

/** The unit that a field begins with: the one typed last, else the one chosen, else the custom of where this phone was first used. @param {string} dimension */
export function firstUnit(dimension) {
  const { typedUnits, units, region } = settings.value;
  return typedUnits[dimension] ?? units[dimension] ?? unitOfRegion(dimension, region);
}

/**
 * A quantity in words, in the unit chosen in Settings (the core shows it the same way), else as it was typed.
 * @param {Quantity | null | undefined} held
 */
export function quantityWords(held) {
  if (!held) return '';
  const dimension = dimensionOf(held.unit);
  const chosen = unitsOf(dimension).find((one) => one.unit === settings.value.units[dimension]);
  if (held.si === null || !chosen || chosen.unit === held.unit) return asTyped(held);
  const shown = ((held.si - chosen.offset) / chosen.factor).toFixed(chosen.decimals);
  return asTyped({ typed: shown, unit: chosen.unit });
}

/** A distance in plain digits has its thousands grouped: odometers run to six digits. @param {{typed: string, unit: string}} held */
export function asTyped({ typed, unit }) {
  const said = dimensionOf(unit) === 'distance' && /^\d+$/.test(typed) ? grouped(typed, locale) : typed;
  return `${said} ${unit}`;
}
