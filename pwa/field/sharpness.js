/**
 * Whether a picture shows what it was taken for, from its pixels alone: too dark, blurred, or too plain to tell.
 *
 * Sharp detail changes within two pixels, blurred detail takes four and more. So in each of six directions the change over a
 * short span is held against the change over twice that span, square by square: only squares with detail are asked, which leaves
 * a smooth background out of it, and the best ones speak, since a close-up is sharp in one place only. A lone edge goes on
 * beyond four pixels, a fine texture does not, so what a square comes to is held against its change over eight. A shaken picture
 * is blurred in one direction: the worst direction decides. What the sensor's noise adds to a change is subtracted.
 *
 * The limits were set on one half of real photographs and tried on the other: tests/field/test_sharpness.py.
 */

const SIDE = 800; // px: blur that shows in a kept picture still shows at half its size
const SQUARE = 24; // px, side of a square at that size
const SQUARES_ASKED = 4; // the best that many squares must be sharp: a single one may be a glint
const DETAIL = 200; // squared grey levels: a square changes by fourteen levels within four pixels, or says nothing
const DETAIL_OVER_NOISE = 20; // and by that much more than noise alone would make it change, in variances
const DIRECTION = 0.1; // of the squares that the fullest direction has: with fewer, a direction has too little to say
const BEYOND = 0.2; // how much the change over four pixels, as a share of that over eight, is taken off
const BEYOND_LEAST = 0.3; // of the change over four pixels: noise may have eaten up the other
const SHARP = 0.32; // what is left in a sharp picture
const BRIGHT_SHARE = 0.05; // the brightest pixels ...
const DARK = 75; // ... grey level of 255 that these reach in a picture in which anything can be made out

// Steps (down, right) of like length: two make four pixels, or 4.5 between the axes.
const AXES = [
  [0, 2],
  [2, 0],
];
const BETWEEN = [
  [1, 2],
  [2, 1],
  [2, -1],
  [1, -2],
];
const MARGIN = 4; // px that the longest span reaches beyond a pixel

/** @typedef {{grey: Float32Array, width: number, height: number}} Grey */

/**
 * @param {{data: Uint8ClampedArray | Uint8Array, width: number, height: number}} pixels  RGBA, as a canvas gives them
 * @returns {Promise<'dark' | 'blurred' | 'plain' | ''>} what is doubtful in it; plain: nothing in it has an edge, as all of
 *   it may be blurred
 */
export async function doubtIn(pixels) {
  const grey = greyOf(pixels);
  if (brightest(grey) < DARK) return 'dark';
  const found = await sharpness(grey);
  if (found === null) return 'plain';
  return found < SHARP ? 'blurred' : '';
}

/**
 * Grey levels, each the mean of a block of pixels, so that the long side comes near SIDE.
 * @param {{data: Uint8ClampedArray | Uint8Array, width: number, height: number}} pixels
 * @returns {Grey}
 */
export function greyOf({ data, width, height }) {
  const block = Math.max(1, Math.round(Math.max(width, height) / SIDE));
  const columns = Math.floor(width / block);
  const rows = Math.floor(height / block);
  const grey = new Float32Array(columns * rows);
  for (let y = 0; y < rows * block; y++) {
    const row = Math.floor(y / block) * columns;
    for (let x = 0; x < columns * block; x++) {
      const at = 4 * (y * width + x);
      // Rec. 601 luma.
      grey[row + Math.floor(x / block)] += 0.299 * data[at] + 0.587 * data[at + 1] + 0.114 * data[at + 2];
    }
  }
  const pixelsOfBlock = block * block;
  for (let at = 0; at < grey.length; at++) grey[at] /= pixelsOfBlock;
  return { grey, width: columns, height: rows };
}

/** Grey level that the brightest share of the pixels reaches. @param {Grey} picture */
export function brightest({ grey }) {
  const counts = new Uint32Array(256);
  for (const level of grey) counts[Math.min(255, Math.round(level))] += 1;
  let left = BRIGHT_SHARE * grey.length;
  for (let level = 255; level > 0; level--) {
    left -= counts[level];
    if (left <= 0) return level;
  }
  return 0;
}

