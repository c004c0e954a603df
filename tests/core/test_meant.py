"""Readings that can hardly be meant: asked about, never forbidden."""

import json

import pytest

from coiltrail.core import bridge, checks, entries, meant, measures
from demo_fixtures.logbook import Logbook, quantity


def of_reading(check: str, typed: str) -> list[dict]:
    return meant.doubts({"check": check, "reading": quantity(typed, checks.BY_KEY[check]["dimension"])})


def test_a_compression_with_a_digit_too_many_is_asked_about_and_guessed():
    (doubt,) = of_reading("compression", "1780 psi")
    assert doubt["text"].startswith("1780\u00a0psi is far above the compression of an engine")
    assert (doubt["field"], doubt["origin"]) == ("reading", "estimate, from memory")
    first = doubt["instead"][0]
    assert first["text"] == "178\u00a0psi"
    assert first["value"] == {"si": pytest.approx(measures.to_si(178, "psi")), "typed": "178", "unit": "psi"}


@pytest.mark.parametrize(
    ("check", "typed"),
    [
        ("compression", "178 psi"),
        ("compression", "0 psi"),  # a dead cylinder
        ("compression", "60 psi"),
        ("compression", "12.5 bar"),
        ("leak_down", "68 %"),
        ("coil_primary", "0.7 Ω"),
        ("coil_secondary", "9.2 kΩ"),
        ("plug_gap", "0.8 mm"),
        ("coil_supply", "0 V"),
        ("fuel_pressure", "350 kPa"),
    ],
)
def test_what_sound_and_broken_parts_read_is_let_pass(check, typed):
    assert of_reading(check, typed) == []


@pytest.mark.parametrize(
    ("check", "typed", "instead"),
    [
        ("compression", "178 bar", "178\u00a0psi"),
        ("compression", "12.5 kPa", "12.5\u00a0bar"),
        ("leak_down", "680 %", "68\u00a0%"),
        ("coil_secondary", "9.2 Ω", "9.2\u00a0kΩ"),
        ("plug_gap", "0.8 in", "0.8\u00a0mm"),
        ("voltage", "126 V", "12.6\u00a0V"),
    ],
)
def test_another_unit_or_a_lost_point_is_among_what_may_have_been_meant(check, typed, instead):
    (doubt,) = of_reading(check, typed)
    assert instead in [row["text"] for row in doubt["instead"]]


def test_the_speed_of_an_engine_that_runs_is_asked_about_and_one_that_stalls_is_not():
    (doubt,) = meant.doubts({"check": "drop", "rpm_before": 702, "rpm_during": 60})
    assert (doubt["field"], doubt["instead"]) == ("rpm_during", [{"value": 600.0, "text": "600\u00a0rpm"}])
    assert meant.doubts({"check": "drop", "rpm_before": 702, "rpm_during": 0}) == []
    (doubt,) = meant.doubts({"check": "drop", "rpm_before": 9000})
    assert doubt["text"].startswith("9000\u00a0rpm is far above")


def test_nothing_is_asked_of_what_is_no_figure_or_of_an_unknown_check():
    half_typed = {"si": None, "typed": "1.", "unit": "psi"}
    assert meant.doubts({"check": "compression", "reading": half_typed}) == []
    assert meant.doubts({"check": "of_a_newer_version", "reading": quantity("5 kPa", "pressure")}) == []
    assert meant.doubts({"check": "drop", "rpm_during": "6o0"}) == []


def test_every_span_is_of_a_check_that_takes_a_reading_and_holds_what_is_usual():
    for key, (_, low, high, usual_low, usual_high) in meant.SPANS.items():
        assert "reading" in checks.BY_KEY[key]["fields"], key
        assert low < usual_low < usual_high <= high, key


def test_a_reading_that_is_asked_about_is_recorded_all_the_same():
    body = {"check": "compression", "cylinder": 1, "reading": quantity("1780 psi", "pressure")}
    assert entries.body_rules("check", body) == []
    told = json.loads(bridge.answer("meant", json.dumps({"body": body})))
    assert [doubt["field"] for doubt in told["doubts"]] == ["reading"]


@pytest.mark.parametrize(
    ("during", "tapped", "read"),
    [(602, "none", "full"), (602, "small", "full"), (688, "full", "none"), (602, "full", None), (688, "small", None)],
)
def test_a_finding_that_its_own_reading_speaks_against_is_asked_about(during, tapped, read):
    log = Logbook("contradicted")
    body = {"check": "drop", "cylinder": 3, "rpm_before": 690, "rpm_during": during, "finding": tapped}
    told = json.loads(bridge.answer("meant", json.dumps({"body": body, "entries": log.entries})))["doubts"]
    assert [(doubt["field"], doubt["instead"][0]["value"]) for doubt in told] == ([("finding", read)] if read else [])
    assert json.loads(bridge.answer("meant", json.dumps({"body": body})))["doubts"] == []


def test_a_reading_that_can_hardly_be_meant_comes_to_no_finding():
    log = Logbook("a digit too many")
    body = {"check": "drop", "cylinder": 3, "rpm_before": 690, "rpm_during": 60200}
    told = json.loads(bridge.answer("grade", json.dumps({"entries": log.entries, "body": body})))
    assert told["finding"] is None and "60200" in told["text"]
