/** A part of a form that can wait: folded under its heading until it is wanted, or until something in it is refused. */
import { useState } from 'preact/hooks';
import { html } from '../html.js';

/** @param {{words: string, open?: boolean, children?: any}} props  `open`: it holds something to be seen */
export function Fold({ words, open = false, children }) {
  const [unfolded, setUnfolded] = useState(false);
  /** @param {Event} event */
  const onToggle = (event) => setUnfolded(/** @type {HTMLDetailsElement} */ (event.currentTarget).open);
  return html`<details class="more" open=${open || unfolded} onToggle=${onToggle}>
    <summary>${words}</summary>
    <div class="stack">${children}</div>
  </details>`;
}