/**
 * What the best squares come to in the worst direction.
 * @param {Grey} picture
 * @returns {Promise<number | null>} some 0.25 where all is blurred, 0.4 and more where it is sharp; null where there is no detail at all
 */
export async function sharpness(picture) {
  const noise = noiseIn(picture);
  const directions = [];
  for (const [step, near] of stepsIn(picture.width)) {
    await pause();
    directions.push(inDirection(picture, step, near, noise));
  }
  const telling = directions.filter((found) => found.length >= SQUARES_ASKED);
  const fullest = Math.max(0, ...telling.map((found) => found.length));
  const asked = telling.filter((found) => found.length >= DIRECTION * fullest);
  return asked.length ? Math.min(...asked.map((found) => found[SQUARES_ASKED - 1])) : null;
}

/** Offsets of half the middle span and of where the short span begins, in each direction. @param {number} width */
function stepsIn(width) {
  return [
    ...AXES.map(([down, right]) => [down * width + right, (down * width + right) / -2]),
    ...BETWEEN.map(([down, right]) => [down * width + right, 0]),
  ];
}

/** A thumb may be waiting: on a slow phone all directions in one go would hold up its tap. */
function pause() {
  return new Promise((go) => setTimeout(go));
}

/**
 * What all squares with detail come to in one direction, largest first.
 * @param {Grey} picture
 * @param {number} step  offset of half the middle span
 * @param {number} near  the short span goes from there as far as one step
 * @param {number} noise  variance
 */
function inDirection(picture, step, near, noise) {
  const short = inSquares(picture, step + near, near);
  const middle = inSquares(picture, step, -step);
  const long = inSquares(picture, 2 * step, -2 * step);
  const least = Math.max(DETAIL, DETAIL_OVER_NOISE * noise);
  const found = [];
  for (let at = 0; at < middle.length; at++) {
    const changes = middle[at] - 2 * noise;
    if (changes <= least) continue;
    const within = Math.max(0, short[at] - 2 * noise) / changes;
    const beyond = changes / Math.max(long[at] - 2 * noise, BEYOND_LEAST * changes);
    found.push(within - BEYOND * beyond);
  }
  return found.sort((a, b) => b - a);
}

/**
 * Mean squared difference of two pixels, by square.
 * @param {Grey} picture
 * @param {number} one  offset from a pixel to the first
 * @param {number} other  and to the second
 */
function inSquares(picture, one, other) {
  return meansOf(picture, (grey, at) => (grey[at + one] - grey[at + other]) ** 2);
}

/** Variance of the noise: what is left of curvature where there is least. @param {Grey} picture */
function noiseIn(picture) {
  const curved = (/** @type {number} */ step) =>
    meansOf(picture, (grey, at) => (grey[at + step] - 2 * grey[at] + grey[at - step]) ** 2);
  const across = curved(1);
  const down = curved(picture.width);
  const least = across.map((value, at) => Math.min(value, down[at])).sort();
  return least.length ? least[Math.floor(0.05 * least.length)] / 6 : 0; // 6: the sum of 1, -2, 1 squared
}

/**
 * @param {Grey} picture
 * @param {(grey: Float32Array, at: number) => number} value  at a pixel; it may look MARGIN pixels to all sides
 * @returns {Float64Array} its mean, by square, from every other row: half the work tells as much
 */
function meansOf({ grey, width, height }, value) {
  const across = Math.floor((width - 2 * MARGIN) / SQUARE);
  const down = Math.floor((height - 2 * MARGIN) / SQUARE);
  const means = new Float64Array(Math.max(0, across * down));
  for (let y = 0; y < down * SQUARE; y += 2) {
    const row = Math.floor(y / SQUARE) * across;
    for (let x = 0; x < across * SQUARE; x++) {
      means[row + Math.floor(x / SQUARE)] += value(grey, (y + MARGIN) * width + x + MARGIN);
    }
  }
  for (let at = 0; at < means.length; at++) means[at] /= (SQUARE * SQUARE) / 2;
  return means;
}
