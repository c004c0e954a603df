/** What was read in a check, in numbers. */
import { phrase } from './tongue.js';
import { quantityWords } from './units.js';

/** @param {Record<string, any>} body  of a check @returns {string} empty where nothing was read */
export function figuresOf({ reading, count, rpm_before: before, rpm_during: during }) {
  const speeds = !before
    ? ''
    : during === undefined
      ? phrase('{before} rpm before', { before: Math.round(before) })
      : phrase('{before} to {during} rpm', { before: Math.round(before), during: Math.round(during) });
  const misfires = count === undefined ? '' : phrase('{n} misfire|{n} misfires', { n: count });
  return [quantityWords(reading), misfires, speeds].filter(Boolean).join(', ');
}
