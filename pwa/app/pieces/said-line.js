/** Where `say` and `sayTrouble` appear, read out by screen readers. */
import { html } from '../html.js';
import { hush, said } from '../said.js';
import { Icon } from './icon.js';

export function SaidLine() {
  const now = said.value;
  return html`<div class="said">
    <div role="status">
      ${now && !now.trouble && html`<p key=${now.n} class="said-well rise"><${Icon} name="tick" />${now.text}</p>`}
    </div>
    <div role="alert">
      ${
        now?.trouble &&
        html`<p key=${now.n} class="said-trouble rise">
        <${Icon} name="warn" /><span>${now.text}</span>
        <button type="button" class="key quiet" onClick=${hush}>Close</button>
      </p>`
      }
    </div>
  </div>`;
}
