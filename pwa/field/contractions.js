/**
 * The arithmetic of the core's contractions (`core/contractions.py`) for the phone: the same numbers, bit for bit, as
 * its plain machine, sooner. No rule of the trade is here, only sums of products over arrays.
 *
 * The runtime hands numbers over by their address in its memory.
 */

const [GIVEN, TIMES, PLUS, MIX] = [0, 1, 2, 3]; // and PICK, 4

/**
 * @typedef {{kind: number, first: number, second: number, share: number, rows: number[]}} Step  `rows`: of MIX, how many each group has
 * @typedef {{size: number, firstStep: number, secondStep: number}} Loop
 * @typedef {{out: Loop[], swapped: boolean, last: Loop, sums: number, inner: Loop, sumFirst: Int32Array, sumSecond: Int32Array}} Way
 */

const NO_LOOP = { size: 1, firstStep: 0, secondStep: 0 };

/** See `core/plan.py`: a plan's arrays, worked out as often as what was given changes. */
export class Machine {
  /** @param {Float64Array} plan  as `written` in PYTHON puts it down */
  constructor(plan) {
    let at = 0;
    const next = () => plan[at++];
    const list = (/** @type {number} */ length) => {
      const found = [];
      for (let k = 0; k < length; k++) found.push(next());
      return found;
    };
    this.sizes = list(next());
    const count = next();
    /** @type {number[][]} */
    this.axes = [];
    /** @type {Step[]} */
    this.steps = [];
    /** @type {boolean[]} */
    this.sloped = [];
    for (let array = 0; array < count; array++) {
      this.axes.push(list(next()));
      const kind = next();
      const first = next();
      const second = kind === TIMES || kind === PLUS ? next() : first;
      const step = { kind, first, second, share: kind === PLUS ? next() : 1, rows: kind >= MIX ? list(next()) : [] };
      this.steps.push(step);
      this.sloped.push(kind === GIVEN ? first === 1 : sources(step).some((source) => this.sloped[source]));
    }
    this.lengths = this.axes.map((axes) => axes.reduce((length, axis) => length * this.sizes[axis], 1));
    /** @type {(Float64Array | undefined)[]} */
    this.values = this.steps.map(({ kind }, array) => (kind === GIVEN ? new Float64Array(this.lengths[array]) : undefined));
    this.stale = this.axes.map(() => true);
    this.passing = this.#passing();
    /** @type {Map<number, Float64Array[]>} arrays let go, by length */
    this.spare = new Map();
    /** @type {(Float64Array | undefined)[]} */
    this.slopes = [];
    /** @type {Map<string, Way>} */
    this.ways = new Map();
  }

  /**
   * @param {number} array
   * @param {Float64Array} numbers
   */
  give(array, numbers) {
    const held = this.#held(array);
    if (numbers.every((value, k) => value === held[k])) return;
    held.set(numbers);
    this.stale[array] = true;
  }

