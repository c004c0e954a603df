"""What a mechanic of long standing would hold of each case of the trade comes out of the core."""

import json

import pytest

from coiltrail.core import bridge, casefile, checks, grading
from coiltrail.core.engine import IGNITIONS
from tests.core.test_findings import SPEAKS
from tests.core.trade_cases import CASES, TradeCase


def ask(name: str, case: TradeCase) -> dict:
    told = json.loads(bridge.answer(name, json.dumps({"entries": case.build().entries, **case.means})))
    assert "error" not in told, told
    return told


@pytest.fixture(scope="module", params=CASES, ids=lambda case: case.key)
def told(request):
    """(case, diagnosis)."""
    return request.param, ask("diagnosis", request.param)


def keys(steps: list[dict]) -> list[str]:
    return [step["key"] for step in steps]


def begins(key: str, beginnings: tuple[str, ...]) -> bool:
    return any(key.startswith(beginning) for beginning in beginnings)


def test_the_right_component_leads(told):
    case, diagnosis = told
    if case.leads:
        assert diagnosis["components"][0]["component"] in case.leads, case.reason


def test_the_next_step_is_one_a_mechanic_would_take(told):
    case, diagnosis = told
    assert diagnosis["steps"], case.reason
    if case.next:
        assert begins(diagnosis["steps"][0]["key"], case.next), (case.reason, keys(diagnosis["steps"]))


def test_no_step_is_one_a_mechanic_would_object_to(told):
    case, diagnosis = told
    assert not [key for key in keys(diagnosis["steps"]) if begins(key, case.never)], case.reason


def test_what_is_not_to_blame_is_not_blamed(told):
    case, diagnosis = told
    for component, most in case.below.items():
        [fault] = [row["fault"] for row in diagnosis["components"] if row["component"] == component]
        assert fault < most, (component, case.reason)


def test_every_probability_is_one(told):
    _, diagnosis = told
    assert sum(e["p"] for e in diagnosis["explanations"]) + diagnosis["rest"] == pytest.approx(1.0, abs=1e-6)
    for row in diagnosis["components"]:
        assert sum(state["p"] for state in row["states"]) == pytest.approx(1.0, abs=1e-6)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.key)
def test_the_deeper_answer_is_one_a_mechanic_would_not_object_to_either(case):
    steps = ask("deeper_advice", case)["steps"]
    assert steps
    assert not [key for key in keys(steps) if begins(key, case.never)], case.reason


def test_the_cases_cover_every_arrangement_and_give_their_reasons():
    arrangements = {case.build().entries[0]["body"]["engine"]["ignition"] for case in CASES}
    assert arrangements == {ignition for ignition, _ in IGNITIONS}
    assert len(CASES) >= 40
    assert all(case.reason.endswith(".") and (case.leads or case.next or case.never) for case in CASES)


def test_the_cases_hold_every_check_and_what_they_do_not_find_is_in_the_table_of_findings():
    found = set()
    for case in CASES:
        folded = casefile.fold(case.build().entries)
        for _, entry in folded.of_kind("check"):
            found.add((entry["body"]["check"], grading.finding_of(folded, entry)))
    assert {check for check, _ in found} == set(checks.BY_KEY)
    offered = {(key, finding) for key in checks.BY_KEY for finding in checks.findings_of(key)}
    assert offered - found <= {(check, finding) for check, rows in SPEAKS.items() for finding in rows}
