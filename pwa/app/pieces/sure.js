/** A key whose deed is asked about once more before it is done. */
import { useState } from 'preact/hooks';
import { html } from '../html.js';

/** @param {{words: string, sure: string, onSure: () => Promise<void> | void}} props  `sure`: what the second key says */
export function Sure({ words, sure, onSure }) {
  const [asked, setAsked] = useState(false);
  if (!asked) return html`<button type="button" class="key" onClick=${() => setAsked(true)}>${words}</button>`;
  const go = () => {
    setAsked(false);
    void onSure();
  };
  return html`<div class="keys">
    <button type="button" class="key main" onClick=${go}>${sure}</button>
    <button type="button" class="key" onClick=${() => setAsked(false)}>Leave it</button>
  </div>`;
}
