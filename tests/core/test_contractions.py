"""Contractions against numpy's einsum, and their slopes against differences; both machines to the last bit."""

import random

import numpy
import pytest

from coiltrail.core.contractions import Machine
from coiltrail.core.plan import GIVEN, TIMES, Plan
from coiltrail.fast_contractions import FastMachine


def random_plan(seed: int) -> tuple[Plan, dict[int, list[float]]]:
    """A plan of random steps that ends in one number, and numbers for what is given."""
    draw = random.Random(seed)
    plan = Plan()
    axes = [plan.axis(draw.randint(1, 4)) for _ in range(5)]
    given = {}
    for _ in range(4):
        array = plan.given(draw.sample(axes, draw.randint(0, 3)), sloped=draw.random() < 0.7)
        given[array] = [draw.uniform(-1.0, 1.0) for _ in range(plan.size(array))]
    made = sorted(given)
    for _ in range(8):
        first, second = draw.sample(made, 2)
        both = [*plan.axes[first], *(axis for axis in plan.axes[second] if axis not in plan.axes[first])]
        made.append(plan.times(first, second, [axis for axis in both if draw.random() < 0.6]))
        if draw.random() < 0.4:
            made.append(plan.plus(made[-1], made[-1], draw.choice((1.0, -0.5))))
    plan.times(made[-1], made[draw.randrange(4)], ())
    return plan, given


def total_by_einsum(plan: Plan, given: dict[int, list[float]]) -> float:
    """The same sums by numpy's own notation."""
    values = []
    for array, step in enumerate(plan.steps):
        if step[0] == GIVEN:
            shape = [plan.sizes[axis] for axis in plan.axes[array]]
            values.append(numpy.array(given[array]).reshape(shape))
        elif step[0] == TIMES:
            first, second = step[1], step[2]
            values.append(
                numpy.einsum(
                    values[first],
                    list(plan.axes[first]),
                    values[second],
                    list(plan.axes[second]),
                    list(plan.axes[array]),
                )
            )
        else:
            values.append(values[step[1]] + step[3] * values[step[2]])
    return float(values[-1])


def worked_out(machine, given: dict[int, list[float]]):
    for array, numbers in given.items():
        machine.give(array, numbers)
    total = machine.total()
    machine.find_slopes()
    return total, {array: machine.slope(array) for array in given if machine.plan.steps[array][1]}


@pytest.mark.parametrize("seed", range(60))
def test_the_total_is_that_of_einsum_and_both_machines_give_the_same_bits(seed):
    plan, given = random_plan(seed)
    plain, fast = worked_out(Machine(plan), given), worked_out(FastMachine(plan), given)
    assert plain == fast
    assert plain[0] == pytest.approx(total_by_einsum(plan, given), rel=1e-12, abs=1e-12)


@pytest.mark.parametrize("seed", range(30))
def test_slopes_are_those_of_the_total(seed):
    plan, given = random_plan(seed)
    _, slopes = worked_out(Machine(plan), given)
    for array, slope in slopes.items():
        for at in range(len(slope)):
            step = 1e-6
            changed = [[value + sign * step * (k == at) for k, value in enumerate(given[array])] for sign in (1, -1)]
            up, down = (total_by_einsum(plan, given | {array: numbers}) for numbers in changed)
            assert slope[at] == pytest.approx((up - down) / (2.0 * step), rel=1e-5, abs=1e-7)


@pytest.mark.parametrize("made", [Machine, FastMachine])
def test_a_change_is_worked_out_like_a_new_beginning(made):
    plan, given = random_plan(3)
    machine = made(plan)
    worked_out(machine, given)
    changed = {array: [value + 0.25 for value in numbers] for array, numbers in given.items() if array % 2}
    assert worked_out(machine, given | changed) == worked_out(made(plan), given | changed)
