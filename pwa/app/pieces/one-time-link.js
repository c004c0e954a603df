/** A link that is good once, to be scanned off this screen or sent. It is shown now and never again. */
import { html } from '../html.js';
import { say, sayTrouble } from '../said.js';
import { phrase } from '../tongue.js';
import { moment } from '../words.js';
import { Icon } from './icon.js';
import { Square } from './square.js';

/** @param {{link: string, expires: number, label: string, onDone: () => void}} props */
export function OneTimeLink({ link, expires, label, onDone }) {
  const copy = async () => {
    try {
      await navigator.clipboard.writeText(link);
      say(phrase('Copied'));
    } catch {
      sayTrouble(phrase('This browser does not copy by itself: select the link and copy it by hand.'));
    }
  };
  const share = () => void navigator.share({ url: link }).catch(() => undefined);
  return html`<div class="one-time stack close">
    <${Square} text=${link} label=${label} />
    <p class="one-time-link figures">${link}</p>
    <p class="soft">Good once, until ${moment(expires)}. Whoever has it can use it: show or send it to nobody else.</p>
    <div class="keys">
      <button type="button" class="key" onClick=${() => void copy()}>Copy the link</button>
      ${'share' in navigator && html`<button type="button" class="key" onClick=${share}><${Icon} name="share" />Send it</button>`}
      <button type="button" class="key" onClick=${onDone}>Done</button>
    </div>
  </div>`;
}
