/**
 * Squares (QR codes) before the camera, read on the phone: by the platform's own reader where it has one, else by a
 * library in a worker. Its files come after the first start (`bringLater`) and need no connection from then on.
 *
 * @typedef {object} Reader
 * @property {(video: HTMLVideoElement) => Promise<string[]>} read  texts of the squares in the picture at hand
 * @property {() => void} end
 */

import { phrase } from './tongue.js';

const BETWEEN_MS = 120; // two looks; a hand holds still for longer (estimate, from memory)

/** No square can be read; `message` says why and what to do instead. */
export class ScannerMissing extends Error {
  constructor() {
    super(phrase('The reader of the squares is not on this device yet. It comes by itself at the next connection.'));
    this.name = 'ScannerMissing';
  }
}

/**
 * Look for squares until it is ended.
 * @param {HTMLVideoElement} video  shows what the camera sees
 * @param {(text: string) => void} onText  for each square of each look, so for the same one often
 * @param {(trouble: ScannerMissing) => void} onTrouble  then nothing more is read
 * @returns {() => void} ends it
 */
export function scan(video, onText, onTrouble) {
  let ended = false;
  /** @param {Reader} reader */
  const look = async (reader) => {
    try {
      while (!ended) {
        const texts = video.readyState >= video.HAVE_CURRENT_DATA ? await reader.read(video) : [];
        for (const text of texts) if (!ended) onText(text);
        await new Promise((resolve) => setTimeout(resolve, BETWEEN_MS));
      }
    } finally {
      reader.end();
    }
  };
  const byPlatform = async () => {
    const reader = await platformReader();
    // A phone may promise a reader whose service it has not got.
    if (reader) await look(reader).catch(() => undefined);
  };
  void byPlatform()
    .then(() => (ended ? undefined : look(libraryReader())))
    .catch((trouble) => (ended ? undefined : onTrouble(trouble)));
  return () => {
    ended = true;
  };
}

/** @returns {Promise<Reader | null>} */
async function platformReader() {
  const Detector = /** @type {any} */ (globalThis).BarcodeDetector;
  const formats = await Detector?.getSupportedFormats?.().catch(() => []);
  if (!formats?.includes('qr_code')) return null;
  const detector = new Detector({ formats: ['qr_code'] });
  return {
    read: async (video) => (await detector.detect(video)).map((/** @type {{rawValue: string}} */ one) => one.rawValue),
    end: () => undefined,
  };
}

/** @returns {Reader} */
function libraryReader() {
  const worker = new Worker('/field/scan-worker.js', { type: 'module' });
  const canvas = document.createElement('canvas');
  const context = /** @type {CanvasRenderingContext2D} */ (canvas.getContext('2d', { willReadFrequently: true }));
  return {
    read: (video) =>
      new Promise((resolve, reject) => {
        worker.onerror = () => reject(new ScannerMissing());
        worker.onmessage = ({ data }) => (data.texts ? resolve(data.texts) : reject(new ScannerMissing()));
        canvas.width = video.videoWidth;
        canvas.height = video.videoHeight;
        context.drawImage(video, 0, 0);
        const picture = context.getImageData(0, 0, canvas.width, canvas.height);
        worker.postMessage(picture, [picture.data.buffer]);
      }),
    end: () => worker.terminate(),
  };
}
