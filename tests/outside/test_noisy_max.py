"""The noisy maximum against worked figures and against pyAgrum's own maximum and disjunction nodes.

Formulas: Henrion 1989, Diez 1993, from memory. The worked figures (leak 0.1, weights 0.8 and 0.5) were computed with
pyAgrum before any of this was written.
"""

import itertools
import random
from types import SimpleNamespace

import pyagrum as gum
import pytest

from coiltrail.core import faults, posterior

LEAK = 0.1
WEIGHTS = (0.8, 0.5)
PRIORS = (0.1, 0.2)

# "Net": a weight is what the cause does alone, the leak apart. "Compound": it was measured with the leak at work.
NET = WEIGHTS
COMPOUND = tuple(1.0 - (1.0 - weight) / (1.0 - LEAK) for weight in WEIGHTS)


def disjunction(weights, leak=LEAK, priors=PRIORS) -> gum.BayesNet:
    """Y as the disjunction of the leak and of what each cause gives, in pyAgrum's own nodes."""
    net = gum.BayesNet()
    net.addOR(gum.LabelizedVariable("y", "", 2))
    for cause, (weight, prior) in enumerate(zip(weights, priors, strict=True)):
        net.add(gum.LabelizedVariable(f"x{cause}", "", 2))
        net.add(gum.LabelizedVariable(f"z{cause}", "", 2))
        net.cpt(f"x{cause}")[:] = [1.0 - prior, prior]
        net.addArc(f"x{cause}", f"z{cause}")
        net.cpt(f"z{cause}")[:] = [[1.0, 0.0], [1.0 - weight, weight]]
        net.addArc(f"z{cause}", "y")
    net.add(gum.LabelizedVariable("leak", "", 2))
    net.cpt("leak")[:] = [1.0 - leak, leak]
    net.addArc("leak", "y")
    return net


def ours(weights, held=(None, None)) -> tuple[float, list[list[float]]]:
    """(probability of Y and of the causes as held, posterior of each cause given Y) by the code that diagnoses."""
    components = [component([[1.0, 0.0], [1.0 - weight, weight]], p) for weight, p in zip(weights, PRIORS, strict=True)]
    solved = posterior.Posterior(
        model_of(components, [1.0 - LEAK, LEAK], [0.0, 1.0]),
        {index: (state,) for index, state in enumerate(held) if state is not None},
    )
    return solved.evidence, solved.marginals()


def component(shares, *faulty):
    """A component whose states give the levels of one observable with these shares; ``faulty``: their priors."""
    return SimpleNamespace(
        kind=f"cause {shares}",
        adds_up=True,
        paths=[(state,) for state in range(len(shares))],
        weights=[1.0 - sum(faulty), *faulty],
        states=[{"state": str(state)} for state in range(len(shares))],
        cumulatives=[faults.running_sum(row) for row in shares],
        reseats=[],
    )


def model_of(components, leak, likelihood):
    """A model of one observable that all components serve, and one finding on it."""
    observable = SimpleNamespace(
        key=("y", 1, 0, ""),
        cell=1,
        levels=len(leak),
        served=[(index, 0) for index in range(len(components))],
        condition=None,
        cumulative=lambda component, state: component.cumulatives[state] if state else None,
        leak=lambda: faults.running_sum(leak),
    )
    return SimpleNamespace(
        engine=SimpleNamespace(numbers=(1,)),
        components=components,
        observables={observable.key: observable},
        factors=[((observable.key,), tuple(likelihood), "finding")],
        looks=[],
        counts=[],
    )


@pytest.mark.parametrize(
    ("weights", "worked"),
    [(NET, (0.82, 0.55, 0.91)), (COMPOUND, (0.80, 0.50, 0.8889))],
    ids=["net", "compound"],
)
def test_worked_chances_of_the_effect(weights, worked):
    inference = gum.LazyPropagation(disjunction(weights))
    for held, chance in zip(((1, 0), (0, 1), (1, 1)), worked, strict=True):
        inference.setEvidence({f"x{cause}": state for cause, state in enumerate(held)})
        assert inference.posterior("y")[1] == pytest.approx(chance, abs=5e-5)
        prior = 1.0
        for state, p in zip(held, PRIORS, strict=True):
            prior *= p if state else 1.0 - p
        assert ours(weights, held)[0] / prior == pytest.approx(inference.posterior("y")[1], abs=1e-12)


def test_worked_posterior_of_the_causes():
    inference = gum.LazyPropagation(disjunction(COMPOUND))
    inference.setEvidence({"y": 1})
    _, marginals = ours(COMPOUND)
    for cause, worked in enumerate((0.3355, 0.4421)):
        assert inference.posterior(f"x{cause}")[1] == pytest.approx(worked, abs=5e-5)
        assert marginals[cause][1] == pytest.approx(inference.posterior(f"x{cause}")[1], abs=1e-12)


@pytest.mark.parametrize("seed", range(30))
def test_noisy_maximum_of_graded_levels_as_from_the_librarys_maximum_nodes(seed):
    """P(Y <= y | x) = leak(y) prod_i F_i(y | x_i), with any number of levels and of states of a cause."""
    draw = random.Random(seed)
    levels, causes = draw.randint(2, 4), draw.randint(1, 4)
    leak, likelihood = shares(draw, levels), [draw.random() for _ in range(levels)]
    tables = [
        [[1.0] + [0.0] * (levels - 1)] + [shares(draw, levels) for _ in range(draw.randint(1, 2))]
        for _ in range(causes)
    ]
    priors = [[draw.uniform(0.01, 0.3) for _ in table[1:]] for table in tables]

    net = gum.BayesNet()
    net.addMAX(gum.RangeVariable("y", "", 0, levels - 1))
    for cause, (table, faulty) in enumerate(zip(tables, priors, strict=True)):
        net.add(gum.RangeVariable(f"x{cause}", "", 0, len(table) - 1))
        net.cpt(f"x{cause}")[:] = [1.0 - sum(faulty), *faulty]
        net.add(gum.RangeVariable(f"z{cause}", "", 0, levels - 1))
        net.addArc(f"x{cause}", f"z{cause}")
        net.cpt(f"z{cause}")[:] = table
        net.addArc(f"z{cause}", "y")
    net.add(gum.RangeVariable("leak", "", 0, levels - 1))
    net.cpt("leak")[:] = leak
    net.addArc("leak", "y")
    inference = gum.LazyPropagation(net)
    inference.setEvidence({"y": likelihood})

    components = [component(table, *faulty) for table, faulty in zip(tables, priors, strict=True)]
    solved = posterior.Posterior(model_of(components, leak, likelihood))
    assert solved.evidence == pytest.approx(inference.evidenceProbability(), rel=1e-9)
    for cause, marginal in enumerate(solved.marginals()):
        assert marginal == pytest.approx(list(inference.posterior(f"x{cause}").toarray()), abs=1e-9)


def shares(draw: random.Random, size: int) -> list[float]:
    drawn = [draw.random() for _ in range(size)]
    return [value / sum(drawn) for value in drawn]


def test_no_fault_alone_is_less_than_several_together():
    """The product form never lets a further fault make a cylinder run better."""
    for one, other in itertools.product(faults.PROFILES, repeat=2):
        for condition in ("idle", "load", "drive", "drive+wet"):
            alone = faults.cumulative(one, condition)
            both = [a * b for a, b in zip(alone, faults.cumulative(other, condition), strict=True)]
            assert all(b <= a for a, b in zip(alone, both, strict=True))
