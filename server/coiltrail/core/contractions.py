"""The arithmetic of a plan, worked out as often as its numbers change.

A *machine* does the arithmetic of one ``plan``; a change of some given arrays redoes only the steps that depend on
them, and one pass backwards gives the slope of a result in every given array.

The machine here is plain Python. Where the runtime offers a faster one, ``use`` takes it. Every machine multiplies and
adds in the same order, so that all give the same bits: the sum over the missing axes runs through them in
the order in which they stand in the first array and then in the second.
"""

from .plan import GIVEN, MIX, PICK, PLUS, TIMES, passing, product, sloped, sources, to_do


class Machine:
    """The arithmetic of a plan in plain Python.

    ``give`` the numbers of every given array, then ask for the ``total``: the one number of the plan's last array.
    ``find_slopes`` then works out how it changes with each given array that wants it, ``slope`` tells one of them.
    A machine that keeps arrays in a form of its own says how they are ``taken`` and ``told``, and does the arithmetic.
    """

    def __init__(self, plan):
        self.plan = plan
        self.given = [None] * len(plan.steps)
        self.values = [None] * len(plan.steps)
        self.stale = [True] * len(plan.steps)
        self.sloped = sloped(plan)
        self.passing = passing(plan, self.sloped)
        self.slopes = []
        self._ways = {}

    def give(self, array, numbers):
        """The numbers of a given array, as a list."""
        if self.given[array] != numbers:
            self.given[array] = numbers
            self.values[array] = self.taken(numbers, self.plan.axes[array])
            self.stale[array] = True

    def total(self):
        """The number that the plan ends with."""
        values, axes = self.values, self.plan.axes
        for result in to_do(self.plan, self.stale, [value is None for value in values]):
            step = self.plan.steps[result]
            first, second = step[1:3]
            if step[0] == TIMES:
                values[result] = self.summed(values[first], axes[first], values[second], axes[second], axes[result])
            elif step[0] == PLUS:
                values[result] = self.plus(values[first], values[second], step[3])
            elif step[0] == MIX:
                values[result] = self.mixed(values[first], second)
            else:
                values[result] = self.picked(values[first], second, axes[result])
            for array in sources(step):
                if self.passing[array]:
                    values[array] = None
        self.stale = [False] * len(values)
        return self.told(values[-1])[0]

    def find_slopes(self):
        """Work out how the total, asked for before, changes with what was given."""
        axes = self.plan.axes
        found = [None] * len(self.values)
        found[-1] = self.taken([1.0], ())
        for result in range(len(found) - 1, -1, -1):
            step, slope = self.plan.steps[result], found[result]
            if step[0] == GIVEN or slope is None or not self.sloped[result]:
                continue
            for one, other, share in self._ways_back(step):
                if not self.sloped[one]:
                    continue
                if step[0] == TIMES:
                    more = self.summed(slope, axes[result], self.values[other], axes[other], axes[one])
                elif step[0] == MIX:
                    more = self.unmixed(slope, self.values[one], other)
                elif step[0] == PICK:
                    more = self.put_back(slope, other, axes[one])
                else:
                    more = slope
                found[one] = self.plus(found[one], more, share)
            found[result] = None  # nobody asks for it again, and it may be large
        self.slopes = found

    def _ways_back(self, step):
        """What a step used, as (array, what it was used with, share)."""
        if step[0] in (MIX, PICK):
            return ((step[1], step[2], 1.0),)
        return ((step[1], step[2], 1.0), (step[2], step[1], step[3] if step[0] == PLUS else 1.0))

    def slope(self, array):
        """The slope in each number of a given array, as a list."""
        slope = self.slopes[array]
        return [0.0] * self.plan.size(array) if slope is None else self.told(slope)

    # The arithmetic

    def taken(self, numbers, axes):
        """An array of a list of numbers."""
        return numbers

    def told(self, array):
        """The numbers of an array as a list."""
        return array

    def plus(self, first, second, share):
        """The first plus ``share`` times the second; the first may be None, for nothing."""
        if first is None:
            return [share * b for b in second]
        return [a + share * b for a, b in zip(first, second)]

    def summed(self, first, first_axes, second, second_axes, axes):
        """The product of two arrays, summed over those of their axes that are not in ``axes``."""
        key = (first_axes, second_axes, axes)
        if key not in self._ways:
            self._ways[key] = _way(self.plan, first_axes, second_axes, axes)
        (out_first, out_second), (in_first, in_second) = self._ways[key]
        if len(in_first) == 1:
            return [first[i] * second[j] for i, j in zip(out_first, out_second)]
        found = []
        for i, j in zip(out_first, out_second):
            total = 0.0
            for k, m in zip(in_first, in_second):
                total += first[i + k] * second[j + m]
            found.append(total)
        return found

    def mixed(self, array, counts):
        """See ``Plan.mixed``."""
        result = None
        for row in self._group_sums(array, counts):
            result = row if result is None else [a * b for a, b in zip(result, row)]
        return result

    def unmixed(self, slope, array, counts):
        """The slope in an array that was ``mixed``, given that in the result."""
        sums = self._group_sums(array, counts)
        found, before = [], slope
        for group, count in enumerate(counts):
            others = before
            for row in sums[group + 1 :]:
                others = [a * b for a, b in zip(others, row)]
            found += others * count
            before = [a * b for a, b in zip(before, sums[group])]
        return found

    def _group_sums(self, array, counts):
        size, at, sums = len(array) // sum(counts), 0, []
        for count in counts:
            row = array[at : at + size]
            for k in range(1, count):
                row = [a + b for a, b in zip(row, array[at + k * size : at + (k + 1) * size])]
            sums.append(row)
            at += count * size
        return sums

    def picked(self, array, rows, axes):
        """See ``Plan.picked``."""
        size = product([self.plan.sizes[axis] for axis in axes]) // len(rows)
        found = []
        for row in rows:
            found += array[row * size : (row + 1) * size] if row >= 0 else [0.0] * size
        return found

    def put_back(self, slope, rows, axes):
        """The slope in an array that was ``picked`` from, given that in the result."""
        size = len(slope) // len(rows)
        found = [0.0] * product([self.plan.sizes[axis] for axis in axes])
        for k, row in enumerate(rows):
            for j in range(size) if row >= 0 else ():
                found[row * size + j] += slope[k * size + j]
        return found


def summed_axes(first_axes, second_axes, axes):
    """The axes that a product is summed over, in the order in which the sum runs through them."""
    found = [axis for axis in first_axes if axis not in axes]
    return found + [axis for axis in second_axes if axis not in axes and axis not in first_axes]


def _way(plan, first_axes, second_axes, axes):
    """Where two arrays are read for each number of the result, and for each that is summed into it: pairs of lists."""
    runs = (axes, summed_axes(first_axes, second_axes, axes))
    return [[_offsets(plan, run, first_axes), _offsets(plan, run, second_axes)] for run in runs]


def _offsets(plan, run, axes):
    strides, stride = {}, 1
    for axis in reversed(axes):
        strides[axis] = stride
        stride *= plan.sizes[axis]
    found = [0]
    for axis in run:
        step = strides.get(axis, 0)
        found = [offset + step * k for offset in found for k in range(plan.sizes[axis])]
    return found


_made_by = [Machine]


def use(machine):
    """Let ``machine`` (a class or function called with the plan) do the arithmetic from now on."""
    _made_by[0] = machine


def machine(plan):
    """A machine for that plan."""
    return _made_by[0](plan)
