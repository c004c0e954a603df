/** A sheet that slides up from the bottom: the platform's own dialog, so focus and the escape key are handled. */
import { useEffect, useRef } from 'preact/hooks';
import { html } from '../html.js';
import { sheetOpen } from '../way-back.js';
import { Icon } from './icon.js';

/** A dialog shown over the screen as long as its piece stands; the way back closes it. */
export function useDialog() {
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
  return dialog;
}

/**
 * While something lies over the screen, the back gesture takes that away and leaves the screen where it is.
 * @param {boolean} over
 * @param {() => void} close
 */
export function useWayBack(over, close) {
  const latest = useRef(close);
  latest.current = close;
  useEffect(() => (over ? sheetOpen(() => latest.current()) : undefined), [over]);
}

/** @param {{title: string, onClose: () => void, children?: any}} props */
export function Sheet({ title, onClose, children }) {
  const dialog = useDialog();
  /** @param {MouseEvent} event */
  const outside = (event) => {
    if (event.target === dialog.current) onClose();
  };
  return html`<dialog class="sheet" aria-label=${title} ref=${dialog} onClose=${onClose} onClick=${outside}>
    <div class="sheet-in">
      <div class="sheet-head">
        <h2>${title}</h2>
        <button type="button" class="key quiet" onClick=${onClose}><${Icon} name="cross" />Close</button>
      </div>
      ${children}
    </div>
  </dialog>`;
}
