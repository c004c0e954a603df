/**
 * The camera inside the page: opened towards what lies before the phone, with its light where it has one. No more than
 * one is open at a time on most phones, so whoever opens it stops it.
 *
 * @typedef {object} Camera
 * @property {MediaStream} stream  for a video's `srcObject`
 * @property {boolean} hasTorch  the platform lets the page turn the light on
 * @property {(on: boolean) => Promise<boolean>} torch  gives whether it burns now
 * @property {number} closest  how far the page can zoom, as the platform counts; 1 where it cannot
 * @property {(factor: number) => Promise<boolean>} zoom  gives whether it did
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
    OverconstrainedError: phrase('This device has no camera.'), // in WebKit on Linux; nothing exact was asked for
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
  const can = /** @type {{torch?: boolean, zoom?: {max: number}, focusMode?: string[]}} */ (track.getCapabilities?.() ?? {});
  /** @param {Record<string, any>} setting */
  const apply = (setting) =>
    track.applyConstraints({ advanced: [setting] }).then(
      () => true,
      () => false,
    );
  if (can.focusMode?.includes('continuous')) void apply({ focusMode: 'continuous' });
  return {
    stream,
    hasTorch: Boolean(can.torch),
    torch: async (on) => (await apply({ torch: on })) && on,
    closest: can.zoom?.max ?? 1,
    zoom: (factor) => apply({ zoom: factor }),
    stop: () => stream.getTracks().forEach((one) => one.stop()),
  };
}

/** Whether this device seems to have a camera that the page may ask for; asks nobody. @returns {Promise<boolean>} */
export async function seemsToHaveCamera() {
  const devices = (await navigator.mediaDevices?.enumerateDevices?.().catch(() => [])) ?? [];
  if (!devices.some(({ kind }) => kind === 'videoinput')) return false;
  const name = /** @type {PermissionName} */ ('camera');
  const asked = await navigator.permissions?.query({ name }).catch(() => null); // not every engine knows this name
  return asked?.state !== 'denied';
}

/**
 * What the camera sees now, as a file like one of the phone's own camera.
 * @param {HTMLVideoElement} video
 * @returns {Promise<Blob>} JPEG
 */
export async function shoot(video) {
  const canvas = new OffscreenCanvas(video.videoWidth, video.videoHeight);
  /** @type {OffscreenCanvasRenderingContext2D} */ (canvas.getContext('2d', { alpha: false })).drawImage(video, 0, 0);
  return canvas.convertToBlob({ type: 'image/jpeg', quality: 0.95 });
}
