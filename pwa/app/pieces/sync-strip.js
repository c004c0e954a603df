/** The strip that is always there: what only this phone has, and since when. */
import { syncState } from '../../field/sync.js';
import { html } from '../html.js';
import { to } from '../route.js';
import { phrase } from '../tongue.js';
import { watched } from '../watched.js';
import { moment } from '../words.js';
import { Icon } from './icon.js';

export const sync = watched(syncState);

/** @param {import('../../field/sync.js').SyncState} state */
export function syncWords(state) {
  const parts = [];
  if (state.unsyncedEntries) parts.push(phrase('{n} entry|{n} entries', { n: state.unsyncedEntries }));
  if (state.unsyncedPhotos) parts.push(phrase('{n} photo|{n} photos', { n: state.unsyncedPhotos }));
  if (!parts.length) return phrase('All in the shop');
  const what = parts.join(', ');
  return state.since
    ? phrase('On this phone: {what} since {since}', { what, since: moment(state.since) })
    : phrase('On this phone: {what}', { what });
}

export function SyncStrip() {
  const state = sync.value;
  const here = state.unsyncedEntries + state.unsyncedPhotos > 0;
  const offline = state.online === false;
  return html`<nav aria-label="Phone and shop"><a class=${`strip ${here ? 'here' : 'there'}`} href=${to('sync')}>
    <${Icon} name=${here ? 'phone' : 'shop'} />
    <span class="strip-words">${syncWords(state)}</span>
    <span class="strip-side">
      <span class="strip-link">${state.busy ? phrase('Sending') : offline ? phrase('No connection') : ''}</span>
      ${
        state.setAside.length > 0 &&
        html`<span class="strip-aside">
        <${Icon} name="warn" />${state.setAside.length} set aside
      </span>`
      }
    </span>
  </a></nav>`;
}
