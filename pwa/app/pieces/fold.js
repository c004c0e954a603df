/** A part of a form that can wait: folded under its heading until it is wanted, or until something in it is refused. */
import { useState } from 'preact/hooks';
import { html } from '../html.js';

/** @param {{words: string, held?: string, open?: boolean, children?: any}} props  `held`: what is filled in, in short; `open`: it holds something to be seen */
export function Fold({ words, held, open = false, children }) {
  const [unfolded, setUnfolded] = useState(false);
  /** @param {Event} event */
  const onToggle = (event) => setUnfolded(/** @type {HTMLDetailsElement} */ (event.currentTarget).open);
  return html`<details class="more" open=${open || unfolded} onToggle=${onToggle}>
    <summary>${words}${held && html`<span class="fold-held soft">${held}</span>`}</summary>
    <div class="stack">${children}</div>
  </details>`;
}
