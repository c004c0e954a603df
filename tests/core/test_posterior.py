"""The posterior against brute force over every joint state and every level, on small random cases."""

import functools
import itertools
import random

import numpy as np
import pytest

from coiltrail.core import casefile, faults, path_weights, posterior, readings
from demo_fixtures.logbook import Logbook

DROPS = ("none", "small", "full")
FEW = 6  # components left free to fail, so that brute force stays possible


def random_case(seed: int) -> casefile.CaseFile:
    """A small engine with a few findings, moves, codes and repairs in random order."""
    draw = random.Random(seed)
    cylinders, layout, ignition = draw.choice(
        [
            (2, "inline", "coil_on_plug"),
            (3, "inline", "coil_on_plug"),
            (2, "inline", "waste_spark"),
            (3, "inline", "distributor"),
            (4, "vee", "coil_on_plug"),
        ]
    )
    log = Logbook(f"brute-{seed}", cylinders=cylinders, layout=layout, ignition=ignition)
    numbers = range(1, cylinders + 1)
    coils = 1 if ignition in ("distributor", "waste_spark") else cylinders
    if draw.random() < 0.5:
        log.complaint()
    for _ in range(draw.randint(2, 4)):
        act = draw.choice(("drop", "look", "swap", "codes", "clear", "mend", "sign", "drive"))
        cylinder = draw.choice(numbers)
        coil = draw.randint(1, coils)
        if act == "drop":
            log.drop({cylinder: draw.choice(DROPS)}, disabled="tool")
        elif act == "look":
            log.check("connector_look", place=f"coil.{coil}", finding=draw.choice(("good", "loose", "chafed")))
        elif act == "swap":
            kind = draw.choice(("coil", "plug")) if coils > 1 else "plug"
            other = draw.choice([c for c in numbers if c != cylinder])
            log.swap(kind, cylinder, other)
        elif act == "codes":
            log.codes(
                *draw.sample(["P0300", f"P030{cylinder}", f"P035{coil}", "P0171"], draw.randint(0, 3)), complete=True
            )
        elif act == "clear":
            log.clear()
        elif act == "mend":
            log.mend(f"coil_connector@{coil}")
        elif act == "sign":
            log.check("spark", place=f"coil.{coil}", finding=draw.choice(("strong", "weak", "none")))
        else:
            log.drive(10, felt=draw.choice(("none", "always")))
    return casefile.fold(log.entries)


def restricted(model, seed: int):
    """Leave a few components that serve some evidence free to fail; hold the others good."""
    draw = random.Random(seed)
    serving = sorted({i for key in model.observables for i, _ in model.observables[key].served})
    free = set(draw.sample(serving, min(FEW, len(serving))))
    for index, component in enumerate(model.components):
        if index not in free:
            component.weights = [
                w if set(path) == {0} else 0.0 for path, w in zip(component.paths, component.weights, strict=True)
            ]
        else:
            # Heavier priors, so that every path matters at the precision compared.
            component.weights = [
                w if set(path) == {0} else w * 8 for path, w in zip(component.paths, component.weights, strict=True)
            ]
    return free


def brute_force(model, free):
    """(evidence, {component: weight by path}) by enumeration of all joint paths and all levels."""
    active = sorted(
        {k for keys, _, _ in model.factors for k in keys} | {k for s, _, _ in model.counts for g in s for k in g}
    )
    weights = path_weights.path_weights(model, {})
    free = sorted(free)
    likelihoods = likelihood_of_levels(model, active)
    total, by_path = 0.0, {i: [0.0] * len(weights[i]) for i in free}
    held = 1.0
    for index in range(len(model.components)):
        if index not in free:
            held *= sum(weights[index])
    for joint in itertools.product(*[range(len(weights[i])) for i in free]):
        prior = held
        for index, path in zip(free, joint, strict=True):
            prior *= weights[index][path]
        if not prior:
            continue
        paths = dict(zip(free, joint, strict=True))
        shares = (level_shares(model, model.observables[key], paths) for key in active)
        chances = functools.reduce(np.multiply.outer, shares, 1.0)
        likelihood = prior * float(np.sum(chances * likelihoods))
        total += likelihood
        for index, path in zip(free, joint, strict=True):
            by_path[index][path] += likelihood
    return total, by_path


def level_shares(model, observable, paths):
    """P(level) of one observable given the paths of the free components; all others are good."""
    cumulative = list(observable.leak())
    alike = set()
    for index, generation in observable.served:
        component = model.components[index]
        state = component.paths[paths[index]][generation] if index in paths else 0
        row = observable.cumulative(component, state)
        if row and not component.adds_up:
            if row in alike:
                continue
            alike.add(row)
        if row:
            cumulative = [a * b for a, b in zip(cumulative, row, strict=True)]
    return [b - a for a, b in itertools.pairwise([0.0, *cumulative])]


def likelihood_of_levels(model, active):
    """The product of all likelihoods for every combination of levels, one axis an observable."""
    axes = [range(model.observables[key].levels) for key in active]
    table = np.ones([len(axis) for axis in axes])
    for levels in itertools.product(*axes):
        at = dict(zip(active, levels, strict=True))
        for keys, chances, _ in model.factors:
            table[levels] *= chances[max(at[key] for key in keys)]
        for segments, chances, _ in model.counts:
            table[levels] *= chances[max(min(2, sum(at[key] > 0 for key in set(segment))) for segment in segments)]
    return table


@pytest.mark.parametrize("seed", range(120))
def test_matches_brute_force(seed):
    model = readings.model_of(random_case(seed))
    active = {k for keys, _, _ in model.factors for k in keys} | {k for s, _, _ in model.counts for g in s for k in g}
    size = 1
    for key in active:
        size *= model.observables[key].levels
    assert size > 0
    if size > 70000:
        model.counts = model.counts[:0]
        model.factors = model.factors[:3]
    free = restricted(model, seed)
    exact = posterior.Posterior(model)
    total, by_path = brute_force(model, free)
    assert exact.evidence == pytest.approx(total, rel=1e-9)
    assert total > 0
    marginals = exact.marginals()
    for index in free:
        assert marginals[index] == pytest.approx([w / total for w in by_path[index]], abs=1e-9)


def test_probabilities_sum_to_one_for_every_component():
    model = readings.model_of(random_case(7))
    for row in posterior.Posterior(model).marginals():
        assert sum(row) == pytest.approx(1.0, abs=1e-12)


def test_clamping_gives_the_joint_weight():
    model = readings.model_of(random_case(11))
    whole = posterior.Posterior(model)
    marginals = whole.marginals()
    for index in range(0, len(model.components), 5):
        for path in range(len(model.components[index].paths)):
            clamped = posterior.Posterior(model, {index: (path,)})
            assert clamped.evidence / whole.evidence == pytest.approx(marginals[index][path], abs=1e-9)


def test_every_profile_is_a_distribution():
    for profile, rows in faults.PROFILES.items():
        for condition, shares in rows.items():
            assert sum(shares) == pytest.approx(1.0), (profile, condition)
            assert len(shares) == faults.LEVELS
