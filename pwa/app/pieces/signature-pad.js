/** A field to sign in with a finger. Who cannot draw agrees in another way: the choice beside it. */
import { useEffect, useRef } from 'preact/hooks';
import { html } from '../html.js';
import { phrase } from '../tongue.js';

const WIDTH = 1200; // px of the picture
const HEIGHT = 400;
const INK = '#17202b';

/**
 * @typedef {{drawn: boolean, canvas: HTMLCanvasElement | null}} Pad
 *
 * @param {{pad: import('preact').RefObject<Pad> | {current: Pad}, problem: string}} props  `pad` is filled in
 */
export function SignaturePad({ pad, problem }) {
  const field = useRef(/** @type {HTMLCanvasElement | null} */ (null));
  useEffect(() => {
    const held = /** @type {{current: Pad}} */ (pad);
    held.current = { drawn: false, canvas: field.current };
    wipe();
  }, []);

  const wipe = () => {
    const ink = field.current?.getContext('2d');
    if (!ink) return;
    ink.fillStyle = '#fff';
    ink.fillRect(0, 0, WIDTH, HEIGHT);
    ink.strokeStyle = INK;
    ink.lineWidth = 6;
    ink.lineCap = ink.lineJoin = 'round';
    /** @type {{current: Pad}} */ (pad).current.drawn = false;
  };
  /** @param {PointerEvent} event */
  const point = (event) => {
    const canvas = /** @type {HTMLCanvasElement} */ (field.current);
    const box = canvas.getBoundingClientRect();
    return [
      ((event.clientX - box.left) * WIDTH) / box.width,
      ((event.clientY - box.top) * HEIGHT) / box.height,
    ];
  };
  /** @param {PointerEvent} event */
  const begin = (event) => {
    field.current?.setPointerCapture(event.pointerId);
    const ink = field.current?.getContext('2d');
    const [x, y] = point(event);
    ink?.beginPath();
    ink?.moveTo(x, y);
  };
  /** @param {PointerEvent} event */
  const draw = (event) => {
    if (!event.buttons) return;
    const ink = field.current?.getContext('2d');
    const [x, y] = point(event);
    ink?.lineTo(x, y);
    ink?.stroke();
    /** @type {{current: Pad}} */ (pad).current.drawn = true;
  };
  return html`<div class="field signature">
    <p id="signature-words"><strong>Signature</strong></p>
    <canvas
      ref=${field}
      width=${WIDTH}
      height=${HEIGHT}
      role="img"
      aria-labelledby="signature-words"
      onPointerDown=${begin}
      onPointerMove=${draw}
    ></canvas>
    ${problem && html`<p class="problem" role="alert">${problem}</p>`}
    <button type="button" class="key" onClick=${wipe}>Wipe and sign again</button>
  </div>`;
}

/** The picture that was drawn. @param {HTMLCanvasElement} canvas @returns {Promise<Blob>} */
export function drawnOn(canvas) {
  return new Promise((resolve, reject) =>
    canvas.toBlob((blob) => (blob ? resolve(blob) : reject(new Error(phrase('The signature could not be kept.')))), 'image/png'),
  );
}
