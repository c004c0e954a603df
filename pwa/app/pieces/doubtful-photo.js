/** A photo that looks blurred or too dark: whether it is kept all the same. It is on the disk already. */
import { useEffect, useRef } from 'preact/hooks';
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { Icon } from './icon.js';
import { Picture } from './thumbs.js';

/**
 * @param {object} props
 * @param {import('../../field/photos.js').TakenIn} props.taken
 * @param {() => void} props.onKeep
 * @param {any} props.children  the key that takes it again
 */
export function DoubtfulPhoto({ taken, onKeep, children }) {
  const dialog = useRef(/** @type {HTMLDialogElement | null} */ (null));
  useEffect(() => {
    const shown = dialog.current;
    shown?.showModal();
    return () => shown?.close();
  }, []);
  /** @param {Event} event  the choice of a file is cancelled too, within it */
  const put = (event) => {
    if (event.target === dialog.current) onKeep();
  };
  const words =
    taken.doubt === 'dark' ? phrase('Looks too dark: take it again?') : phrase('Looks blurred: take it again?');
  return html`<dialog class="camera" aria-label=${words} ref=${dialog} onCancel=${put}>
    <div class="camera-in">
      <p class="camera-words doubt" role="alert"><${Icon} name="warn" />${words}</p>
      <div class="camera-sees"><${Picture} sha256=${taken.sha256} alt=${phrase('The photo just taken')} large=${true} /></div>
      <div class="camera-keys two">
        <button type="button" class="key tall" onClick=${onKeep}><${Icon} name="tick" />Keep</button>
        ${children}
      </div>
    </div>
  </dialog>`;
}
