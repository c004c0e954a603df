"""The core's contractions worked out with numpy: the same numbers, bit for bit, as its plain machine, sooner."""

import math
from collections.abc import Sequence
from functools import reduce
from itertools import islice

import numpy

from .core.contractions import Machine, summed_axes

Axes = tuple[int, ...]


class FastMachine(Machine):
    """See ``core.contractions.Machine``."""

    def taken(self, numbers: Sequence[float], axes: Axes) -> numpy.ndarray:
        return numpy.array(numbers, float).reshape(self._shape(axes))

    def told(self, array: numpy.ndarray) -> list[float]:
        return array.ravel().tolist()

    def plus(self, first: numpy.ndarray | None, second: numpy.ndarray, share: float) -> numpy.ndarray:
        return share * second if first is None else first + share * second

    def summed(
        self, first: numpy.ndarray, first_axes: Axes, second: numpy.ndarray, second_axes: Axes, axes: Axes
    ) -> numpy.ndarray:
        summed = summed_axes(first_axes, second_axes, axes)
        run = (*summed, *axes)
        terms = _spread(first, first_axes, run) * _spread(second, second_axes, run)
        shape = self._shape(axes)
        if not summed:
            return numpy.broadcast_to(terms, shape)
        terms = numpy.broadcast_to(terms, [*terms.shape[: len(summed)], *shape])
        # Added one after the other, as the plain machine does: numpy pairs up what lies side by side.
        terms = numpy.ascontiguousarray(terms).reshape(-1, *shape)
        if terms[0].size == 1:
            return numpy.add.accumulate(terms.ravel())[-1].reshape(shape)
        return numpy.add.reduce(terms, axis=0)

    def mixed(self, array: numpy.ndarray, counts: Sequence[int]) -> numpy.ndarray:
        return reduce(numpy.multiply, self._group_sums(array, counts))

    def unmixed(self, slope: numpy.ndarray, array: numpy.ndarray, counts: Sequence[int]) -> numpy.ndarray:
        sums = self._group_sums(array, counts)
        before = slope
        found = []
        for group, count in enumerate(counts):
            others = before
            for row in sums[group + 1 :]:
                others = others * row
            found += [others] * count
            before = before * sums[group]
        return numpy.stack(found)

    def _group_sums(self, array: numpy.ndarray, counts: Sequence[int]) -> list[numpy.ndarray]:
        rows = iter(array)
        return [reduce(numpy.add, islice(rows, count)) for count in counts]

    def picked(self, array: numpy.ndarray, rows: Sequence[int], axes: Axes) -> numpy.ndarray:
        shape = self._shape(axes)
        blocks = array.reshape(-1, math.prod(shape) // len(rows))
        found = blocks[list(rows)]
        found[[row < 0 for row in rows]] = 0.0
        return found.reshape(shape)

    def put_back(self, slope: numpy.ndarray, rows: Sequence[int], axes: Axes) -> numpy.ndarray:
        shape = self._shape(axes)
        pieces = slope.reshape(len(rows), -1)
        found = numpy.zeros((math.prod(shape) // pieces.shape[1], pieces.shape[1]))
        for row, piece in zip(rows, pieces, strict=True):
            if row >= 0:
                found[row] += piece
        return found.reshape(shape)

    def _shape(self, axes: Axes) -> tuple[int, ...]:
        return tuple(self.plan.sizes[axis] for axis in axes)


def _spread(values: numpy.ndarray, axes: Axes, run: Axes) -> numpy.ndarray:
    """The array with its axes in the order of ``run``, of length 1 where it lacks one."""
    moved = values.transpose([axes.index(axis) for axis in run if axis in axes])
    shape = iter(moved.shape)
    return moved.reshape([next(shape) if axis in axes else 1 for axis in run])
