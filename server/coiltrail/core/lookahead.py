"""The next step among observations and repairs, by looking one or two steps ahead. Nothing here knows a car.

Expected cost of an observation (Heckerman, Breese and Rommelse 1995): its own cost, plus the expected cost of
repair after each thing it may show, weighed by the chance of showing it. Observe first where that is less than
the expected cost of repairing now. One step ahead, what follows is repairs only; two steps ahead, what follows
is the best single step and then repairs. Finding the best plan of all is NP-hard (Vomlelova and Vomlel 2003).
"""

from . import repair_order
from .gradually import finish
from .repair_order import State, to_prove

FOLLOWERS = 2  # observations that may follow, for each step that is looked at deeply
NEGLIGIBLE = 1e-9  # share of the mass below which an outcome is left out
LEAST_DECIDING = 0.07  # chance of another next act from which an observation decides something. Estimate


class Observation:
    """``cost``; ``outcomes``: for each thing it may show, its chance in every world. ``way``: the way in, or None.

    ``proves``: repairs that need no proof once it was made, as a mask of their indices.
    """

    def __init__(self, cost, outcomes, way=None):
        self.cost = cost
        self.outcomes = outcomes
        self.way = way
        self.proves = 0


class Problem:
    """``worlds`` (masks of faults), ``repairs``, ``observations`` and ``terms``."""

    def __init__(self, worlds, repairs, observations, terms):
        self.worlds = worlds
        self.repairs = repairs
        self.observations = observations
        self.terms = terms


def rank(problem, state, depth=1, width=None):
    """Every first step with the expected cost of all that follows, cheapest first.

    A list of ``(cost, act, index)``; ``act`` is "observe", "repair" or "hand_over" (index 0). ``depth`` counts the
    steps that are weighed before repairs are taken to follow in their order. ``width``: how many of the best by a
    shallower look are looked at more deeply, and the others left out; what may follow them is chosen among the best
    ``FOLLOWERS * width`` observations. None: all.
    """
    return finish(ranking(problem, state, depth, width))


def ranking(problem, state, depth=1, width=None, shallow=None, follows=None):
    """The same in steps (``gradually``).

    ``shallow``: the ranking of one depth less, where it is at hand; its order says which acts are looked at.
    ``follows``: at depth 1 takes, by observation, what comes after each thing it may show, as (mass, repairs in order).
    """
    if depth > 1 and width is not None:
        if shallow is None:
            shallow = yield from ranking(problem, state, depth - 1, width)
        options = [(act, index) for _, act, index in shallow[:width]]
        state = _without_the_rest(state, len(problem.observations), sorted(shallow), FOLLOWERS * width)
    else:
        options = [("hand_over", 0)]
        options += [("observe", k) for k in range(len(problem.observations)) if k not in state.observed]
        order = repair_order.best_order(problem.worlds, problem.repairs, problem.terms, state)
        options += [("repair", index) for index in order if not to_prove(problem.repairs[index], state, index)]
    ranked = []
    for act, index in options:
        ranked.append((_cost(problem, state, act, index, depth, width, follows), act, index))
        yield
    return sorted(ranked)


def _without_the_rest(state, observations, ranked, count):
    """The state with all observations but the best ``count`` counted as made, so that they are not weighed again."""
    best = [index for _, act, index in ranked if act == "observe"][:count]
    rest = tuple([k for k in range(observations) if k not in best])
    return State(state.weights, state.mended, state.opened, state.repaired, rest, state.proved)


def decides(follows, index):
    """Whether what an observation shows may change what is repaired next, with a chance worth the look.

    ``follows``: as ``ranking`` took it.
    """
    shares = {}
    for mass, order in follows[index]:
        next_ = order[0] if order else None
        shares[next_] = shares.get(next_, 0.0) + mass
    total = sum([shares[k] for k in shares])  # in any order
    return total - max([shares[k] for k in shares]) >= LEAST_DECIDING * total  # in any order


def _cost(problem, state, act, index, depth, width, follows=None):
    if act == "hand_over":
        return repair_order.handing_over(problem.worlds, problem.terms, state)
    if act == "repair":
        cost, after = repair_order.after_repair(problem.worlds, problem.repairs, problem.terms, state, index)
        return cost + _least(problem, after, depth - 1, width)
    observation = problem.observations[index]
    mass = state.mass()
    cost = mass * (observation.cost + repair_order.opening(problem.terms, state, observation.way))
    told = []
    for after in outcomes(problem, state, index):
        if after.mass() > NEGLIGIBLE * mass:
            if depth == 1:
                least, order = repair_order.plan(problem.worlds, problem.repairs, problem.terms, after)
                cost += least
                told.append((after.mass(), order))
            else:
                cost += _least(problem, after, depth - 1, width)
    if follows is not None:
        follows[index] = told
    return cost


def _least(problem, state, depth, width):
    if depth == 0:
        return repair_order.plan(problem.worlds, problem.repairs, problem.terms, state)[0]
    return rank(problem, state, depth, width)[0][0]


def outcomes(problem, state, index):
    """The state after each outcome of an observation; its mass is the chance of the outcome times the mass before."""
    observation = problem.observations[index]
    opened = repair_order.with_way(state.opened, observation.way)
    observed, proved = state.observed + (index,), state.proved | observation.proves
    return [
        State([w * c for w, c in zip(state.weights, chances)], state.mended, opened, state.repaired, observed, proved)
        for chances in observation.outcomes
    ]
