"""The order of repairs against the literature on troubleshooting and against exhaustive search.

Kadane and Simon 1977, "Optimal strategies for a class of constrained sequential problems" (its result, as attributed in
the texts that build on it); Heckerman, Breese and Rommelse 1995, "Decision-theoretic troubleshooting"; Horn 1972,
"Single-machine job sequencing with treelike precedence ordering and linear delay penalties".
"""

import itertools
import random

import pytest

from coiltrail.core import lookahead, repair_order
from coiltrail.core.lookahead import Observation, Problem
from coiltrail.core.repair_order import Repair, State, Terms

NEVER = 1e9  # a cost of handing over that nobody would pay


def single_fault(chances, costs, ways=None):
    worlds = [1 << k for k in range(len(chances))]
    repairs = [Repair(1 << k, cost, ways[k] if ways else None) for k, cost in enumerate(costs)]
    return worlds, repairs, State(list(chances))


def by_formula(chances, costs, order):
    """ECR = sum C_i (1 - sum_{j<i} p_j), written out."""
    left, total = 1.0, 0.0
    for k in order:
        total += costs[k] * left
        left -= chances[k]
    return total


def random_chances(draw, count, something_else=False):
    raw = [draw.random() + 0.01 for _ in range(count)]
    whole = sum(raw) + (draw.random() if something_else else 0.0)
    return [value / whole for value in raw]


def test_worked_example_of_four_causes():
    # All 24 orders enumerated: 2, 4, 1, 3 is best with 34.5; as listed 41.0.
    chances, costs = (0.45, 0.30, 0.15, 0.10), (30, 10, 20, 5)
    worlds, repairs, state = single_fault(chances, costs)
    cost, order = repair_order.plan(worlds, repairs, Terms(NEVER), state)
    assert [k + 1 for k in order] == [2, 4, 1, 3]
    assert cost == pytest.approx(34.5)
    assert repair_order.cost_of_order(worlds, repairs, Terms(NEVER), state, [0, 1, 2, 3]) == pytest.approx(41.0)


@pytest.mark.parametrize("seed", range(300))
def test_best_of_all_orders_for_one_fault(seed):
    draw = random.Random(seed)
    count = draw.randint(2, 6)
    chances, costs = random_chances(draw, count), [draw.uniform(1, 100) for _ in range(count)]
    worlds, repairs, state = single_fault(chances, costs)
    cost, order = repair_order.plan(worlds, repairs, Terms(NEVER), state)
    best = min(by_formula(chances, costs, every) for every in itertools.permutations(range(count)))
    assert cost == pytest.approx(best, abs=1e-9)
    assert by_formula(chances, costs, order) == pytest.approx(best, abs=1e-9)
    ratios = [chances[k] / costs[k] for k in order]
    assert ratios == sorted(ratios, reverse=True)


@pytest.mark.parametrize("seed", range(200))
def test_best_of_all_orders_and_all_places_to_stop(seed):
    draw = random.Random(1000 + seed)
    count = draw.randint(2, 6)
    chances = random_chances(draw, count, something_else=True)
    costs = [draw.uniform(5, 200) for _ in range(count)]
    give_up = draw.uniform(20, 400)
    worlds, repairs, state = single_fault([*chances, 1 - sum(chances)], [*costs, NEVER])
    cost, _ = repair_order.plan(worlds, repairs[:count], Terms(give_up), state)
    best = min(
        by_formula(chances, costs, some) + (1 - sum(chances[k] for k in some)) * give_up
        for length in range(count + 1)
        for some in itertools.permutations(range(count), length)
    )
    assert cost == pytest.approx(best, abs=1e-9)


@pytest.mark.parametrize("seed", range(100))
def test_best_of_all_orders_where_being_in_vain_costs_too(seed):
    draw = random.Random(6000 + seed)
    count = draw.randint(2, 6)
    chances = random_chances(draw, count, something_else=True)
    costs = [draw.uniform(5, 100) for _ in range(count)]
    vain = [draw.uniform(0, 50) for _ in range(count)]
    give_up = draw.uniform(50, 400)
    worlds = [1 << k for k in range(count + 1)]
    repairs = [Repair(1 << k, costs[k], in_vain=vain[k]) for k in range(count)]
    cost, _ = repair_order.plan(worlds, repairs, Terms(give_up), State([*chances, 1 - sum(chances)]))

    def spent(some):
        left, total = 1.0, 0.0
        for k in some:
            total += left * costs[k]
            left -= chances[k]
            total += left * vain[k]
        return total + left * give_up

    best = min(spent(some) for length in range(count + 1) for some in itertools.permutations(range(count), length))
    assert cost == pytest.approx(best, abs=1e-9)


