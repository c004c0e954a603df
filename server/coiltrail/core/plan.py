"""Sums of products over named axes, planned: what is to be worked out, and what of it depends on what.

A *plan* lists arrays: those that are given, and steps that make one of others: a product of two summed over the axes
that the result lacks, a sum, a product over groups of rows, a choice of rows. ``contractions`` does the arithmetic.
"""

GIVEN, TIMES, PLUS, MIX, PICK = 0, 1, 2, 3, 4


class Plan:
    """``sizes``: length of each axis. ``axes``: of each array, its axes in order, the last changing fastest.

    ``steps``: of each array how it comes about: ``(GIVEN, sloped)``, ``(TIMES, first, second)``,
    ``(PLUS, first, second, share)``, the first plus ``share`` times the second, ``(MIX, first, counts)`` or
    ``(PICK, first, rows)``. ``sloped``: whether slopes are wanted.
    """

    def __init__(self):
        self.sizes = []
        self.axes = []
        self.steps = []
        self.lengths = []  # of each array, how many numbers it has
        self._products = {}  # so that the same product is planned once

    def axis(self, size):
        """A new axis of that length."""
        self.sizes.append(size)
        return len(self.sizes) - 1

    def given(self, axes, sloped=False):
        """A new array whose numbers will be given."""
        return self._array(axes, (GIVEN, sloped))

    def times(self, first, second, axes):
        """The product of two arrays, summed over those of their axes that are not in ``axes``."""
        axes = tuple(axes)
        same = (first, second, axes)
        if same not in self._products:
            self._products[same] = self._array(axes, (TIMES, first, second))
        return self._products[same]

    def plus(self, first, second, share=1.0):
        """The first plus ``share`` times the second; both have the same axes."""
        return self._array(self.axes[first], (PLUS, first, second, share))

    def mixed(self, first, counts):
        """The product over groups of rows, along the first axis, of the sums within each; ``counts``: rows of each."""
        return self._array(self.axes[first][1:], (MIX, first, tuple(counts)))

    def picked(self, first, rows, axes):
        """Rows of the first, one after the other, -1 for one of nought. A row has as many numbers as ``axes`` after the
        first one ask for; with one row alone, as all of them do."""
        return self._array(axes, (PICK, first, tuple(rows)))

    def size(self, array):
        """How many numbers an array has."""
        return self.lengths[array]

    def _array(self, axes, step):
        length = 1
        for axis in axes:
            length *= self.sizes[axis]
        self.lengths.append(length)
        self.axes.append(tuple(axes))
        self.steps.append(step)
        return len(self.steps) - 1


def sources(step):
    """The arrays that a step uses."""
    return step[1:3] if step[0] in (TIMES, PLUS) else step[1:2] if step[0] != GIVEN else ()


def product(numbers):
    """Their product; 1 of none."""
    total = 1
    for number in numbers:
        total *= number
    return total


def passing(plan, wanted):
    """Of each array, whether it may be let go once it was used: one step uses it, and no slope needs it.

    ``wanted``: see ``sloped``.
    """
    uses, needed = [0] * len(plan.steps), [False] * len(plan.steps)
    for step in plan.steps:
        for one in sources(step):
            uses[one] += 1
            needed[one] = needed[one] or (step[0] == MIX and wanted[one])
        if step[0] == TIMES:
            for one, other in ((step[1], step[2]), (step[2], step[1])):
                needed[one] = needed[one] or wanted[other]
    return [
        step[0] != GIVEN and count == 1 and not slopes_need
        for step, count, slopes_need in zip(plan.steps, uses, needed)
    ]


def to_do(plan, stale, lacking):
    """The steps to take anew: those that depend on what is ``stale``, and what they use that is ``lacking``."""
    steps, anew = plan.steps, list(stale)
    for result, step in enumerate(steps):
        for array in sources(step):
            anew[result] = anew[result] or anew[array]
    for result in range(len(steps) - 1, -1, -1):
        step = steps[result]
        for array in sources(step) if anew[result] else ():
            anew[array] = anew[array] or lacking[array]
    return [result for result, step in enumerate(steps) if step[0] != GIVEN and anew[result]]


def sloped(plan):
    """Of each array, whether its slope is needed for one that is wanted."""
    found = []
    for step in plan.steps:
        found.append(step[1] if step[0] == GIVEN else any([found[array] for array in sources(step)]))
    return found