  total() {
    const { axes, values } = this;
    for (const result of this.#toDo()) {
      const step = this.steps[result];
      const one = this.#held(step.first);
      const made = (values[result] ??= this.#room(this.lengths[result]));
      if (step.kind === TIMES) this.#multiply(made, axes[result], one, axes[step.first], this.#held(step.second), axes[step.second]);
      else if (step.kind === PLUS) add(made, one, this.#held(step.second), step.share);
      else if (step.kind === MIX) mix(made, groupSums(one, step.rows));
      else pick(made, one, step.rows);
      for (const source of sources(step)) if (this.passing[source]) values[source] = this.#letGo(values[source]);
    }
    this.stale.fill(false);
    return this.#held(values.length - 1)[0];
  }

  findSlopes() {
    const { axes, values } = this;
    for (const slope of this.slopes) this.#letGo(slope);
    /** @type {(Float64Array | undefined)[]} */
    const found = values.map(() => undefined);
    found[values.length - 1] = Float64Array.of(1);
    for (let result = values.length - 1; result >= 0; result--) {
      const step = this.steps[result];
      const { kind, first, second, share } = step;
      const slope = found[result];
      if (kind === GIVEN || !slope || !this.sloped[result]) continue;
      for (const [one, other, times] of kind >= MIX ? [[first, first, 1]] : [[first, second, 1], [second, first, share]]) {
        if (!this.sloped[one]) continue;
        let more = slope;
        if (kind !== PLUS) more = this.#room(this.lengths[one]);
        if (kind === TIMES) this.#multiply(more, axes[one], slope, axes[result], this.#held(other), axes[other]);
        else if (kind === MIX) unmix(more, slope, groupSums(this.#held(one), step.rows), step.rows);
        else if (kind !== PLUS) putBack(more, slope, step.rows);
        const held = found[one];
        if (held) add(held, held, more, kind === PLUS ? times : 1);
        else if (kind === PLUS) scale((found[one] = this.#room(more.length)), more, times);
        else found[one] = more;
        if (held && kind !== PLUS) this.#letGo(more);
      }
      found[result] = this.#letGo(slope);
    }
    this.slopes = found;
  }

  /** @param {number} array */
  slope(array) {
    return this.slopes[array] ?? new Float64Array(this.lengths[array]);
  }

  /** @param {number} array */
  #held(array) {
    const values = this.values[array];
    if (!values) throw new Error(`Array ${array} was let go.`);
    return values;
  }

  /** @param {number} length */
  #room(length) {
    return this.spare.get(length)?.pop() ?? new Float64Array(length);
  }

  /**
   * @param {Float64Array | undefined} values
   * @returns {undefined}
   */
  #letGo(values) {
    if (!values) return;
    const spare = this.spare.get(values.length);
    if (spare) spare.push(values);
    else this.spare.set(values.length, [values]);
  }

  /** Of each array, whether it may be let go once it was used: one step uses it, and no slope needs it. */
  #passing() {
    const uses = this.steps.map(() => 0);
    const needed = this.steps.map(() => false);
    for (const step of this.steps) {
      for (const source of sources(step)) uses[source]++;
      const { kind, first, second } = step;
      if (kind === MIX) needed[first] ||= this.sloped[first];
      if (kind !== TIMES) continue;
      needed[first] ||= this.sloped[second];
      needed[second] ||= this.sloped[first];
    }
    return this.steps.map(({ kind }, array) => kind !== GIVEN && uses[array] === 1 && !needed[array]);
  }

  /** The steps to take anew: those that depend on what is stale, and what they use that was let go. */
  #toDo() {
    const anew = [...this.stale];
    this.steps.forEach((step, result) => {
      for (const source of sources(step)) anew[result] ||= anew[source];
    });
    for (let result = this.steps.length - 1; result >= 0; result--) {
      if (anew[result]) for (const source of sources(this.steps[result])) anew[source] ||= !this.values[source];
    }
    return this.steps.flatMap(({ kind }, result) => (kind !== GIVEN && anew[result] ? [result] : []));
  }

  /**
   * @param {Float64Array} result
   * @param {number[]} axes
   * @param {Float64Array} first
   * @param {number[]} firstAxes
   * @param {Float64Array} second
   * @param {number[]} secondAxes
   */
  #multiply(result, axes, first, firstAxes, second, secondAxes) {
    const key = `${axes}|${firstAxes}|${secondAxes}`;
    let way = this.ways.get(key);
    if (!way) this.ways.set(key, (way = this.#way(axes, firstAxes, secondAxes)));
    const { out, last } = way;
    if (way.swapped) [first, second] = [second, first];
    const outAt = new Array(out.length).fill(0);
    let from = 0;
    let and = 0;
    for (let at = 0; at < result.length; at += last.size) {
      if (last.size < way.inner.size) addDots(result, at, first, from, second, and, way);
      else addRow(result, at, first, from, second, and, way);
      for (let k = outAt.length - 1; k >= 0; k--) {
        const loop = out[k];
        from += loop.firstStep;
        and += loop.secondStep;
        if (++outAt[k] < loop.size) break;
        from -= loop.firstStep * loop.size;
        and -= loop.secondStep * loop.size;
        outAt[k] = 0;
      }
    }
  }

  /**
   * How to run through two arrays for their product: loops over the result's axes, the last of them apart, and over
   * those summed away, the `inner` of them apart and where the others read written down.
   *
   * @param {number[]} axes
   * @param {number[]} firstAxes
   * @param {number[]} secondAxes
   * @returns {Way}
   */
  #way(axes, firstAxes, secondAxes) {
    const firstSteps = this.#strides(firstAxes);
    const secondSteps = this.#strides(secondAxes);
    const summed = [...firstAxes, ...secondAxes.filter((axis) => !firstAxes.includes(axis))].filter((axis) => !axes.includes(axis));
    const loop = (/** @type {number} */ axis) => ({ size: this.sizes[axis], firstStep: firstSteps.get(axis) ?? 0, secondStep: secondSteps.get(axis) ?? 0 });
    const out = together(axes.map(loop));
    const sums = together(summed.map(loop));
    // Which of the two comes first makes no difference to their product: let it be the one that stays where it is.
    const swapped = out.length > 0 && out[out.length - 1].secondStep === 0;
    if (swapped) for (const of of [...out, ...sums]) [of.firstStep, of.secondStep] = [of.secondStep, of.firstStep];
    const last = out.pop() ?? NO_LOOP;
    const inner = sums[sums.length - 1] ?? NO_LOOP;
    if (last.size < inner.size) sums.pop();
    const offsets = (/** @type {'firstStep' | 'secondStep'} */ step) =>
      Int32Array.from(sums.reduce((found, of) => found.flatMap((offset) => Array.from({ length: of.size }, (_, k) => offset + k * of[step])), [0]));
    return { out, swapped, last, inner, sums: summed.length, sumFirst: offsets('firstStep'), sumSecond: offsets('secondStep') };
  }

  /** @param {number[]} axes */
  #strides(axes) {
    const found = new Map();
    let stride = 1;
    for (const axis of [...axes].reverse()) {
      found.set(axis, stride);
      stride *= this.sizes[axis];
    }
    return found;
  }
}

