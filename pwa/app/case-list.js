/** The list of cases on this phone, kept up to date. */
import { signal } from '@preact/signals';
import { caseList, onChange } from '../field/log.js';
import { phrase } from './tongue.js';

/**
 * `null` until first read. `trouble` when the phone's store could not be read.
 * @type {import('@preact/signals').Signal<{cases: import('../field/log.js').Summary[] | null, trouble: string}>}
 */
export const caseListing = signal({ cases: null, trouble: '' });

export async function readCaseList() {
  try {
    const cases = (await caseList()).map((one) => ({ ...one, title: one.title || phrase('Vehicle not named') }));
    caseListing.value = { cases, trouble: '' };
  } catch (trouble) {
    const message = trouble instanceof Error ? trouble.message : String(trouble);
    caseListing.value = { ...caseListing.value, trouble: message };
  }
}

/** Once for a page; resolves when the list has been read. */
export function followCaseList() {
  onChange(() => void readCaseList());
  return readCaseList();
}
