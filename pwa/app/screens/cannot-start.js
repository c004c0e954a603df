/**
 * What stands where the application could not start: usually a phone without room, or the very first visit without a
 * connection.
 */
import { html } from '../html.js';
import { Notice } from '../pieces/notice.js';

/** @param {{message: string}} props */
export function CannotStart({ message }) {
  return html`<main class="alone-in">
    <h1>Coiltrail could not start</h1>
    <${Notice} tone="trouble" title="What the phone says"><p>${message}</p><//>
    <p>
      What is recorded on this phone is still there. If this is the first visit, it needs a connection; else free some room on the phone, and try again.
    </p>
    <button type="button" class="key main wide" onClick=${() => location.reload()}>Try again</button>
  </main>`;
}
