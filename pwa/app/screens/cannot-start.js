/**
 * What stands where the application could not start: usually a phone without room, or the very first visit without a
 * connection.
 */
import { databaseTrouble } from '../../field/database.js';
import { html } from '../html.js';
import { Notice } from '../pieces/notice.js';
import { phrase } from '../tongue.js';

/** What the platform throws where a page may store nothing, by name (Indexed Database API 3.0; Firefox in private browsing). */
const MAY_NOT_STORE = ['SecurityError', 'NotAllowedError', 'InvalidStateError'];

/** @param {unknown} trouble */
function wordsOf(trouble) {
  const { name = '', message = '' } = trouble instanceof Error ? trouble : {};
  if (databaseTrouble.value.message) return databaseTrouble.value.message;
  if (name === 'QuotaExceededError') return phrase('The phone is full: free some space, then try again.');
  if (MAY_NOT_STORE.includes(name) || !globalThis.indexedDB) {
    return phrase('The browser lets this page keep nothing. Leave private browsing, or allow this page to keep data (cookies) in the settings of the browser; then try again.');
  }
  return message || String(trouble);
}

/** @param {{trouble: unknown}} props */
export function CannotStart({ trouble }) {
  return html`<main class="alone-in">
    <h1>Coiltrail could not start</h1>
    <${Notice} tone="trouble" title="What the phone says"><p>${wordsOf(trouble)}</p><//>
    <p>
      What is recorded on this device is still there. If this is the first visit, it needs a connection; else free some room on the phone, and try again.
    </p>
    <button type="button" class="key main wide" onClick=${() => location.reload()}>Try again</button>
  </main>`;
}
