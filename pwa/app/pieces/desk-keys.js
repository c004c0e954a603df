/** The ways to what belongs to the whole shop and not to one case. */
import { html } from '../html.js';
import { to } from '../route.js';
import { phrase } from '../tongue.js';
import { Icon } from './icon.js';

const WAYS = [
  { screen: 'shelf', icon: 'shop', words: phrase('The shelf') },
  { screen: 'calls', icon: 'phone', words: phrase('Calls to make') },
  { screen: 'print-tags', icon: 'print', words: phrase('Print tags') },
];

export function DeskKeys() {
  return html`<nav class="desk-keys" aria-label="The shop">
    ${WAYS.map(
      ({ screen, icon, words }) => html`<a class="key" key=${screen} href=${to(screen)}><${Icon} name=${icon} />${words}</a>`,
    )}
  </nav>`;
}
