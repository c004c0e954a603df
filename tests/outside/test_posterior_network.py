"""The posterior against pyAgrum, a general-purpose Bayesian-network library, on networks drawn independently."""

import random

import pytest

from coiltrail.core import model, posterior, readings
from tests.outside.case_network import CaseNetwork
from tests.outside.generated_cases import FAMILIES, case_of

MOST = 600_000  # numbers in the library's tables, so that one case takes well under a second
FEWER = (24, 14, 8, 5, 3)  # components left free to fail where the whole network would be too large


def network_of(case, seed: int) -> CaseNetwork:
    """The network of everything, or else of as many components as the library can take, the others held good."""
    network = CaseNetwork(case)
    if network.size() <= MOST:
        return network
    everything = sorted({component[:2] for component, _ in network.states})
    for number in FEWER:
        network = CaseNetwork(case, set(random.Random(seed).sample(everything, min(number, len(everything)))))
        if network.size() <= MOST:
            return network
    raise AssertionError("no network of this case is small enough")


def compare(case, network: CaseNetwork) -> None:
    """Every marginal of every component in every generation, and the probability of the evidence, to 1e-9."""
    found, evidence = network.posterior()
    ours = readings.model_of(case)
    held = {i: good_paths(c) for i, c in enumerate(ours.components) if not is_free(c, network)}
    exact = posterior.Posterior(ours, held)
    if not held:
        assert exact.evidence == pytest.approx(evidence, rel=1e-9)
    for index, (component, marginal) in enumerate(zip(ours.components, exact.marginals(), strict=True)):
        for generation in range(len(component.reseats) + 1):
            by_state = [0.0] * len(component.states)
            for path, p in zip(component.paths, marginal, strict=True):
                by_state[path[generation]] += p
            theirs = found.pop((key_of(component), generation), None)
            if theirs is None:  # no finding speaks of it
                theirs = [1.0, *[0.0] * (len(by_state) - 1)] if index in held else prior(component, generation)
            assert by_state == pytest.approx(theirs, abs=1e-9), (component.name, generation)
    assert not found


def key_of(component: model.Component) -> tuple:
    """(kind, part or place, times mended) of a component: ``coil_connector@3/2`` or ``plug@1/mended`` were once."""
    name, *suffixes = component.name.split("/")
    if component.part:
        last = suffixes[-1] if suffixes else ""
        return (component.kind, component.part, int(last[6:] or 1) if last.startswith("mended") else 0)
    return (component.kind, name.partition("@")[2], int(suffixes[0]) - 1 if suffixes else 0)


def is_free(component: model.Component, network: CaseNetwork) -> bool:
    return network.free is None or key_of(component)[:2] in network.free


def good_paths(component: model.Component) -> list[int]:
    return [k for k, path in enumerate(component.paths) if not any(path)]


def prior(component: model.Component, generation: int) -> list[float]:
    by_state = [0.0] * len(component.states)
    for path, weight in zip(component.paths, component.weights, strict=True):
        by_state[path[generation]] += weight
    return by_state


@pytest.mark.parametrize("seed", range(24))
@pytest.mark.parametrize("family", FAMILIES)
def test_the_library_gives_the_same_marginals(family, seed):
    case = case_of(family, seed)
    compare(case, network_of(case, seed))