/** The arrays that a step uses. @param {Step} step */
function sources({ kind, first, second }) {
  if (kind === GIVEN) return [];
  return kind === TIMES || kind === PLUS ? [first, second] : [first];
}

/**
 * Loops that run on where the next one begins, put together.
 *
 * @param {Loop[]} loops
 */
function together(loops) {
  /** @type {Loop[]} */
  const found = [];
  for (const loop of loops) {
    if (loop.size === 1) continue;
    const before = found[found.length - 1];
    if (before && before.firstStep === loop.firstStep * loop.size && before.secondStep === loop.secondStep * loop.size) {
      found[found.length - 1] = { ...loop, size: before.size * loop.size };
    } else found.push(loop);
  }
  return found;
}

/**
 * One run along the last axis of the result: the sum, in order, of the products; two of them at a time where that can be.
 *
 * @param {Float64Array} result
 * @param {number} at
 * @param {Float64Array} first
 * @param {number} from
 * @param {Float64Array} second
 * @param {number} and
 * @param {Way} way
 */
function addRow(result, at, first, from, second, and, { last, sums, sumFirst, sumSecond }) {
  const { size, firstStep, secondStep } = last;
  if (sums === 0) {
    for (let k = 0; k < size; k++) result[at + k] = first[from + k * firstStep] * second[and + k * secondStep];
    return;
  }
  for (let k = 0; k < size; k++) result[at + k] = 0;
  const count = sumFirst.length;
  for (let sum = 0; sum < count; sum++) {
    const i = from + sumFirst[sum];
    const j = and + sumSecond[sum];
    if (firstStep === 0 && first[i] === 0) continue;
    const two = sum + 1 < count;
    if (firstStep === 1 && secondStep === 1 && two) addVectors(result, at, size, first, i, from + sumFirst[sum + 1], second, j, and + sumSecond[++sum]);
    else if (firstStep === 0 && secondStep === 1 && two) addScaled(result, at, size, first[i], first[from + sumFirst[sum + 1]], second, j, and + sumSecond[++sum]);
    else for (let k = 0; k < size; k++) result[at + k] += first[i + k * firstStep] * second[j + k * secondStep];
  }
}

