/** What another application shared and no case has yet. */
import { useEffect, useState } from 'preact/hooks';
import { sharedWaiting } from '../../field/shared.js';
import { html } from '../html.js';
import { to } from '../route.js';
import { Icon } from './icon.js';

export function SharedWaiting() {
  const [waiting, setWaiting] = useState(/** @type {string[]} */ ([]));
  useEffect(() => void sharedWaiting().then(setWaiting, () => undefined), []);
  return html`${waiting.map(
    (id) => html`<a class="key wide" key=${id} href=${to('shared', id)}><${Icon} name="share" />Shared, and in no case yet</a>`,
  )}`;
}
