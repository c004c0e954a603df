/** Who is signed in here, and how those who recorded something are named on the screens. */
import { signal } from '@preact/signals';
import { me, onSession } from '../field/session.js';
import { phrase } from './tongue.js';

/** @type {import('@preact/signals').Signal<import('../field/session.js').Me | null>} */
export const person = signal(null);

export async function readPerson() {
  person.value = await me();
}

/** Who recorded something, for the end of a line. @param {string} id  of a person */
export function byWhom(id) {
  if (id === person.value?.person.id) return phrase('by you');
  const name = person.value?.people?.find((one) => one.id === id)?.name;
  return name ? phrase('by {name}', { name }) : phrase('by a colleague');
}

/** Once for a page. */
export function followPerson() {
  onSession(() => void readPerson());
}
