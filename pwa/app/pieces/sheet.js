/** A sheet that slides up from the bottom: the platform's own dialog, so focus and the escape key are handled. */
import { useEffect, useRef } from 'preact/hooks';
import { html } from '../html.js';
import { sheetOpen } from '../way-back.js';
import { Icon } from './icon.js';

/** @param {{title: string, onClose: () => void, children?: any}} props */
export function Sheet({ title, onClose, children }) {
  const dialog = useRef(/** @type {HTMLDialogElement | null} */ (null));
  useEffect(() => {
    const shown = dialog.current;
    shown?.showModal();
    const closed = sheetOpen(() => shown?.close());
    return () => {
      shown?.close();
      closed();
    };
  }, []);
  /** @param {MouseEvent} event */
  const outside = (event) => {
    if (event.target === dialog.current) onClose();
  };
  return html`<dialog class="sheet" aria-label=${title} ref=${dialog} onClose=${onClose} onClick=${outside}>
    <div class="sheet-in">
      <div class="sheet-head">
        <h2>${title}</h2>
        <button type="button" class="key quiet" onClick=${onClose}><${Icon} name="cross" />Put away</button>
      </div>
      ${children}
    </div>
  </dialog>`;
}
