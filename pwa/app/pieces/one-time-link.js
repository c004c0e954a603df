/** A link that is good once, to be scanned off this screen or sent. It is shown now and never again. */
import { html } from '../html.js';
import { moment } from '../words.js';
import { LinkKeys } from './link-keys.js';
import { Square } from './square.js';

/** @param {{link: string, expires: number, label: string, onDone: () => void}} props */
export function OneTimeLink({ link, expires, label, onDone }) {
  return html`<div class="one-time stack close">
    <${Square} text=${link} label=${label} />
    <p class="one-time-link figures">${link}</p>
    <p class="soft">Good once, until ${moment(expires)}. Whoever has it can use it: show or send it to nobody else.</p>
    <div class="keys">
      <${LinkKeys} url=${link} />
      <button type="button" class="key" onClick=${onDone}>Done</button>
    </div>
  </div>`;
}
