"""Weights of evidence add up to the log odds (Good 1950), for every explanation of every story and log of variety."""

import math

import pytest

from coiltrail.core import casefile, explanations, posterior, readings
from coiltrail.core.gradually import finish
from demo_fixtures.stories import STORIES, VARIETY, log_of

NOT_LISTED = "something else"  # how the rival is called where no listed explanation is one


@pytest.mark.parametrize("key", [story.key for story in STORIES + VARIETY])
def test_prior_and_weights_make_the_log_odds_of_what_is_listed(key):
    found = explanations.Diagnosis(casefile.fold(log_of(key)))
    listed = found.explanations()
    p_of = {row["label"]: row["p"] for row in listed}
    assert len(p_of) == len(listed)
    p_of[NOT_LISTED] = found.weight(()) / found.posterior.evidence
    told = {entry["id"] for entry in found.case.log}
    for row in listed:
        why = finish(found.why(row["index"]))
        assert why["label"] == row["label"] != why["rival"]
        assert why["prior"] + math.fsum(w["decibans"] for w in why["rows"]) == pytest.approx(why["total"], abs=1e-6)
        assert why["total"] == pytest.approx(10 * math.log10(row["p"] / p_of[why["rival"]]), abs=1e-6)
        spoken = [entry for w in why["rows"] for entry in w["entries"]]
        assert len(spoken) == len(set(spoken))  # each entry is weighed once
        assert set(row["entries"]) <= set(spoken) <= told


def test_the_prior_is_that_of_the_fault_table():
    """Without any finding the odds of two explanations are those of their priors, all else being alike."""
    found = explanations.Diagnosis(casefile.fold(log_of("1")))
    prior = {c.name: c.prior for c in found.model.components}
    [coil, injector] = [row for row in found.explanations() if row["label"] in ("Coil 3: dead", "Injector 3: dead")]
    listed = [blamed for blamed, _ in found.listed]
    pair = [found.model.components[listed[row["index"]][0]].name for row in (coil, injector)]
    nothing = posterior.Posterior(readings.model_of(found.case, set()))
    ours, theirs = (found.weight(listed[row["index"]], nothing) for row in (coil, injector))
    odds = [(1.0 - prior[name][0]) / prior[name][0] for name in pair]
    assert pair == ["coil@3", "injector@3"]
    assert ours / theirs == pytest.approx(odds[0] / odds[1], rel=1e-9)
