"""What is left out where a case ties too much together, held against the same case worked out whole."""

import json

import pytest

from coiltrail.core import bridge, casefile, explanations, thinning, verification
from coiltrail.core.gradually import finish
from demo_fixtures.logbook import Logbook


def moved_one_after_the_other(*parts: str, cylinders: int = 4) -> Logbook:
    """A miss of cylinder 4 under load; its parts go to 2, and the miss goes with the last of all."""
    log = Logbook("moved", cylinders=cylinders, layout="vee" if cylinders > 4 else "inline")
    log.complaint("jerks", circumstances=["load"])
    log.codes("P0304")
    drive(log, 4)
    for part in parts:
        log.swap(part, 4, 2)
        drive(log, 2 if part == parts[-1] else 4)
    return log


def drive(log: Logbook, misses: int) -> None:
    counts = {cylinder: 40 if cylinder == misses else 0 for cylinder in range(1, log.engine.cylinders + 1)}
    log.drive(20, felt="sometimes", conditions=["load"], counts=counts)


def diagnosed(log: Logbook) -> explanations.Diagnosis:
    return explanations.Diagnosis(casefile.fold(log.entries))


def size(diagnosis: explanations.Diagnosis) -> int:
    return sum(diagnosis.posterior.network.plan.lengths)


def faults(diagnosis: explanations.Diagnosis) -> dict[str, float]:
    return {c.name: diagnosis.fault(index) for index, c in enumerate(diagnosis.model.components)}


def test_parts_of_three_kinds_moved_between_the_same_cylinders_stay_small_enough_for_a_phone():
    diagnosis = diagnosed(moved_one_after_the_other("coil", "plug", "injector"))
    assert size(diagnosis) <= thinning.MOST_NUMBERS
    assert 0.0 < diagnosis.posterior.limit <= 0.0003
    assert faults(diagnosis)["injector@4"] > 0.8


@pytest.mark.parametrize(("parts", "thinned"), [(("coil",), False), (("coil", "plug", "injector"), True)])
def test_the_page_is_told_whether_something_was_left_out(parts, thinned):
    entries = moved_one_after_the_other(*parts).entries
    assert json.loads(bridge.answer("diagnosis", json.dumps({"entries": entries})))["thinned"] is thinned


def test_asking_why_leaves_the_model_as_it_was_solved():
    diagnosis = diagnosed(moved_one_after_the_other("coil"))
    before = [list(c.paths) for c in diagnosis.model.components]
    finish(diagnosis.why(0))
    assert [c.paths for c in diagnosis.model.components] == before


def test_a_case_that_fits_is_worked_out_whole():
    diagnosis = diagnosed(moved_one_after_the_other("coil"))
    assert diagnosis.posterior.limit == 0.0
    assert all(len(c.paths) >= len(c.states) for c in diagnosis.model.components)


@pytest.mark.parametrize("limit", thinning.LIMITS[:3])
@pytest.mark.parametrize("parts", [("coil", "plug"), ("plug", "injector")])
def test_what_is_left_out_hardly_changes_what_is_told(monkeypatch, parts, limit):
    log = moved_one_after_the_other(*parts)
    monkeypatch.setattr(thinning, "MOST_NUMBERS", 10**9)
    whole = diagnosed(log)
    monkeypatch.setattr(thinning, "MOST_NUMBERS", 1)
    monkeypatch.setattr(thinning, "LIMITS", (limit,))
    thin = diagnosed(log)
    assert (whole.posterior.limit, thin.posterior.limit) == (0.0, limit)
    assert size(thin) < size(whole) / 4
    assert faults(thin) == pytest.approx(faults(whole), abs=0.005)


def test_no_fault_that_the_findings_call_for_is_left_out():
    """The support of what explains every miss is its prior, however unlikely the misses are with all sound."""
    diagnosis = diagnosed(moved_one_after_the_other("coil", "plug", "injector"))
    model = diagnosis.model
    index = [c.name for c in model.components].index("injector@4")
    best = max(thinning.support(model)[index][1:])
    weights = model.components[index].weights
    assert best == pytest.approx(max(weights[1:]) / weights[0])


def test_a_repair_of_such_a_case_is_judged_too():
    log = moved_one_after_the_other("coil", "plug", "injector")
    log.replace("injector.2")
    log.drive(30, conditions=["load"])
    case = casefile.fold(log.entries)
    told = verification.fixed(case, explanations.Diagnosis(case))
    assert 0.5 < told["p"] < 1.0