/**
 * @param {Float64Array} result
 * @param {number} at
 * @param {number} size
 * @param {Float64Array} first
 * @param {number} i
 * @param {number} i2
 * @param {Float64Array} second
 * @param {number} j
 * @param {number} j2
 */
function addVectors(result, at, size, first, i, i2, second, j, j2) {
  for (let k = 0; k < size; k++) result[at + k] = result[at + k] + first[i + k] * second[j + k] + first[i2 + k] * second[j2 + k];
}

/**
 * @param {Float64Array} result
 * @param {number} at
 * @param {number} size
 * @param {number} one
 * @param {number} other
 * @param {Float64Array} second
 * @param {number} j
 * @param {number} j2
 */
function addScaled(result, at, size, one, other, second, j, j2) {
  for (let k = 0; k < size; k++) result[at + k] = result[at + k] + one * second[j + k] + other * second[j2 + k];
}

/**
 * The same for a short run of long sums: one number after the other.
 *
 * @param {Float64Array} result
 * @param {number} at
 * @param {Float64Array} first
 * @param {number} from
 * @param {Float64Array} second
 * @param {number} and
 * @param {Way} way
 */
function addDots(result, at, first, from, second, and, { last, inner, sumFirst, sumSecond }) {
  const { size, firstStep, secondStep } = inner;
  for (let k = 0; k < last.size; k++) {
    let total = 0;
    for (let sum = 0; sum < sumFirst.length; sum++) {
      const i = from + k * last.firstStep + sumFirst[sum];
      const j = and + k * last.secondStep + sumSecond[sum];
      if (firstStep === 1 && secondStep === 1) for (let m = 0; m < size; m++) total += first[i + m] * second[j + m];
      else for (let m = 0; m < size; m++) total += first[i + m * firstStep] * second[j + m * secondStep];
    }
    result[at + k] = total;
  }
}

/** @param {Float64Array} made @param {Float64Array} one @param {Float64Array} other @param {number} share */
function add(made, one, other, share) {
  for (let k = 0; k < made.length; k++) made[k] = one[k] + share * other[k];
}

/** @param {Float64Array} made @param {Float64Array} one @param {number} share */
function scale(made, one, share) {
  for (let k = 0; k < made.length; k++) made[k] = share * one[k];
}

/** @param {Float64Array} made @param {Float64Array[]} sums */
function mix(made, sums) {
  made.set(sums[0]);
  for (const row of sums.slice(1)) for (let k = 0; k < made.length; k++) made[k] *= row[k];
}

/** @param {Float64Array} made @param {Float64Array} slope @param {Float64Array[]} sums @param {number[]} counts */
function unmix(made, slope, sums, counts) {
  const before = slope.slice();
  let at = 0;
  sums.forEach((sum, group) => {
    const others = made.subarray(at, at + slope.length);
    others.set(before);
    for (const row of sums.slice(group + 1)) for (let k = 0; k < slope.length; k++) others[k] *= row[k];
    for (let copy = 1; copy < counts[group]; copy++) made.copyWithin(at + copy * slope.length, at, at + slope.length);
    at += counts[group] * slope.length;
    for (let k = 0; k < slope.length; k++) before[k] *= sum[k];
  });
}

/** @param {Float64Array} array @param {number[]} counts */
function groupSums(array, counts) {
  const size = array.length / counts.reduce((sum, count) => sum + count, 0);
  let at = 0;
  return counts.map((count) => {
    const sum = array.slice(at, at + size);
    for (let row = 1; row < count; row++) for (let k = 0; k < size; k++) sum[k] += array[at + row * size + k];
    at += count * size;
    return sum;
  });
}

