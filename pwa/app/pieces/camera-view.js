/**
 * The camera inside the page, as large as the screen: what it sees, a frame for what is to be caught, and the shutter under the
 * thumb. The phone's own camera stays one tap away.
 */
import { useEffect, useRef, useState } from 'preact/hooks';
import { shoot } from '../../field/camera.js';
import { AimFrame, aimsOf } from '../aims.js';
import { cameraAtHand, putCameraAside, stopCamera } from '../camera-at-hand.js';
import { html } from '../html.js';
import { phrase } from '../tongue.js';
import { Icon } from './icon.js';

const CLOSER = 2; // times; a plug's pins fill the frame from a hand's breadth away

/** @typedef {import('../../field/camera.js').Camera} Camera */

/**
 * @param {object} props
 * @param {string} props.words  what is photographed and where
 * @param {Record<string, any>} props.about  what the entry of the photo will say
 * @param {boolean} props.busy  a photo is being kept
 * @param {string} props.trouble  why the last one was not
 * @param {(file: Blob, about: Record<string, any>) => void} props.onShot
 * @param {(why: string) => void} props.onRefused  the camera cannot be had
 * @param {() => void} props.onClose
 * @param {any} props.children  the way to the phone's own camera
 */
export function CameraView({ words, about, busy, trouble, onShot, onRefused, onClose, children }) {
  const dialog = useRef(/** @type {HTMLDialogElement | null} */ (null));
  const video = useRef(/** @type {HTMLVideoElement | null} */ (null));
  const [camera, sees] = useCamera(video, onRefused);
  const aims = aimsOf(about);
  const [aim, setAim] = useState(aims[0]);
  const shutter = useRef(/** @type {HTMLButtonElement | null} */ (null));
  useEffect(() => {
    if (sees) shutter.current?.focus();
  }, [sees]);
  useEffect(() => {
    const shown = dialog.current;
    shown?.showModal();
    return () => shown?.close();
  }, []);
  const take = async () => {
    if (!video.current || !sees || busy) return;
    const { detail } = aim;
    onShot(await shoot(video.current), { ...about, ...(detail ? { detail } : {}) });
  };
  /** @param {Event} event  the choice of a file is cancelled too, within it */
  const put = (event) => {
    if (event.target === dialog.current) onClose();
  };
  return html`<dialog class="camera" aria-label=${words} ref=${dialog} onCancel=${put}>
    <div class="camera-in">
      <div class="camera-head">
        <p class="camera-words">${words}</p>
        ${
          aims.length > 1 &&
          html`<div class="camera-aims" role="group" aria-label="What to catch">
            ${aims.map(
              (one) => html`<button
                type="button"
                class="key"
                key=${one.label}
                aria-pressed=${one === aim}
                onClick=${() => setAim(one)}
              >${one.label}</button>`,
            )}
          </div>`
        }
      </div>
      <div class="camera-sees">
        <video ref=${video} muted playsinline aria-label="What the camera sees"></video>
        <${AimFrame} aim=${aim} />
      </div>
      <p class="camera-hint" role="status">${trouble || (sees ? aim.hint : phrase('Opening the camera'))}</p>
      <div class="camera-keys">
        <button type="button" class="key" onClick=${onClose}><${Icon} name="cross" />Close</button>
        <button
          type="button"
          class="shutter"
          ref=${shutter}
          aria-label="Take the photo"
          aria-busy=${busy}
          disabled=${!sees || busy}
          onClick=${() => void take()}
        ></button>
        <div class="camera-more">${camera && html`<${Light} camera=${camera} /><${Closer} camera=${camera} />`}</div>
      </div>
      ${children}
    </div>
  </dialog>`;
}

/**
 * The camera as long as it is looked at: stopped while the page is hidden, opened again afterwards.
 * @param {{current: HTMLVideoElement | null}} video
 * @param {(why: string) => void} onRefused
 * @returns {[Camera | null, boolean]} and whether its picture is there
 */
function useCamera(video, onRefused) {
  const [camera, setCamera] = useState(/** @type {Camera | null} */ (null));
  const [sees, setSees] = useState(false);
  useEffect(() => {
    let gone = false;
    let lost = false;
    const open = async () => {
      try {
        const opened = await cameraAtHand();
        if (gone || !video.current) return;
        setCamera(opened);
        video.current.srcObject = opened.stream;
        opened.stream.getVideoTracks()[0].onended = takenAway;
        await video.current.play();
        if (!gone) setSees(true);
      } catch (trouble) {
        if (!gone && trouble instanceof Error && trouble.name === 'CameraRefused') onRefused(trouble.message);
      }
    };
    // For a call or another application. It is asked for once more; twice in a row somebody else wants it for longer.
    const takenAway = () => {
      stopCamera();
      setSees(false);
      if (gone || document.hidden) return;
      if (lost) return onRefused(phrase('The camera was taken away, by a call or another application.'));
      lost = true;
      void open();
    };
    const seen = () => {
      setSees(false);
      if (!document.hidden) void open();
    };
    document.addEventListener('visibilitychange', seen);
    void open();
    return () => {
      gone = true;
      document.removeEventListener('visibilitychange', seen);
      putCameraAside();
    };
  }, []);
  return [camera, sees];
}

/** @param {{camera: Camera}} props */
function Light({ camera }) {
  const [burns, setBurns] = useState(false);
  useEffect(() => () => void (burns && camera.torch(false)), [camera, burns]);
  if (!camera.hasTorch) return null;
  return html`<button
    type="button"
    class="key"
    aria-pressed=${burns}
    onClick=${async () => setBurns(await camera.torch(!burns))}
  >Light</button>`;
}

/** @param {{camera: Camera}} props */
function Closer({ camera }) {
  const [near, setNear] = useState(false);
  if (camera.closest < CLOSER) return null;
  const change = async () => {
    if (await camera.zoom(near ? 1 : CLOSER)) setNear(!near);
  };
  return html`<button type="button" class="key" aria-pressed=${near} onClick=${() => void change()}>Closer</button>`;
}
