/** The strip that is always there, one line high: what only this phone has, and since when. Its screen tells more. */
import { signal } from '@preact/signals';
import { syncState } from '../../field/sync-state.js';
import { html } from '../html.js';
import { to } from '../route.js';
import { phrase } from '../tongue.js';
import { watched } from '../watched.js';
import { daysAtHand, moment } from '../words.js';
import { Icon } from './icon.js';

export const sync = watched(syncState);

/** Whether the phone says that it has a network; it knows of a cut before an exchange fails. */
const linked = signal(navigator.onLine);
for (const news of ['online', 'offline']) addEventListener(news, () => (linked.value = navigator.onLine));

/** @param {import('../../field/sync-state.js').SyncState} state */
export function syncWords(state) {
  const what = onlyHere(state);
  if (!what) return phrase('All sent to the shop');
  return state.since
    ? phrase('Only on this device: {what}, since {since}', { what, since: moment(state.since) })
    : phrase('Only on this device: {what}', { what });
}

/** The same as short as it can be, so that the time still fits on a phone. @param {import('../../field/sync-state.js').SyncState} state */
function shortWords(state) {
  const n = state.unsyncedEntries + state.unsyncedPhotos;
  if (!n) return phrase('All sent to the shop');
  return state.since && daysAtHand.value ? phrase('{n} unsent since {since}', { n, since: moment(state.since) }) : phrase('{n} unsent', { n });
}

/** @param {import('../../field/sync-state.js').SyncState} state */
function onlyHere({ unsyncedEntries, unsyncedPhotos }) {
  const parts = [];
  if (unsyncedEntries) parts.push(phrase('{n} entry|{n} entries', { n: unsyncedEntries }));
  if (unsyncedPhotos) parts.push(phrase('{n} photo|{n} photos', { n: unsyncedPhotos }));
  return parts.join(', ');
}

export function SyncStrip() {
  const state = sync.value;
  const here = state.unsyncedEntries + state.unsyncedPhotos > 0;
  const offline = !linked.value || state.online === false;
  return html`<nav aria-label="Device and shop"><a class=${`strip ${here ? 'here' : 'there'}`} href=${to('sync')}>
    <${Icon} name=${here ? 'phone' : 'shop'} />
    <span class="strip-words">${shortWords(state)}</span>
    <span class="strip-link">${here && state.busy && linked.value ? phrase('Sending') : offline ? phrase('No signal') : ''}</span>
    ${
      state.setAside.length > 0 &&
      html`<span class="strip-aside"><${Icon} name="warn" />${state.setAside.length}<span class="unseen"> set aside</span></span>`
    }
  </a></nav>`;
}
