/** The list of cases on this phone, kept up to date. */
import { signal } from '@preact/signals';
import { caseList, onChange } from '../field/log.js';
import { person } from './person.js';

/**
 * `null` until first read. `trouble` when the phone's store could not be read.
 * @type {import('@preact/signals').Signal<{cases: import('../field/log.js').Summary[] | null, trouble: string}>}
 */
export const caseListing = signal({ cases: null, trouble: '' });

export async function readCaseList() {
  try {
    // The shop's own log is no case.
    const cases = (await caseList()).filter((one) => one.case !== person.value?.shop.id);
    caseListing.value = { cases, trouble: '' };
  } catch (trouble) {
    const message = trouble instanceof Error ? trouble.message : String(trouble);
    caseListing.value = { ...caseListing.value, trouble: message };
  }
}

/** Once for a page. */
export function followCaseList() {
  void readCaseList();
  onChange(() => void readCaseList());
}
