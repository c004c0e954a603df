/**
 * Where everything of an engine is drawn, seen from above as it sits in the bay, the car's front at the bottom. Pure
 * arithmetic in drawing units (16 units are 1 rem), so that it can be tested without a page.
 *
 * Crosswise the banks are rows, lengthways they are columns; bank 1 is the rear row or the left column, cylinder 1 is
 * left or in front. Makers differ: `turned` shows the engine from the other side.
 *
 * @typedef {{cylinders: number, layout: string, ignition: string, banks: number[][], coils: number[][], firing_order: number[]}} Engine
 * @typedef {{x: number, y: number}} Point
 * @typedef {Point & {cylinder: number, r: number, side: Side, words: Point & {anchor: 'start' | 'middle' | 'end'}}} Bore
 *   `words`: where the two lines of words start; `side`: where its coil lies as seen from the bore
 * @typedef {Point & {position: number, w: number, h: number, leads: string[], words: Point & {anchor: 'start' | 'middle' | 'end'}}} Coil
 * @typedef {'above' | 'below' | 'left' | 'right'} Side
 * @typedef {{x: number, y: number, w: number, h: number}} Box
 * @typedef {{width: number, height: number, bores: Bore[], coils: Coil[], blocks: Box[], distributor: Point | null, lengthways: boolean}} Plan
 */

export const WIDTH = 300; // four cylinders then fill a phone of 360 px with words of 17 px
const MARGIN = 4;
const NARROWEST = 56; // a cylinder's share of a row: "from 12" at 16 units must fit
const WIDEST = 92;
const LARGEST_BORE = 27;
const WORDS = 46; // two lines of 18 with room
const NO_WORDS = 6;
const COIL = { w: 44, h: 24 }; // "new" at 16 units must fit
const FROM = 20; // the line that says where a coil came from
const LANE = 76; // coils that serve several cylinders, with their leads

/**
 * @param {Engine} engine
 * @param {{orientation?: string, turned?: boolean, words?: boolean, more?: number}} [how]  `words`: there are some beside the bores; `more`: room for further lines of them
 * @returns {Plan}
 */
export function plan(engine, { orientation = 'crosswise', turned = false, words = true, more = 0 } = {}) {
  const banks = turned ? [...engine.banks].reverse().map((bank) => [...bank].reverse()) : engine.banks;
  return orientation === 'lengthways' ? columns(engine, banks) : rows(engine, banks, (words ? WORDS : NO_WORDS) + more);
}

/** Whether every cylinder has a coil of its own. @param {Engine} engine */
export function ownCoils(engine) {
  return engine.coils.every((fired) => fired.length === 1) && engine.coils.length === engine.cylinders;
}

/** Banks as rows, with room for words. @param {Engine} engine @param {number[][]} banks @param {number} room @returns {Plan} */
function rows(engine, banks, room) {
  const longest = Math.max(...banks.map((bank) => bank.length));
  const cell = Math.min(WIDEST, Math.max(NARROWEST, (WIDTH - 2 * MARGIN) / longest));
  const width = Math.max(WIDTH, longest * cell + 2 * MARGIN);
  const r = Math.min(LARGEST_BORE, cell / 2 - 3);
  const own = ownCoils(engine);
  const two = banks.length === 2;
  const coilRoom = own ? COIL.h + FROM + 6 : 0;
  const lane = own ? 0 : LANE;
  // From the top: words, bore, coil of the rear bank; lane; coil, bore, words of the front bank. One bank is a front one.
  const rear = two ? room + 2 * r + 14 + coilRoom : 0;
  const gap = two ? 10 : 0;
  const frontTop = MARGIN + rear + gap + lane;
  const height = frontTop + coilRoom + 2 * r + 14 + room + MARGIN;

  /** @type {Bore[]} */
  const bores = [];
  /** @type {Coil[]} */
  const coils = [];
  banks.forEach((bank, row) => {
    const isRear = two && row === 0;
    const y = isRear ? MARGIN + room + 8 + r : frontTop + coilRoom + 6 + r;
    const start = (width - bank.length * cell) / 2 + cell / 2;
    bank.forEach((cylinder, index) => {
      const x = start + index * cell;
      const wordsY = isRear ? y - r - room + 12 : y + r + 27;
      bores.push({ cylinder, x, y, r, side: isRear ? 'below' : 'above', words: { x, y: wordsY, anchor: 'middle' } });
      if (own) {
        const coilY = isRear ? y + r + 6 + COIL.h / 2 : y - r - 6 - COIL.h / 2;
        const fromY = isRear ? coilY + COIL.h / 2 + 16 : coilY - COIL.h / 2 - 6;
        coils.push({
          position: positionOf(engine, cylinder),
          x,
          y: coilY,
          ...COIL,
          leads: [],
          words: { x, y: fromY, anchor: 'middle' },
        });
      }
    });
  });
  const laneY = MARGIN + rear + gap / 2 + lane / 2;
  if (!own) coils.push(...inLane(engine, bores, { along: 'x', from: 6, to: width - 6, at: laneY }));
  const blocks = banks.map((bank, row) => {
    const isRear = two && row === 0;
    const y = isRear ? MARGIN + room : frontTop + coilRoom - 2;
    return { x: (width - bank.length * cell) / 2, y, w: bank.length * cell, h: 2 * r + 16 };
  });
  return {
    width,
    height,
    bores,
    coils,
    blocks,
    distributor: engine.ignition === 'distributor' ? { x: width / 2, y: laneY } : null,
    lengthways: false,
  };
}

