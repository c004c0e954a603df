"""Small invented troubleshooting problems, and the optimum of each by dynamic programming over all plans.

The optimum shares no code with ``coiltrail.core``: it tries every step at every state of knowledge.
"""

import random
from collections.abc import Iterator

from coiltrail.core import lookahead, repair_order
from coiltrail.core.lookahead import Observation, Problem
from coiltrail.core.repair_order import Repair, State, Terms


def telling_checks(seed: int) -> tuple[Problem, list[float]]:
    """One fault of two to five, or something else; one to four checks, each of which tells some faults from others."""
    draw = random.Random(f"telling {seed}")
    faults = draw.randint(2, 5)
    weights = [draw.random() ** 2 + 0.02 for _ in range(faults)] + [0.3 * draw.random()]
    checks = [_check(draw, faults + 1) for _ in range(draw.randint(1, 4))]
    repairs = [Repair(1 << fault, draw.uniform(8, 120)) for fault in range(faults)]
    worlds = [1 << fault for fault in range(faults + 1)]
    return Problem(worlds, repairs, checks, Terms(draw.uniform(100, 300))), _one(weights)


def halving_checks(seed: int) -> tuple[Problem, list[float]]:
    """Faults alike in chance, dear repairs, and checks each of which halves them: they pay together, hardly alone."""
    draw = random.Random(f"halving {seed}")
    faults = draw.randint(4, 6)
    checks = []
    for _ in range(draw.randint(3, 4)):
        half = draw.sample(range(faults), faults // 2)
        shows = [0.97 if fault in half else 0.03 for fault in range(faults)]
        checks.append(Observation(draw.uniform(20, 60), [shows, [1 - p for p in shows]]))
    repairs = [Repair(1 << fault, draw.choice((60, 120, 200))) for fault in range(faults)]
    terms = Terms(draw.uniform(100, 900))
    return Problem([1 << fault for fault in range(faults)], repairs, checks, terms), [1 / faults] * faults


def joint_faults(seed: int) -> tuple[Problem, list[float]]:
    """Worlds with one fault or two; some repairs and checks lie behind a cover that is opened once."""
    draw = random.Random(f"joint {seed}")
    faults = draw.randint(3, 4)
    worlds = [1 << fault for fault in range(faults + 1)]
    worlds += [1 << a | 1 << b for a in range(faults) for b in range(a) if draw.random() < 0.5]
    weights = [draw.random() ** 2 + 0.02 for _ in worlds]
    repairs = [Repair(1 << fault, draw.uniform(8, 90), draw.choice((None, "cover"))) for fault in range(faults)]
    checks = [_check(draw, len(worlds), draw.choice((None, "cover"))) for _ in range(draw.randint(1, 3))]
    spared = {1: draw.uniform(20, 80)}
    terms = Terms(draw.uniform(150, 300), spared, {"cover": draw.uniform(10, 60)})
    return Problem(worlds, repairs, checks, terms), _one(weights)


FAMILIES = {"telling": telling_checks, "halving": halving_checks, "joint": joint_faults}


def _check(draw: random.Random, worlds: int, way: str | None = None) -> Observation:
    shows = [draw.uniform(0.5, 0.98) if draw.random() < 0.5 else draw.uniform(0.01, 0.15) for _ in range(worlds)]
    if draw.random() < 0.3:
        unclear = [draw.uniform(0, 1 - p) for p in shows]
        return Observation(
            draw.uniform(1, 25), [shows, unclear, [1 - p - q for p, q in zip(shows, unclear, strict=True)]], way
        )
    return Observation(draw.uniform(1, 25), [shows, [1 - p for p in shows]], way)


def _one(weights: list[float]) -> list[float]:
    return [weight / sum(weights) for weight in weights]


def optimum(problem: Problem, weights: list[float]) -> float:
    """Expected cost of the best plan there is; the test after a repair is taken not to err."""
    terms, held = problem.terms, {}

    def best(weights: tuple[float, ...], repaired: frozenset, history: frozenset, opened: frozenset) -> float:
        known = (repaired, history)
        if known not in held:
            held[known] = min(costs(weights, repaired, history, opened))
        return held[known]

    def costs(weights, repaired, history, opened) -> Iterator[float]:
        mass = sum(weights)
        mended = sum(problem.repairs[index].mends for index in repaired)
        left = [mask & ~mended for mask in problem.worlds]
        named = [
            saving * sum(w for mask, w in zip(left, weights, strict=True) if mask & fault)
            for fault, saving in terms.spared
        ]
        yield mass * terms.give_up - max(named, default=0.0)
        for index, repair in enumerate(problem.repairs):
            if index not in repaired:
                after = [w if mask & ~repair.mends else 0.0 for mask, w in zip(left, weights, strict=True)]
                way = 0.0 if repair.way is None or repair.way in opened else terms.ways[repair.way]
                yield mass * (repair.cost + way) + best(
                    tuple(after), repaired | {index}, history, opened | ({repair.way} - {None})
                )
        looked = {index for index, _ in history}
        for index, check in enumerate(problem.observations):
            if index not in looked:
                way = 0.0 if check.way is None or check.way in opened else terms.ways[check.way]
                yield mass * (check.cost + way) + sum(
                    best(
                        tuple(w * p for w, p in zip(weights, chances, strict=True)),
                        repaired,
                        history | {(index, shown)},
                        opened | ({check.way} - {None}),
                    )
                    for shown, chances in enumerate(check.outcomes)
                )

    return best(tuple(weights), frozenset(), frozenset(), frozenset())


def cost_of_following(problem: Problem, weights: list[float], depth: int, width: int | None = None) -> float:
    """Expected cost of taking, at every state of knowledge, the step that ``lookahead`` ranks first."""

    def follow(state: State) -> float:
        if state.mass() < 1e-12:
            return 0.0
        _, act, index = lookahead.rank(problem, state, depth, width)[0]
        if act == "hand_over":
            return repair_order.handing_over(problem.worlds, problem.terms, state)
        if act == "repair":
            cost, after = repair_order.after_repair(problem.worlds, problem.repairs, problem.terms, state, index)
            return cost + follow(after)
        check = problem.observations[index]
        cost = state.mass() * (check.cost + repair_order.opening(problem.terms, state, check.way))
        return cost + sum(follow(after) for after in lookahead.outcomes(problem, state, index))

    return follow(State(weights))
