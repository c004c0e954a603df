/**
 * Marks over a photo, drawn as vectors: the picture's own bytes stay as they are.
 *
 * @typedef {object} Mark  shares of the picture's width and height, from where it was begun to where it ends
 * @property {string} [entry]
 * @property {'arrow' | 'circle' | 'words'} sort
 * @property {number} x
 * @property {number} y
 * @property {number | null} [to_x]
 * @property {number | null} [to_y]
 * @property {string | null} [text]
 * @property {string} [words]  as the core tells it
 *
 * @typedef {{width?: number | null, height?: number | null, marks: Mark[]}} Marked
 */
import { labelOf } from './declared.js';
import { html } from './html.js';
import { openCase } from './open-case.js';
import { phrase } from './tongue.js';

const WIDE = 1000; // units of the drawing across the picture
const HEAD = 48; // units from where the line ends to the tip: 8 of the 10 parts of a head of 5 widths of the line

/** What is drawn over a picture of the open case. @param {string} sha256 @returns {Marked | null} */
export function marksOver(sha256) {
  const photo = openCase.value?.view?.photos?.find((/** @type {any} */ one) => one.sha256 === sha256 && one.marks?.length);
  return photo ?? null;
}

/** For those who do not see them. @param {Mark} mark */
export function markWords(mark) {
  return mark.text || labelOf('marked', 'sort', mark.sort) || phrase('Mark');
}

/** @param {string} alt @param {Mark[]} marks */
export function withMarks(alt, marks) {
  if (!marks.length) return alt;
  return phrase('{alt}; drawn on it: {marks}', { alt, marks: marks.map(markWords).join(', ') });
}

/**
 * The drawing, laid over a picture that fills its box as `fit` says.
 * @param {Marked & {name: string, fit?: 'cover' | 'contain'}} props  `name`: what tells it from other drawings
 */
export function MarkDrawing({ width, height, marks, name, fit = 'cover' }) {
  const high = heightOf({ width, height });
  const head = `head-${name.slice(0, 12)}`;
  return html`<svg
    viewBox=${`0 0 ${WIDE} ${high}`}
    preserveAspectRatio=${`xMidYMid ${fit === 'cover' ? 'slice' : 'meet'}`}
    aria-hidden="true"
  >
    <defs>
      <marker id=${head} viewBox="0 0 10 10" refX="2" refY="5" markerWidth="5" markerHeight="5" orient="auto">
        <path d="M0 0l10 5-10 5z" fill="#d3202c" />
      </marker>
    </defs>
    ${marks.map((mark, index) => html`<${Shape} key=${mark.entry ?? index} mark=${mark} high=${high} head=${head} />`)}
  </svg>`;
}

/** Height of the drawing; a picture whose size nobody kept is taken for one of 4 to 3. @param {Omit<Marked, 'marks'>} picture */
function heightOf({ width, height }) {
  return (WIDE * (height || 3)) / (width || 4);
}

/** @param {{mark: Mark, high: number, head: string}} props */
function Shape({ mark, high, head }) {
  const x = WIDE * mark.x;
  const y = high * mark.y;
  if (mark.sort === 'words') return html`<text x=${x} y=${y} class="mark-words">${mark.text}</text>`;
  const toX = WIDE * (mark.to_x ?? mark.x);
  const toY = high * (mark.to_y ?? mark.y);
  const over = ['mark-under', 'mark-line'];
  if (mark.sort === 'circle')
    return over.map(
      (kind) => html`<ellipse
        key=${kind}
        class=${kind}
        cx=${(x + toX) / 2}
        cy=${(y + toY) / 2}
        rx=${Math.abs(x - toX) / 2}
        ry=${Math.abs(y - toY) / 2}
      />`,
    );
  // The line ends within its head, so that the round end of it does not stick out at the tip.
  const long = Math.hypot(toX - x, toY - y) || 1;
  const back = { x: ((toX - x) / long) * Math.min(HEAD, long), y: ((toY - y) / long) * Math.min(HEAD, long) };
  if (mark.sort === 'arrow')
    return over.map(
      (kind) => html`<line
        key=${kind}
        class=${kind}
        x1=${x}
        y1=${y}
        x2=${toX - back.x}
        y2=${toY - back.y}
        marker-end=${kind === 'mark-line' ? `url(#${head})` : undefined}
      />`,
    );
  return null;
}

/**
 * Where a finger is on a picture that stands whole within a box.
 * @param {{clientX: number, clientY: number}} point
 * @param {DOMRect} box
 * @param {Omit<Marked, 'marks'>} picture
 * @returns {{x: number, y: number}} shares, within the picture
 */
export function placeOn({ clientX, clientY }, box, picture) {
  const ratio = WIDE / heightOf(picture);
  const wide = Math.min(box.width, box.height * ratio);
  const high = wide / ratio;
  return {
    x: share((clientX - box.left - (box.width - wide) / 2) / wide),
    y: share((clientY - box.top - (box.height - high) / 2) / high),
  };
}

/** The mark whose middle is nearest to a place. @param {Mark[]} marks @param {number} x @param {number} y @returns {Mark | null} */
export function nearest(marks, x, y) {
  const far = (/** @type {Mark} */ mark) =>
    Math.hypot((mark.x + (mark.to_x ?? mark.x)) / 2 - x, (mark.y + (mark.to_y ?? mark.y)) / 2 - y);
  return marks.reduce((/** @type {Mark | null} */ best, mark) => (best && far(best) <= far(mark) ? best : mark), null);
}

/** The mark moved as a whole, no end of it beyond the picture. @param {Mark} mark @param {number} right @param {number} down @returns {Mark} */
export function shifted(mark, right, down) {
  const ends = /** @type {Mark['to_x'][]} */ ([mark.to_x, mark.to_y]);
  const [toX, toY] = ends.map((end, index) => end ?? [mark.x, mark.y][index]);
  const dx = Math.min(1 - Math.max(mark.x, toX), Math.max(-Math.min(mark.x, toX), right));
  const dy = Math.min(1 - Math.max(mark.y, toY), Math.max(-Math.min(mark.y, toY), down));
  const there = { ...mark, x: share(mark.x + dx), y: share(mark.y + dy) };
  return mark.sort === 'words' ? there : { ...there, to_x: share(toX + dx), to_y: share(toY + dy) };
}

/** Within the picture, to a ten-thousandth. @param {number} value */
export function share(value) {
  return Math.round(Math.min(1, Math.max(0, value)) * 10_000) / 10_000;
}
