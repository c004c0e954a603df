/** A share as a bar of engraved strokes; the figure stands beside it in words. */
import { html } from '../html.js';

/** @param {{share: number}} props */
export function Bar({ share }) {
  const width = Math.max(0, Math.min(1, share)) * 100;
  return html`<svg class="bar" viewBox="0 0 100 4" preserveAspectRatio="none" aria-hidden="true" focusable="false">
    <path class="bar-track" d="M0 2h100" /><path class="bar-share" d=${`M0 2h${width.toFixed(1)}`} />
  </svg>`;
}