/** @param {Float64Array} made @param {Float64Array} one @param {number[]} rows */
function pick(made, one, rows) {
  const size = made.length / rows.length;
  rows.forEach((row, k) => {
    if (row < 0) made.fill(0, k * size, (k + 1) * size);
    else made.set(one.subarray(row * size, (row + 1) * size), k * size);
  });
}

/** @param {Float64Array} made @param {Float64Array} slope @param {number[]} rows */
function putBack(made, slope, rows) {
  const size = slope.length / rows.length;
  made.fill(0);
  rows.forEach((row, k) => {
    if (row >= 0) for (let j = 0; j < size; j++) made[row * size + j] += slope[k * size + j];
  });
}

/** The core's side of it: a machine that hands its numbers over. */
export const PYTHON = `
from array import array
from uctypes import addressof
import phone_machines
from coiltrail.core import contractions
from coiltrail.core.plan import MIX

class _Machine:
    def __init__(self, plan):
        self.plan = plan
        written = _written(plan)
        self.number = phone_machines.build(addressof(written), len(written))
        self.given = []

    def give(self, which, numbers):
        self.given.append(which)
        self.given.append(len(numbers))
        self.given.extend(numbers)

    def total(self):
        row = array("d", self.given)
        phone_machines.give(self.number, addressof(row), len(row))
        self.given = []
        held = array("d", [0.0])
        phone_machines.total(self.number, addressof(held))
        return held[0]

    def find_slopes(self):
        phone_machines.findSlopes(self.number)

    def slope(self, which):
        held = array("d", [0.0] * self.plan.size(which))
        phone_machines.slope(self.number, which, addressof(held))
        return list(held)

def _written(plan):
    row = [len(plan.sizes)] + plan.sizes + [len(plan.steps)]
    for axes, step in zip(plan.axes, plan.steps):
        row.append(len(axes))
        row.extend(axes)
        if step[0] < MIX:
            row.extend(step)
        else:
            row.extend((step[0], step[1], len(step[2])))
            row.extend(step[2])
    return array("d", row)

contractions.use(_Machine)
`;

/**
 * What the core's side calls, by the addresses of its numbers.
 *
 * @param {{getValue(address: number, type: string): number, setValue(address: number, value: number, type: string): void}} memory
 */
export function machines(memory) {
  const read = (/** @type {number} */ address, /** @type {number} */ length) => {
    const numbers = new Float64Array(length);
    for (let k = 0; k < length; k++) numbers[k] = memory.getValue(address + 8 * k, 'double');
    return numbers;
  };
  const write = (/** @type {number} */ address, /** @type {ArrayLike<number>} */ numbers) => {
    for (let k = 0; k < numbers.length; k++) memory.setValue(address + 8 * k, numbers[k], 'double');
  };
  /** @type {Map<number, Machine>} */
  const built = new Map();
  const the = (/** @type {number} */ number) => {
    const machine = built.get(number);
    if (!machine) throw new Error('This machine has been given up.');
    return machine;
  };
  let last = 0;
  return {
    build(/** @type {number} */ address, /** @type {number} */ length) {
      built.set(++last, new Machine(read(address, length)));
      return last;
    },
    give(/** @type {number} */ number, /** @type {number} */ address, /** @type {number} */ length) {
      const row = read(address, length);
      for (let at = 0; at < row.length; at += 2 + row[at + 1]) the(number).give(row[at], row.subarray(at + 2, at + 2 + row[at + 1]));
    },
    total: (/** @type {number} */ number, /** @type {number} */ address) => write(address, [the(number).total()]),
    findSlopes: (/** @type {number} */ number) => the(number).findSlopes(),
    slope: (/** @type {number} */ number, /** @type {number} */ array, /** @type {number} */ address) => write(address, the(number).slope(array)),
    /** A question has been answered: its machines are not asked again. */
    clear: () => built.clear(),
  };
}