/** Banks as columns, cylinder 1 in front. @param {Engine} engine @param {number[][]} banks @returns {Plan} */
function columns(engine, banks) {
  const own = ownCoils(engine);
  const two = banks.length === 2;
  const longest = Math.max(...banks.map((bank) => bank.length));
  const cell = 68;
  const r = LARGEST_BORE;
  const lane = own ? 0 : LANE;
  const coilRoom = own ? 50 : 0; // "from 9" fits
  const wordsRoom = 62; // "misses" fits
  const column = wordsRoom + 2 * r + 6 + coilRoom;
  const width = Math.max(WIDTH, (two ? 2 * column : column) + lane + 2 * MARGIN);
  const height = longest * cell + 2 * MARGIN;
  const middle = width / 2;

  /** @type {Bore[]} */
  const bores = [];
  /** @type {Coil[]} */
  const coils = [];
  /** @type {Box[]} */
  const blocks = [];
  banks.forEach((bank, index) => {
    const isLeft = two && index === 0;
    const inner = two ? lane / 2 + coilRoom + r + 6 : 0;
    const x = two ? middle + (isLeft ? -inner : inner) : middle - wordsRoom / 2 + (coilRoom + lane) / 2;
    bank.forEach((cylinder, place) => {
      const y = height - MARGIN - cell / 2 - place * cell;
      const words = isLeft
        ? { x: x - r - 8, y: y - 2, anchor: /** @type {const} */ ('end') }
        : { x: x + r + 8, y: y - 2, anchor: /** @type {const} */ ('start') };
      bores.push({ cylinder, x, y, r, side: isLeft ? 'right' : 'left', words });
      if (own) {
        const coilX = isLeft ? x + r + 6 + coilRoom / 2 : x - r - 6 - coilRoom / 2;
        coils.push({
          position: positionOf(engine, cylinder),
          x: coilX,
          y: y - 8,
          ...COIL,
          leads: [],
          words: { x: coilX, y: y + 22, anchor: 'middle' },
        });
      }
    });
    blocks.push({ x: x - r - 6, y: height - MARGIN - bank.length * cell, w: 2 * r + 12, h: bank.length * cell });
  });
  const laneX = two ? middle : bores[0].x - r - 6 - lane / 2;
  if (!own) coils.push(...inLane(engine, bores, { along: 'y', from: 4, to: height - 12, at: laneX }));
  return {
    width,
    height,
    bores,
    coils,
    blocks,
    distributor: engine.ignition === 'distributor' ? { x: laneX, y: height / 2 } : null,
    lengthways: true,
  };
}

/**
 * Coils that serve several cylinders stand in a lane, in the order of their cylinders, a lead to each.
 * @param {Engine} engine
 * @param {Bore[]} bores
 * @param {{along: 'x' | 'y', from: number, to: number, at: number}} lane
 * @returns {Coil[]}
 */
function inLane(engine, bores, lane) {
  const order = engine.coils
    .map((fired, index) => ({ fired, position: index + 1, mean: mean(fired.map((c) => boreOf(bores, c)[lane.along])) }))
    .sort((a, b) => a.mean - b.mean || a.position - b.position);
  const step = (lane.to - lane.from) / order.length;
  return order.map(({ fired, position }, index) => {
    const along = lane.from + step * (index + 0.5);
    const centre = lane.along === 'x' ? { x: along, y: lane.at } : { x: lane.at, y: along };
    const size = { w: 50, h: 26 };
    return {
      position,
      ...centre,
      ...size,
      leads: fired.map((cylinder) => lead(centre, size, boreOf(bores, cylinder), lane.along)),
      words: { x: centre.x, y: centre.y + 31, anchor: /** @type {const} */ ('middle') },
    };
  });
}

/**
 * A lead from a coil to a bore, leaving and arriving square.
 * @param {Point} coil @param {{w: number, h: number}} size @param {Bore} bore @param {'x' | 'y'} along
 */
function lead(coil, size, bore, along) {
  if (along === 'x') {
    const down = bore.y > coil.y ? 1 : -1;
    const y0 = coil.y + (down * size.h) / 2;
    const y1 = bore.y - down * bore.r;
    const bend = (y1 - y0) * 0.55;
    return `M${n(coil.x)} ${n(y0)}C${n(coil.x)} ${n(y0 + bend)} ${n(bore.x)} ${n(y1 - bend)} ${n(bore.x)} ${n(y1)}`;
  }
  const right = bore.x > coil.x ? 1 : -1;
  const x0 = coil.x + (right * size.w) / 2;
  const x1 = bore.x - right * bore.r;
  const bend = (x1 - x0) * 0.55;
  return `M${n(x0)} ${n(coil.y)}C${n(x0 + bend)} ${n(coil.y)} ${n(x1 - bend)} ${n(bore.y)} ${n(x1)} ${n(bore.y)}`;
}

/** @param {Engine} engine @param {number} cylinder */
function positionOf(engine, cylinder) {
  return engine.coils.findIndex((fired) => fired.includes(cylinder)) + 1;
}

/** @param {Bore[]} bores @param {number} cylinder */
function boreOf(bores, cylinder) {
  return /** @type {Bore} */ (bores.find((bore) => bore.cylinder === cylinder));
}

/** @param {number[]} values */
function mean(values) {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

/** @param {number} value */
function n(value) {
  return Math.round(value * 10) / 10;
}
