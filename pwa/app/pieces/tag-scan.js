/** Tags by the camera: a key that opens it, its picture, its light, and what the square before it is. */
import { useEffect, useRef, useState } from 'preact/hooks';
import { openCamera } from '../../field/camera.js';
import { scan } from '../../field/scanner.js';
import { html } from '../html.js';
import { scannedTag } from '../scanned-tag.js';
import { phrase } from '../tongue.js';
import { Icon } from './icon.js';
import { Notice } from './notice.js';
import { CODE_FIELD } from './tag-field.js';

const FELT_MS = 60; // the phone trembles when it has read a tag
const PATIENCE_MS = 8000; // a square that is read at all is read sooner (estimate, from memory)

/** @param {{onCode: (code: string) => void | Promise<void>, first?: boolean}} props  `first`: the screen is there for it */
export function TagScan({ onCode, first = false }) {
  const [open, setOpen] = useState(false);
  const [trouble, setTrouble] = useState('');
  if (trouble)
    return html`<div role="alert">
      <${Notice} tone="warn" title="No scan now">
        <p>${trouble}</p>
        <p>Type the code under the square meanwhile.</p>
        <button type="button" class="key" onClick=${() => setTrouble('')}>Scan again</button>
      <//>
    </div>`;
  if (!open)
    return html`<button type="button" class=${`key wide ${first ? 'main tall' : ''}`} onClick=${() => setOpen(true)}>
      <${Icon} name="camera" />Scan the square
    </button>`;
  /** @param {string} message */
  const fail = (message) => {
    setOpen(false);
    setTrouble(message);
  };
  return html`<${Viewfinder} onCode=${onCode} onTrouble=${fail} onClose=${() => setOpen(false)} />`;
}

/** @param {{onCode: (code: string) => void | Promise<void>, onTrouble: (message: string) => void, onClose: () => void}} props */
function Viewfinder({ onCode, onTrouble, onClose }) {
  const video = useRef(/** @type {HTMLVideoElement | null} */ (null));
  const [camera, setCamera] = useState(/** @type {import('../../field/camera.js').Camera | null} */ (null));
  const [burns, setBurns] = useState(false);
  const [told, setTold] = useState('');
  const [late, setLate] = useState(false);
  const latest = useRef(onCode);
  latest.current = onCode;

  useEffect(() => {
    let gone = false;
    let put = () => {};
    openCamera().then(
      (opened) => {
        if (gone) return opened.stop();
        put = opened.stop;
        opened.stream.getVideoTracks()[0].onended = () => onTrouble(phrase('The camera was taken away, by a call or another application.'));
        setCamera(opened);
      },
      (trouble) => gone || onTrouble(trouble.message),
    );
    return () => {
      gone = true;
      put();
    };
  }, []);

  useEffect(() => {
    const shown = video.current;
    if (!camera || !shown) return;
    shown.srcObject = camera.stream;
    void shown.play().catch(() => undefined); // stopped before it began
    const waited = setTimeout(() => setLate(true), PATIENCE_MS);
    let last = '';
    /** @param {string} text */
    const look = async (text) => {
      if (text === last) return;
      last = text;
      const found = await scannedTag(text);
      if (text !== last) return;
      if ('message' in found) return setTold(found.message);
      navigator.vibrate?.(FELT_MS);
      setTold('');
      await latest.current(found.code);
    };
    const end = scan(shown, (text) => void look(text), (trouble) => onTrouble(trouble.message));
    return () => {
      clearTimeout(waited);
      end();
    };
  }, [camera]);

  const typeInstead = () => {
    onClose();
    document.getElementsByName(CODE_FIELD)[0]?.focus();
  };
  return html`<div class="viewfinder stack close">
    <div class="viewfinder-picture">
      <video ref=${video} muted playsinline aria-label="What the camera sees"></video>
      <span class="viewfinder-frame" aria-hidden="true"></span>
    </div>
    <p role="status">${told || (camera ? phrase('Hold the square of the tag inside the frame.') : phrase('Opening the camera'))}</p>
    ${
      late &&
      html`<${Notice} title="Not read yet?">
        <p>Wipe the square, or give it light. A square that is torn or smeared may never be read: the ten characters under it say the same.</p>
        <button type="button" class="key main" onClick=${typeInstead}>Type the code</button>
      <//>`
    }
    <div class="keys">
      ${
        camera?.hasTorch &&
        html`<button type="button" class="key" aria-pressed=${burns} onClick=${async () => setBurns(await camera.torch(!burns))}>Light</button>`
      }
      <button type="button" class="key" onClick=${onClose}>Stop</button>
    </div>
  </div>`;
}
