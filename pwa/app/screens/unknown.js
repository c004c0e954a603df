/** An address that leads nowhere. */
import { html } from '../html.js';
import { Screen } from '../pieces/screen.js';
import { to } from '../route.js';

export function Unknown() {
  return html`<${Screen} title="Nothing stands here" back=${to()}>
    <p>This address leads to no screen. Perhaps it was cut short.</p>
    <p><a class="key" href=${to()}>To the cases</a></p>
  <//>`;
}
