"""Torques that cannot be meant: asked about, marked, never forbidden."""

import json

import pytest

from coiltrail.core import bridge, casefile, measures, torque
from demo_fixtures.logbook import Logbook, quantity


def doubt(typed: str, **body) -> dict | None:
    return torque.doubt({"work": "replaced", "torque": quantity(typed, "torque")} | body)


@pytest.mark.parametrize(
    ("typed", "body"),
    [
        ("18", {"place": "plug.1"}),
        ("25 lbf·ft", {"place": "plug.1", "thread": "m14"}),
        ("6 lbf·ft", {"place": "coil.3"}),  # practice, check-values
        ("10", {"component": "coil_connector@3"}),
        ("180", {"component": "cam_timing"}),  # nothing is known of what holds it
    ],
)
def test_what_can_be_meant_is_let_pass(typed, body):
    assert doubt(typed, **body) is None


def test_a_figure_copied_with_another_unit_is_told_and_read_in_it():
    told = doubt("180 N·m", place="plug.2")
    assert (
        told["text"]
        == "180\u00a0N·m is above what a spark plug takes: 7 to 50\u00a0N·m, a rough span, not the maker's figure."
    )
    assert told["instead"] == [{"unit": "lbf·in", "text": "180\u00a0lbf·in"}]
    assert measures.to_si(180, "lbf·in") == pytest.approx(20.34, abs=0.01)


def test_a_loose_one_is_told_too():
    assert "is below what a coil's screw takes" in doubt("0.8", place="coil.1")["text"]
    assert [row["unit"] for row in doubt("1.2", place="plug.1")["instead"]] == ["kgf·m"]


def test_thread_and_seat_narrow_the_span():
    assert doubt("25", place="plug.1", thread="m10")["high"] == 18.0
    assert doubt("25", place="plug.1") is None
    # Of a thread that a newer version may know, the span of all plugs.
    assert doubt("60", place="plug.1", thread="m99")["high"] == 50.0


def test_a_thread_says_nothing_of_a_coils_screw():
    assert doubt("25", place="coil.1", thread="m14")["text"].startswith(
        "25\u00a0N·m is above what a coil's screw takes"
    )


def test_every_span_is_in_order_and_names_its_origin():
    for low, high, origin in torque.SPANS.values():
        assert 0 < low < high and origin in (torque.PRACTICE, torque.ESTIMATE)
    assert {value for value, _ in torque.THREADS} <= set(torque.SPANS)
    assert set(torque._HELD_BY.values()) <= set(torque.SPANS)


def test_what_was_recorded_stands_and_is_marked():
    log = Logbook("doubtful torque")
    log.replace("plug.1", torque="180", torque_source="Maker's sheet")
    log.replace("plug.2", torque="18")
    doubtful, good = casefile.view(casefile.fold(log.entries))["timeline"][-2:]
    assert doubtful["text"] == "Part replaced, spark plug 1, torque 180\u00a0N·m, doubtful"
    assert doubtful["doubt"].startswith("180\u00a0N·m is above what a spark plug takes")
    assert (good["text"], good["doubt"]) == ("Part replaced, spark plug 2, torque 18\u00a0N·m", "")


def test_the_phone_asks_in_the_units_it_shows():
    body = {"work": "replaced", "place": "plug.1", "torque": quantity("180", "torque")}
    asked = json.dumps({"body": body, "units": {"torque": "lbf·ft"}})
    text = json.loads(bridge.answer("torque", asked))["doubt"]["text"]
    assert text.startswith("132.8\u00a0lbf·ft is above what a spark plug takes: 5.2 to 36.9\u00a0lbf·ft")
    nothing = json.loads(bridge.answer("torque", json.dumps({"body": {"work": "mended"}})))
    assert nothing == {"doubt": None, "span": None}


def test_the_span_is_told_before_a_figure_is_typed_and_its_origin_apart_from_it():
    told = torque.span({"place": "plug.2", "thread": "m12"}, "N·m")
    assert told["text"].endswith(": 12 to 28\u00a0N·m. A rough span, not the maker's figure.")
    assert told["origin"] == torque.PRACTICE and told["origin"] not in told["text"]
    assert "7 to 50\u00a0N·m" in torque.span({"place": "plug.2", "thread": "m5"}, "N·m")["text"]
    assert torque.span({"place": "off"}, "N·m") is None
