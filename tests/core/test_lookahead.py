"""One and two steps ahead against the optimum over all plans, on hundreds of small invented problems."""

import functools
import statistics

import pytest

from coiltrail.core import lookahead, repair_order
from coiltrail.core.lookahead import Observation, Problem
from coiltrail.core.repair_order import Repair, State, Terms
from tests.core.small_problems import FAMILIES, cost_of_following, optimum

SEEDS = range(80)


@functools.cache
def optima(family: str) -> list[float]:
    """Expected cost of the best plan, problem by problem."""
    return [optimum(*FAMILIES[family](seed)) for seed in SEEDS]


@functools.cache
def ratios(family: str, depth: int, width: int | None = None) -> list[float]:
    """Expected cost of following the look-ahead over that of the best plan, problem by problem."""
    followed = [cost_of_following(*FAMILIES[family](seed), depth, width) for seed in SEEDS]
    return [cost / best for cost, best in zip(followed, optima(family), strict=True)]


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize(("depth", "width"), [(1, None), (2, 3), (2, 8)])
def test_stays_near_the_optimum(family, depth, width, record_property):
    found = ratios(family, depth, width)
    record_property("median", statistics.median(found))
    record_property("worst", max(found))
    assert min(found) > 1 - 1e-9, "nothing costs less than the best plan"
    assert statistics.median(found) < 1.03
    assert max(found) < 1.25


def test_looking_deeper_pays():
    shallow = [ratio for family in FAMILIES for ratio in ratios(family, 1, None)]
    deep = [ratio for family in FAMILIES for ratio in ratios(family, 2, 5)]
    assert statistics.mean(deep) < statistics.mean(shallow)
    assert max(deep) < max(shallow)


def one_check(cost: float, hit: float, false: float) -> tuple[Problem, State]:
    """Two faults alike in chance; a check that tells the first."""
    check = Observation(cost, [[hit, false], [1 - hit, 1 - false]])
    problem = Problem([1, 2], [Repair(1, 50), Repair(2, 60)], [check], Terms(200))
    return problem, State([0.5, 0.5])


def test_a_telling_check_comes_first_while_it_is_cheap():
    assert lookahead.rank(*one_check(5, 1.0, 0.0))[0][1:] == ("observe", 0)
    assert lookahead.rank(*one_check(40, 1.0, 0.0))[0][1:] == ("repair", 0)


def test_observe_first_where_its_cost_and_what_follows_are_less_than_repairing_now():
    problem, state = one_check(5, 1.0, 0.0)
    costs = {act: cost for cost, act, _ in reversed(lookahead.rank(problem, state))}
    # By hand: 5 + 0.5 * 50 + 0.5 * 60 against 50 + 0.5 * 60.
    assert costs["observe"] == pytest.approx(60.0)
    assert costs["repair"] == pytest.approx(80.0)


def test_a_check_that_tells_nothing_is_never_first():
    problem, state = one_check(0.5, 0.3, 0.3)
    assert lookahead.rank(problem, state)[0][1] == "repair"
    assert lookahead.rank(problem, state, depth=2)[0][1] == "repair"


def test_a_check_that_pays_only_together_with_another_is_found_two_steps_ahead():
    # Four faults alike; each check halves them. One check alone does not pay for itself: two do.
    halves = [[1, 1, 0, 0], [1, 0, 1, 0]]
    checks = [Observation(21.0, [half, [1 - p for p in half]]) for half in halves]
    problem = Problem([1, 2, 4, 8], [Repair(1 << k, 100) for k in range(4)], checks, Terms(185.0))
    state = State([0.25] * 4)
    shallow = lookahead.rank(problem, state)[0]
    deep = lookahead.rank(problem, state, depth=2)[0]
    assert deep[1] == "observe"
    assert deep[0] == pytest.approx(142.0)
    assert deep[0] < shallow[0]
    assert optimum(problem, state.weights) == pytest.approx(142.0)


def test_what_was_observed_is_not_observed_again():
    problem, state = one_check(5, 0.9, 0.1)
    after = lookahead.outcomes(problem, state, 0)[0]
    assert "observe" not in [act for _, act, _ in lookahead.rank(problem, after)]


def test_outcomes_share_out_the_mass():
    problem, weights = FAMILIES["telling"](3)
    state = State(weights)
    for index in range(len(problem.observations)):
        assert sum(s.mass() for s in lookahead.outcomes(problem, state, index)) == pytest.approx(state.mass())


def test_a_narrow_look_keeps_the_best_of_the_shallow_one():
    problem, weights = FAMILIES["halving"](1)
    wide = lookahead.rank(problem, State(weights), depth=2)
    narrow = lookahead.rank(problem, State(weights), depth=2, width=2)
    assert len(narrow) == 2
    assert narrow[0][0] >= wide[0][0]
    assert repair_order.plan(problem.worlds, problem.repairs, problem.terms, State(weights))[0] >= wide[0][0]
