"""The measured cases are such as a phone records, and move the coils as their names say."""

import pytest

from coiltrail.bench import cases
from coiltrail.core import casefile, readings
from coiltrail.store import entry_check

SHAPES = list(cases.shapes())


@pytest.mark.parametrize("shape", SHAPES, ids=lambda shape: shape.name)
def test_every_entry_would_be_taken_and_speaks_to_the_diagnosis(shape):
    entries = shape.entries()
    assert len(entries) == cases.ENTRIES
    assert [entry_check.problem_of(entry) for entry in entries] == [None] * cases.ENTRIES
    case = casefile.fold(entries)
    assert len(case.of_kind("parts_moved")) == shape.swaps
    assert not case.trails.questions and not readings.contradictions(case)
    assert entries == shape.entries()


def coils_after(shape):
    """Where the coils sit in the end: the number on arrival of each, by place."""
    case = casefile.fold(shape.entries())
    trails = [case.trails.get(f"{case.case}.coil.{n}") for n in range(1, shape.cylinders + 1)]
    seats = {trail.place: n for n, trail in enumerate(trails, 1)}
    return [seats[f"coil.{n}"] for n in range(1, shape.cylinders + 1)]


@pytest.mark.parametrize(
    ("cylinders", "swaps", "shape", "coils"),
    [
        (6, 0, "", [1, 2, 3, 4, 5, 6]),
        (6, 3, "chain", [2, 3, 4, 1, 5, 6]),
        (4, 5, "chain", [3, 1, 4, 2]),  # around and on
        (6, 3, "ring", [1, 3, 2, 4, 5, 6]),
        (6, 3, "pairs", [2, 1, 4, 3, 6, 5]),
    ],
)
def test_coils_are_moved_as_the_shape_says(cylinders, swaps, shape, coils):
    assert coils_after(cases.Shape(cylinders, swaps, shape)) == coils


def test_all_that_is_possible_is_there_and_nothing_twice():
    assert len(set(SHAPES)) == len(SHAPES)
    assert {shape.cylinders for shape in SHAPES} == {4, 6, 8, 12}
    assert cases.Shape(12, 8, "chain") in SHAPES and cases.Shape(12, 8, "ring") in SHAPES
    assert cases.Shape(4, 3, "pairs") not in SHAPES and cases.Shape(6, 8, "ring") not in SHAPES
