/** What can be done with a link that is told once: it is copied, or sent by what the phone sends with. */
import { html } from '../html.js';
import { say, sayTrouble } from '../said.js';
import { phrase } from '../tongue.js';
import { Icon } from './icon.js';

/** @param {{url: string}} props */
export function LinkKeys({ url }) {
  const copy = async () => {
    try {
      await navigator.clipboard.writeText(url);
      say(phrase('Copied'));
    } catch {
      sayTrouble(phrase('This browser does not copy by itself: select the link and copy it by hand.'));
    }
  };
  const send = async () => {
    try {
      await navigator.share({ url });
    } catch (trouble) {
      const givenUp = /** @type {Error} */ (trouble).name === 'AbortError';
      if (!givenUp) sayTrouble(phrase('It could not be passed on: copy it.'));
    }
  };
  return html`<button type="button" class="key" onClick=${() => void copy()}>Copy the link</button>
    ${'share' in navigator && html`<button type="button" class="key" onClick=${() => void send()}><${Icon} name="share" />Send it</button>`}`;
}
