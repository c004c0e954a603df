"""The core's contractions worked out with numpy: the same numbers, bit for bit, as its plain machine, sooner."""

from collections.abc import Sequence

import numpy

from .core import contractions
from .core.contractions import GIVEN, TIMES, Plan


class FastMachine:
    """See ``core.contractions.Machine``."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.shapes = [tuple(plan.sizes[axis] for axis in axes) for axes in plan.axes]
        self.given: list[list[float] | None] = [None] * len(plan.steps)
        self.values: list[numpy.ndarray | None] = [None] * len(plan.steps)
        self.stale = [True] * len(plan.steps)
        self.sloped = contractions.sloped(plan)
        self.passing = contractions.passing(plan, self.sloped)
        self.slopes: list[numpy.ndarray | None] = []

    def give(self, array: int, numbers: Sequence[float]) -> None:
        """The numbers of a given array."""
        if self.given[array] != numbers:
            self.given[array] = list(numbers)
            self.values[array] = numpy.array(numbers, float).reshape(self.shapes[array])
            self.stale[array] = True

    def total(self) -> float:
        """The number that the plan ends with."""
        values, axes = self.values, self.plan.axes
        for result in contractions.to_do(self.plan, self.stale, [value is None for value in values]):
            step = self.plan.steps[result]
            first, second = step[1:3]
            if step[0] == TIMES:
                values[result] = self._summed(values[first], axes[first], values[second], axes[second], axes[result])
            else:
                values[result] = values[first] + step[3] * values[second]
            for array in (first, second):
                if self.passing[array]:
                    values[array] = None
        self.stale = [False] * len(values)
        return float(values[-1])

    def find_slopes(self) -> None:
        """Work out how the total, asked for before, changes with what was given."""
        axes = self.plan.axes
        found: list[numpy.ndarray | None] = [None] * len(self.values)
        found[-1] = numpy.ones(())
        for result in range(len(found) - 1, -1, -1):
            step, slope = self.plan.steps[result], found[result]
            if step[0] == GIVEN or slope is None or not self.sloped[result]:
                continue
            for one, other, share in ((step[1], step[2], 1.0), (step[2], step[1], step[-1])):
                if not self.sloped[one]:
                    continue
                if step[0] == TIMES:
                    more = self._summed(slope, axes[result], self.values[other], axes[other], axes[one])
                else:
                    more = share * slope
                found[one] = more if found[one] is None else found[one] + more
            found[result] = None  # nobody asks for it again, and it may be large
        self.slopes = found

    def slope(self, array: int) -> list[float]:
        """The slope in each number of a given array."""
        slope = self.slopes[array]
        return [0.0] * self.plan.size(array) if slope is None else slope.ravel().tolist()

    def _summed(self, first, first_axes, second, second_axes, axes) -> numpy.ndarray:
        summed = [axis for axis in first_axes if axis not in axes]
        summed += [axis for axis in second_axes if axis not in axes and axis not in first_axes]
        run = (*summed, *axes)
        terms = _spread(first, first_axes, run) * _spread(second, second_axes, run)
        shape = tuple(self.plan.sizes[axis] for axis in axes)
        if not summed:
            return numpy.broadcast_to(terms, shape)
        terms = numpy.broadcast_to(terms, [*terms.shape[: len(summed)], *shape])
        # Added one after the other, as the plain machine does: numpy pairs up what lies side by side.
        terms = numpy.ascontiguousarray(terms).reshape(-1, *shape)
        if terms[0].size == 1:
            return numpy.add.accumulate(terms.ravel())[-1].reshape(shape)
        return numpy.add.reduce(terms, axis=0)


def _spread(values: numpy.ndarray, axes: tuple[int, ...], run: tuple[int, ...]) -> numpy.ndarray:
    """The array with its axes in the order of ``run``, of length 1 where it lacks one."""
    moved = values.transpose([axes.index(axis) for axis in run if axis in axes])
    shape = iter(moved.shape)
    return moved.reshape([next(shape) if axis in axes else 1 for axis in run])
