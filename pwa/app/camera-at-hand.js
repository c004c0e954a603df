/**
 * The camera between two photos: it stays open for a moment, since the next cylinder wants it at once and some platforms ask
 * for permission each time. Nothing keeps it open that is not seen: it stops when the page is hidden.
 */
import { openCamera } from '../field/camera.js';

const STAYS_MS = 20_000; // from one cylinder's photo to the next one's; estimate, from memory
// More than the 1600 px that are kept, so that a picture is made smaller and not larger.
const WANTED = { width: 2560, height: 1920 };

/** @type {Promise<import('../field/camera.js').Camera> | null} */
let opened = null;
/** @type {ReturnType<typeof setTimeout> | undefined} */
let leaving;

/** The camera, opened where it is not. @returns {Promise<import('../field/camera.js').Camera>} */
export function cameraAtHand() {
  clearTimeout(leaving);
  if (!opened) {
    const asked = openCamera(WANTED);
    opened = asked;
    asked.catch(() => {
      if (opened === asked) opened = null;
    });
  }
  return opened;
}

/** It is not looked at any more. */
export function putCameraAside() {
  clearTimeout(leaving);
  leaving = setTimeout(stopCamera, STAYS_MS);
}

export function stopCamera() {
  clearTimeout(leaving);
  const stopping = opened;
  opened = null;
  void stopping?.then(
    (camera) => camera.stop(),
    () => undefined,
  );
}

document.addEventListener('visibilitychange', () => {
  if (document.hidden) stopCamera();
});
addEventListener('pagehide', stopCamera);
