/**
 * The arithmetic of the core's contractions (`core/contractions.py`) for the phone: the same numbers, bit for bit, as
 * its plain machine, sooner. No rule of the trade is here, only sums of products over arrays.
 *
 * The runtime hands numbers over by their address in its memory.
 */

const GIVEN = 0;
const TIMES = 1;

/**
 * @typedef {{kind: number, first: number, second: number, share: number}} Step
 * @typedef {{size: number, firstStep: number, secondStep: number}} Loop
 */

/** See `core/contractions.py`: a plan's arrays, worked out as often as what was given changes. */
export class Machine {
  /** @param {Float64Array} plan  as `written` in PYTHON puts it down */
  constructor(plan) {
    let at = 0;
    const list = (/** @type {number} */ length) => Array.from(plan.subarray(at, (at += length)));
    this.sizes = list(plan[at++]);
    const count = plan[at++];
    /** @type {number[][]} */
    this.axes = [];
    /** @type {Step[]} */
    this.steps = [];
    /** @type {boolean[]} */
    this.sloped = [];
    for (let array = 0; array < count; array++) {
      this.axes.push(list(plan[at++]));
      const [kind, first, second, share] = list(4);
      this.steps.push({ kind, first, second, share });
      this.sloped.push(kind === GIVEN ? first === 1 : this.sloped[first] || this.sloped[second]);
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
    /** @type {Map<string, {out: Loop[], summed: Loop[]}>} */
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
      const { kind, first, second, share } = this.steps[result];
      const [one, other] = [this.#held(first), this.#held(second)];
      const made = (values[result] ??= this.#room(result));
      if (kind === TIMES) this.#multiply(made, axes[result], one, axes[first], other, axes[second]);
      else one.forEach((value, k) => (made[k] = value + share * other[k]));
      this.#letGo(first);
      this.#letGo(second);
    }
    this.stale.fill(false);
    return this.#held(values.length - 1)[0];
  }

  findSlopes() {
    const { axes, values } = this;
    /** @type {(Float64Array | undefined)[]} */
    const found = values.map(() => undefined);
    found[values.length - 1] = Float64Array.of(1);
    for (let result = values.length - 1; result >= 0; result--) {
      const { kind, first, second, share } = this.steps[result];
      const slope = found[result];
      if (kind === GIVEN || !slope || !this.sloped[result]) continue;
      for (const [one, other, times] of [[first, second, 1], [second, first, share]]) {
        if (!this.sloped[one]) continue;
        /** @type {Float64Array} */
        let more;
        if (kind === TIMES) {
          more = new Float64Array(this.lengths[one]);
          this.#multiply(more, axes[one], slope, axes[result], this.#held(other), axes[other]);
        } else more = slope.map((value) => times * value);
        const held = found[one];
        found[one] = held ? held.map((value, k) => value + more[k]) : more;
      }
      found[result] = undefined;
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

  /** @param {number} array */
  #room(array) {
    return this.spare.get(this.lengths[array])?.pop() ?? new Float64Array(this.lengths[array]);
  }

  /** @param {number} array */
  #letGo(array) {
    const values = this.values[array];
    if (!this.passing[array] || !values) return;
    this.values[array] = undefined;
    const spare = this.spare.get(values.length);
    if (spare) spare.push(values);
    else this.spare.set(values.length, [values]);
  }

  /** Of each array, whether it may be let go once it was used: one step uses it, and no slope needs it. */
  #passing() {
    const uses = this.steps.map(() => 0);
    const needed = this.steps.map(() => false);
    for (const { kind, first, second } of this.steps) {
      if (kind === GIVEN) continue;
      for (const [one, other] of [[first, second], [second, first]]) {
        uses[one]++;
        needed[one] ||= kind === TIMES && this.sloped[other];
      }
    }
    return this.steps.map(({ kind }, array) => kind !== GIVEN && uses[array] === 1 && !needed[array]);
  }

  /** The steps to take anew: those that depend on what is stale, and what they use that was let go. */
  #toDo() {
    const anew = [...this.stale];
    this.steps.forEach(({ kind, first, second }, result) => {
      if (kind !== GIVEN) anew[result] ||= anew[first] || anew[second];
    });
    for (let result = this.steps.length - 1; result >= 0; result--) {
      const { kind, first, second } = this.steps[result];
      if (kind === GIVEN || !anew[result]) continue;
      for (const array of [first, second]) anew[array] ||= !this.values[array];
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
    const { out, summed } = way;
    const last = out[out.length - 1];
    const rows = result.length / last.size;
    const sums = summed.reduce((length, loop) => length * loop.size, 1);
    const outAt = new Array(out.length - 1).fill(0);
    let from = 0;
    let and = 0;
    for (let row = 0; row < rows; row++) {
      addRow(result, row * last.size, last, first, from, second, and, summed, sums);
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
   * How to run through two arrays for their product: loops over the result's axes, and over those summed away.
   *
   * @param {number[]} axes
   * @param {number[]} firstAxes
   * @param {number[]} secondAxes
   */
  #way(axes, firstAxes, secondAxes) {
    const firstSteps = this.#strides(firstAxes);
    const secondSteps = this.#strides(secondAxes);
    const summed = [...firstAxes, ...secondAxes.filter((axis) => !firstAxes.includes(axis))].filter((axis) => !axes.includes(axis));
    const loop = (/** @type {number} */ axis) => ({ size: this.sizes[axis], firstStep: firstSteps.get(axis) ?? 0, secondStep: secondSteps.get(axis) ?? 0 });
    const out = together(axes.map(loop));
    return { out: out.length ? out : [{ size: 1, firstStep: 0, secondStep: 0 }], summed: together(summed.map(loop)) };
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
 * One run along the last axis of the result: the sum, in order, of the products.
 *
 * @param {Float64Array} result
 * @param {number} at
 * @param {Loop} last
 * @param {Float64Array} first
 * @param {number} from
 * @param {Float64Array} second
 * @param {number} and
 * @param {Loop[]} summed
 * @param {number} sums
 */
function addRow(result, at, last, first, from, second, and, summed, sums) {
  const { size, firstStep, secondStep } = last;
  if (summed.length === 0) {
    for (let k = 0; k < size; k++) result[at + k] = first[from + k * firstStep] * second[and + k * secondStep];
    return;
  }
  result.fill(0, at, at + size);
  const counts = new Array(summed.length).fill(0);
  for (let sum = 0; sum < sums; sum++) {
    for (let k = 0; k < size; k++) result[at + k] += first[from + k * firstStep] * second[and + k * secondStep];
    for (let k = counts.length - 1; k >= 0; k--) {
      from += summed[k].firstStep;
      and += summed[k].secondStep;
      if (++counts[k] < summed[k].size) break;
      from -= summed[k].firstStep * summed[k].size;
      and -= summed[k].secondStep * summed[k].size;
      counts[k] = 0;
    }
  }
}

/** The core's side of it: a machine that hands its numbers over. */
export const PYTHON = `
from array import array
from uctypes import addressof
import phone_machines
from coiltrail.core import contractions

class _Machine:
    def __init__(self, plan):
        self.plan = plan
        written = _written(plan)
        self.number = phone_machines.build(addressof(written), len(written))
        self.given = {}

    def give(self, which, numbers):
        if self.given.get(which) != numbers:
            self.given[which] = numbers
            row = array("d", numbers)
            phone_machines.give(self.number, which, addressof(row), len(row))

    def total(self):
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
        row.extend(step)
        row.extend((0, 0, 0, 0)[len(step):])
    return array("d", row)

contractions.use(_Machine)
`;

/**
 * What the core's side calls, by the addresses of its numbers.
 *
 * @param {{getValue(address: number, type: string): number, setValue(address: number, value: number, type: string): void}} memory
 */
export function machines(memory) {
  const read = (/** @type {number} */ address, /** @type {number} */ length) =>
    Float64Array.from({ length }, (_, k) => memory.getValue(address + 8 * k, 'double'));
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
    give: (/** @type {number} */ number, /** @type {number} */ array, /** @type {number} */ address, /** @type {number} */ length) => the(number).give(array, read(address, length)),
    total: (/** @type {number} */ number, /** @type {number} */ address) => write(address, [the(number).total()]),
    findSlopes: (/** @type {number} */ number) => the(number).findSlopes(),
    slope: (/** @type {number} */ number, /** @type {number} */ array, /** @type {number} */ address) => write(address, the(number).slope(array)),
    /** A question has been answered: its machines are not asked again. */
    clear: () => built.clear(),
  };
}
