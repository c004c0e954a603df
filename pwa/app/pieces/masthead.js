/** The sign of the application: three turns of a coil whose wire trails off to a spark. */
import { html } from '../html.js';

/** @param {{shop?: string}} props */
export function Masthead({ shop }) {
  return html`<div class="masthead">
    <svg class="masthead-sign" viewBox="0 0 96 48" aria-hidden="true" focusable="false">
      <path d="M4 36C14 36 16 8 25 8s9 28 0 28-7-28 4-28 13 28 4 28-7-28 4-28 13 28 4 28c-5 0-5-10 3-14s17 2 26 2" />
      <path class="spark" d="M82 24h10M87 19v10M83.5 20.5l7 7M90.5 20.5l-7 7" />
    </svg>
    <div>
      <p class="masthead-name">Coiltrail</p>
      ${shop && html`<p class="soft">${shop}</p>`}
    </div>
  </div>`;
}
