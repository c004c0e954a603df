/** Who is signed in on this phone, for the screens. */
import { signal } from '@preact/signals';
import { me, onSession } from '../field/session.js';

/** @type {import('@preact/signals').Signal<import('../field/session.js').Me | null>} */
export const person = signal(null);

export async function readPerson() {
  person.value = await me();
}

/** Once for a page. */
export function followPerson() {
  onSession(() => void readPerson());
}
