/**
 * The camera inside the page: opened towards what lies before the phone, with its light where it has one. No more than
 * one is open at a time on most phones, so whoever opens it stops it.
 *
 * @typedef {object} Camera
 * @property {MediaStream} stream  for a video's `srcObject`
 * @property {boolean} hasTorch  the platform lets the page turn the light on
 * @property {(on: boolean) => Promise<boolean>} torch  gives whether it burns now
 * @property {() => void} stop  also puts the light out
 */
import { phrase } from './tongue.js';

/** The camera cannot be had; `message` says why and what to do instead. */
export class CameraRefused extends Error {
  /** @param {string} message */
  constructor(message) {
    super(message);
    this.name = 'CameraRefused';
  }
}

/** What stopped it, by the name of the platform's error (W3C Media Capture and Streams, section 10.2). @param {string} name @returns {string} */
const why = (name) =>
  ({
    NotAllowedError: phrase('The camera is not allowed here. Allow it for this page in the settings of the browser.'),
    NotFoundError: phrase('This device has no camera.'),
    NotReadableError: phrase('The camera is in use by another application. Close that one and try again.'),
  })[name] ?? phrase('The camera could not be started.');

/**
 * @param {{width?: number, height?: number}} [wanted]  px; the nearest that the camera can do is taken
 * @returns {Promise<Camera>}
 * @throws {CameraRefused}
 */
export async function openCamera({ width = 1280, height = 720 } = {}) {
  if (!navigator.mediaDevices?.getUserMedia) throw new CameraRefused(phrase('This browser gives the page no camera.'));
  const video = { facingMode: { ideal: 'environment' }, width: { ideal: width }, height: { ideal: height } };
  const stream = await navigator.mediaDevices.getUserMedia({ video, audio: false }).catch((error) => {
    throw new CameraRefused(why(error.name));
  });
  const [track] = stream.getVideoTracks();
  const can = /** @type {{torch?: boolean}} */ (track.getCapabilities?.() ?? {});
  return {
    stream,
    hasTorch: Boolean(can.torch),
    torch: (on) =>
      track.applyConstraints({ advanced: [/** @type {any} */ ({ torch: on })] }).then(
        () => on,
        () => false,
      ),
    stop: () => stream.getTracks().forEach((one) => one.stop()),
  };
}