@pytest.mark.parametrize("seed", range(200))
def test_best_of_all_orders_where_ways_in_are_shared(seed):
    # Horn 1972: a way in is a job without a chance of its own that precedes all that lies behind it.
    draw = random.Random(2000 + seed)
    count = draw.randint(3, 6)
    chances = random_chances(draw, count, something_else=True)
    costs = [draw.uniform(5, 100) for _ in range(count)]
    ways = [draw.choice((None, "cover", "cowl")) for _ in range(count)]
    opening = {"cover": draw.uniform(5, 80), "cowl": draw.uniform(5, 80)}
    give_up = draw.choice((NEVER, draw.uniform(50, 400)))
    worlds, repairs, state = single_fault([*chances, 1 - sum(chances)], [*costs, NEVER], [*ways, None])
    cost, _ = repair_order.plan(worlds, repairs[:count], Terms(give_up, ways=opening), state)

    def spent(some):
        left, total, opened = 1.0, 0.0, set()
        for k in some:
            total += left * (costs[k] + (opening[ways[k]] if ways[k] and ways[k] not in opened else 0.0))
            opened.add(ways[k])
            left -= chances[k]
        return total + left * give_up

    best = min(spent(some) for length in range(count + 1) for some in itertools.permutations(range(count), length))
    assert cost == pytest.approx(best, rel=1e-9)


@pytest.mark.parametrize("seed", range(100))
def test_two_causes_first_one_first_if_and_only_if(seed):
    # A textbook problem: with chances p and 1 - p, check 1 first iff C1 / p <= C2 / (1 - p).
    draw = random.Random(3000 + seed)
    p, one, two = draw.uniform(0.05, 0.95), draw.uniform(1, 50), draw.uniform(1, 50)
    worlds, repairs, state = single_fault((p, 1 - p), (one, two))
    first = repair_order.plan(worlds, repairs, Terms(NEVER), state)[1][0] == 0
    assert first == (one / p <= two / (1 - p))


@pytest.mark.parametrize("seed", range(100))
def test_inspecting_each_cause_before_its_repair(seed):
    # From memory, Heckerman, Breese and Rommelse 1995:
    # ECR = sum[(1 - sum_{j<i} p_j) C_i(observe) + p_i C_i(repair)] for inspections that do not err.
    draw = random.Random(4000 + seed)
    count = draw.randint(2, 5)
    chances = random_chances(draw, count)
    look, mend = [draw.uniform(1, 10) for _ in chances], [draw.uniform(20, 90) for _ in chances]
    inspections = [
        Observation(look[k], [[float(k == j) for j in range(count)], [float(k != j) for j in range(count)]])
        for k in range(count)
    ]
    worlds, repairs, state = single_fault(chances, mend)
    problem = Problem(worlds, repairs, inspections, Terms(NEVER))
    spent = 0.0
    for k in range(count):
        spent += state.mass() * look[k]
        shown, state = lookahead.outcomes(problem, state, k)
        spent += repair_order.plan(worlds, repairs, problem.terms, shown)[0]
    formula = sum((1 - sum(chances[:k])) * look[k] + chances[k] * mend[k] for k in range(count))
    assert spent == pytest.approx(formula)


@pytest.mark.parametrize("seed", range(100))
def test_observe_first_where_it_is_less(seed):
    # From memory, same source: observe first when C(o) + sum_k P(o=k) ECR(o=k) < ECR.
    draw = random.Random(5000 + seed)
    count = draw.randint(2, 5)
    chances, costs = random_chances(draw, count), [draw.uniform(10, 90) for _ in range(count)]
    shows, price = [draw.random() for _ in range(count)], draw.uniform(1, 40)
    worlds, repairs, state = single_fault(chances, costs)
    check = Observation(price, [shows, [1 - p for p in shows]])
    first = lookahead.rank(Problem(worlds, repairs, [check], Terms(NEVER)), state)[0]

    def ecr(weights):
        return min(by_formula_of(weights, costs, order) for order in itertools.permutations(range(count)))

    observed = price + ecr([p * s for p, s in zip(chances, shows, strict=True)])
    observed += ecr([p * (1 - s) for p, s in zip(chances, shows, strict=True)])
    assert (first[1] == "observe") == (observed < ecr(chances))
    assert first[0] == pytest.approx(min(observed, ecr(chances)))


def by_formula_of(weights, costs, order):
    mass = sum(weights)
    return mass * by_formula([w / mass for w in weights], costs, order)
