/**
 * A photo that looks blurred, too dark or too plain to tell: whether it is kept all the same. It is on the disk already. A tap by habit must not
 * keep it: where the shutter, the findings and "Back" lay a moment ago there are words, and the key that takes it again.
 */
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
    // Nor must Enter by habit keep it, on whichever key the dialog would put the focus.
    /** @type {HTMLElement | null | undefined} */ (shown?.querySelector('button.main, .main input'))?.focus();
    return () => shown?.close();
  }, []);
  /** @param {Event} event  the choice of a file is cancelled too, within it */
  const put = (event) => {
    if (event.target === dialog.current) onKeep();
  };
  const words = {
    dark: phrase('Looks too dark: take it again?'),
    blurred: phrase('Looks blurred: take it again?'),
    plain: phrase('Nothing in it has an edge, so the phone cannot tell whether it is sharp: take it again?'),
  }[taken.doubt || 'blurred'];
  return html`<dialog class="camera" aria-label=${words} ref=${dialog} onCancel=${put}>
    <div class="camera-in doubtful">
      <button type="button" class="key keep-doubtful" onClick=${onKeep}><${Icon} name="tick" />Keep it as it is</button>
      <div class="camera-sees"><${Picture} sha256=${taken.sha256} alt=${phrase('The photo just taken')} large=${true} /></div>
      ${children}
      <p class="camera-words doubt" role="alert"><${Icon} name="warn" />${words}</p>
    </div>
  </dialog>`;
}
