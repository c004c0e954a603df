/** Show the drawing from the other side: makers differ in which bank is the first, and at which end they count. */
import { html } from '../html.js';
import { changeSettings, settings } from '../settings.js';
import { Icon } from './icon.js';

/** @param {{id: string}} props */
export function TurnKey({ id }) {
  const turned = Boolean(settings.value.turned[id]);
  const turn = () => changeSettings({ turned: { ...settings.value.turned, [id]: !turned } });
  return html`<button
    type="button"
    class="key quiet turn"
    aria-label="Turn the drawing"
    aria-pressed=${turned}
    onClick=${turn}
  ><${Icon} name="turn" />Turn</button>`;
}
