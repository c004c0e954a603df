/** What people of the shop are, and may do. */
import { person } from './person.js';
import { phrase } from './tongue.js';

export const ROLES = /** @type {const} */ ([
  ['mechanic', phrase('Mechanic'), phrase('Records cases on a phone.')],
  ['desk', phrase('Desk'), phrase('Also sets prices, erases personal data, shuts out lost phones and decides on what they hand in.')],
  ['owner', phrase('Owner'), phrase('Also says who works here, and reads who did what.')],
]);

/** @param {string} role */
export function roleWords(role) {
  return ROLES.find(([value]) => value === role)?.[1] ?? role;
}

/** Whether whoever is signed in is one of these; the shop has the last word. @param {...string} roles */
export function isOneOf(...roles) {
  return roles.includes(person.value?.person.role ?? '');
}
