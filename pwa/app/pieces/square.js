/** A QR code large enough to be scanned off a screen. */
import { qrPath } from '../../field/qr.js';
import { html } from '../html.js';

/** @param {{text: string, label: string}} props */
export function Square({ text, label }) {
  const { size, path } = qrPath(text);
  return html`<svg class="square" viewBox=${`0 0 ${size} ${size}`} role="img" aria-label=${label}>
    <rect width=${size} height=${size} fill="#fff" /><path d=${path} fill="#000" />
  </svg>`;
}
