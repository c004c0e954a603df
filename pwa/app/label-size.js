/** The label printer of this device: which labels are in it, and how fine it prints. */
import { signal } from '@preact/signals';
import { phrase } from './tongue.js';

const KEY = 'coiltrail.label';

export const SIZES = ['62x29', '50x25', '40x20']; // mm, as `coiltrail.labels` draws them
export const DPI = ['203', '300'];
export const PAPERS = [
  ['roll', phrase('A roll of labels')],
  ['a4', phrase('Sheets of A4')],
  ['letter', phrase('Sheets of Letter')],
];

/** @typedef {{size: string, dpi: string, paper: string}} Printer */

/** @type {Printer} */
const AT_FIRST = { size: SIZES[0], dpi: DPI[0], paper: 'roll' };

export const printer = signal(read());

/** @returns {Printer} */
function read() {
  try {
    return { ...AT_FIRST, ...JSON.parse(localStorage.getItem(KEY) || '{}') };
  } catch {
    return AT_FIRST;
  }
}

/** @param {Partial<Printer>} part */
export function changePrinter(part) {
  printer.value = { ...printer.value, ...part };
  try {
    localStorage.setItem(KEY, JSON.stringify(printer.value));
  } catch {
    // It holds until the page goes.
  }
}
