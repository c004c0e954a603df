"""Findings that cannot all be true: the diagnosis answers all the same and names them."""

import json

import pytest

from coiltrail.core import bridge, casefile, evidence, explanations
from demo_fixtures.logbook import Logbook

ONLY_DEAD = (0.0, 0.0, 0.0, 1.0)
ONLY_FULL = (1.0, 0.0, 0.0, 0.0)


@pytest.fixture
def certain(monkeypatch):
    """Tables that leave no room for doubt, as ours never are: two findings can then exclude each other."""
    for check, finding, chances in (
        ("drop", "none", ONLY_DEAD),
        ("drop", "full", ONLY_FULL),
        ("misfire_counts", "none", ONLY_FULL),
        ("misfire_counts", "many", ONLY_DEAD),
    ):
        monkeypatch.setitem(evidence.RUNNING[check], finding, chances)
    monkeypatch.setitem(evidence.LOOKS["plug_look", "plug"], "cracked", {"good": 0.0, "bad": 0.0, "dead": 0.0})


def answered(log: Logbook) -> dict:
    found = json.loads(bridge.answer("diagnosis", json.dumps({"entries": log.entries})))
    assert "error" not in found
    return found


def faults_of(found: dict) -> dict:
    for row in found["components"]:
        assert sum(state["p"] for state in row["states"]) == pytest.approx(1.0, abs=1e-6)
    return {row["component"]: row["fault"] for row in found["components"]}


def test_a_finding_that_cannot_be_true_with_those_before_is_left_out_and_named(certain):
    log = Logbook("impossible")
    log.drop({1: "full", 2: "none"})
    possible = faults_of(answered(log))
    [wrong] = log.round("misfire_counts", {2: "none"})
    right = log.check("connector_look", "good", place="coil.2")
    found = answered(log)
    [named] = found["contradictions"]
    assert named["entries"] == [wrong["id"]]
    assert "left out" in named["text"]
    assert faults_of(found)["coil@2"] == pytest.approx(possible["coil@2"], rel=0.2)
    assert right["id"] in {entry for row in found["explanations"] for entry in row["entries"]}
    log.strike(wrong)
    assert answered(log)["contradictions"] == []


def test_a_finding_that_cannot_be_true_at_all_leaves_the_priors(certain):
    log = Logbook("never")
    wrong = log.check("plug_look", "cracked", place="plug.2")
    found = answered(log)
    [named] = found["contradictions"]
    assert named["entries"] == [wrong["id"]]
    for row in found["components"]:
        assert row["fault"] == pytest.approx(row["prior"], abs=1e-9)
    assert found["explanations"] == []


def test_why_weighs_only_what_was_not_left_out(certain):
    log = Logbook("why")
    log.drop({1: "full", 2: "none", 3: "full", 4: "full"})
    [wrong] = log.round("misfire_counts", {2: "none"})
    why = json.loads(bridge.answer("why", json.dumps({"entries": log.entries, "index": 0})))
    assert why["prior"] + sum(row["decibans"] for row in why["rows"]) == pytest.approx(why["total"], abs=1e-6)
    assert wrong["id"] not in {entry for row in why["rows"] for entry in row["entries"]}


def test_with_our_tables_no_pair_of_findings_is_impossible():
    log = Logbook("contrary")
    log.drop({2: "none", 3: "full"})
    log.round("misfire_counts", {2: "none", 3: "many"})
    log.check("spark", "strong", place="coil.2")
    log.check("spark", "none", place="coil.3")
    log.check("coil_primary", "open", place="coil.2")
    found = explanations.Diagnosis(casefile.fold(log.entries))
    assert found.set_aside == []
    assert found.posterior.evidence > 1e-12
