"""What must hold of the diagnosis of any log: Hypothesis draws the logs (``plans``)."""

import json
import random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from coiltrail.core import bridge, casefile, evidence, posterior, readings
from tests.core.plans import Numbering, findings, plans, write

bounded = settings(
    derandomize=True,
    deadline=None,
    max_examples=40,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)
few = settings(bounded, max_examples=15)


def marginals(log: list[dict]) -> dict[str, list[float]]:
    """Component -> posterior of its paths."""
    model = readings.model_of(casefile.fold(log))
    return {c.name: row for c, row in zip(model.components, posterior.Posterior(model).marginals(), strict=True)}


def same(found: dict[str, list[float]], other: dict[str, list[float]]) -> bool:
    return found == {name: pytest.approx(row, abs=1e-9) for name, row in other.items()}


def diagnosis(log: list[dict]) -> str:
    return bridge.answer("diagnosis", json.dumps({"entries": log}))


@few
@given(plans(), st.integers(0, 2**32), st.data())
def test_the_order_in_which_entries_arrive_and_their_copies_change_nothing(plan, seed, data):
    log = write(*plan)[0].entries
    twice = log + data.draw(st.lists(st.sampled_from(log), max_size=len(log)))
    random.Random(seed).shuffle(twice)
    told = diagnosis(log)
    assert "error" not in json.loads(told)
    assert diagnosis(twice) == told


@bounded
@given(plans())
def test_an_engine_numbered_from_its_other_end_has_the_same_faults(plan):
    laid_out, acts = plan
    plain = by_identity(laid_out, acts, mirrored=False)
    mirrored = by_identity(laid_out, acts, mirrored=True)
    assert plain.keys() == mirrored.keys()
    for component in plain:
        assert plain[component] == pytest.approx(mirrored[component], abs=1e-9), component


def by_identity(laid_out: tuple, acts: list, mirrored: bool) -> dict[tuple, list[float]]:
    """(kind, part or place, numbered as it comes; how often mended) -> posterior of the paths."""
    log, _ = write(laid_out, acts, mirrored)
    model = readings.model_of(casefile.fold(log.entries))
    numbering = Numbering(laid_out, mirrored)
    places = {}  # a place on the mirrored engine -> the same on the plain one
    for component in readings.model_of(casefile.fold(write(laid_out, [])[0].entries)).components:
        where = component.name.partition("@")[2]
        places[component.kind, numbering.where(component.kind, where)] = where
    found = {}
    for component, row in zip(model.components, posterior.Posterior(model).marginals(), strict=True):
        name, *suffixes = component.name.split("/")
        where = name.partition("@")[2]
        if component.part:
            origin, _, place = component.part.partition(".")
            kind, _, position = place.partition(".")
            where = (origin, kind, places[kind, position] if place else "")
            suffixes = suffixes if component.kind in ("coil", "boot") and "mended" in suffixes else []
        else:
            where = places[component.kind, where]
        found[component.kind, where, *suffixes] = row
    assert len(found) == len(model.components)
    return found


@bounded
@given(plans(), st.data())
def test_what_was_struck_leaves_no_trace(plan, data):
    laid_out, acts = plan
    numbers = Numbering(laid_out, mirrored=False).plain
    position = data.draw(st.integers(0, len(acts)))
    extra = data.draw(st.one_of(findings(numbers), st.sampled_from(acts))) if acts else ("clear", ())
    log, written = write(laid_out, [*acts[:position], extra, *acts[position:]])
    struck = written[position]
    without = [entry for entry in log.entries if entry not in struck]
    for entry in struck:
        log.strike(entry)
    assert same(marginals(log.entries), marginals(without))


@bounded
@given(plans(), st.data())
def test_a_finding_as_likely_under_everything_changes_nothing(plan, data):
    case = casefile.fold(write(*plan)[0].entries)
    before = posterior.Posterior(readings.model_of(case)).marginals()
    model = readings.model_of(case)
    chance = data.draw(st.floats(0.05, 1.0))
    moment = data.draw(st.integers(0, len(case.log)))
    cylinder = data.draw(st.sampled_from(case.engine.numbers))
    condition = data.draw(st.sampled_from(("idle", "load", "drive", "drive+wet")))
    how = data.draw(st.sampled_from(("runs", "counted", "look", "runs_over")))
    if how == "runs":
        model.runs(cylinder, moment, condition, (chance,) * 4, "new")
    elif how == "counted":
        model.counted([moment], condition, (chance,) * 3, "new")
    elif how == "look":
        model.look("plug", cylinder, moment, {"good": chance, "bad": chance, "dead": chance}, "new")
    else:
        model.runs_over(cylinder, 0, moment, condition, (chance,) * 4, "false_code", "new")
    after = posterior.Posterior(model).marginals()
    assert len(after) == len(before)
    for row, other in zip(before, after, strict=True):
        assert row == pytest.approx(other, abs=1e-9)


@bounded
@given(plans())
def test_probabilities_are_probabilities(plan):
    for row in marginals(write(*plan)[0].entries).values():
        assert sum(row) == pytest.approx(1.0, abs=1e-12)
        assert all(0.0 <= p <= 1.0 for p in row)


@few
@given(plans(), st.data())
def test_opposite_findings_are_named_and_the_answer_stays_finite(plan, data):
    laid_out, acts = plan
    log, _ = write(laid_out, acts)
    cylinder = data.draw(st.sampled_from(range(1, laid_out[0] + 1)))
    pair = data.draw(st.permutations(("none", "full")))
    first, second = (log.check("drop", finding, cylinder=cylinder) for finding in pair)
    told = json.loads(diagnosis(log.entries))
    assert [first["id"], second["id"]] in [row["entries"] for row in told["contradictions"]]
    for row in told["components"]:
        assert sum(state["p"] for state in row["states"]) == pytest.approx(1.0, abs=1e-6)
    listed = sum(row["p"] for row in told["explanations"])
    assert listed + told["rest"] == pytest.approx(1.0, abs=1e-6)


@bounded
@given(plans(), st.data())
def test_the_later_of_two_findings_on_the_same_thing_counts(plan, data):
    laid_out, acts = plan
    cylinder = data.draw(st.sampled_from(range(1, laid_out[0] + 1)))
    one, other = (data.draw(st.sampled_from(sorted(evidence.RUNNING["drop"]))) for _ in range(2))
    log, _ = write(laid_out, acts)
    first = log.check("drop", one, cylinder=cylinder)
    log.check("drop", other, cylinder=cylinder)
    assert same(marginals(log.entries), marginals([entry for entry in log.entries if entry is not first]))
