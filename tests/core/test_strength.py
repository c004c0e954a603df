"""How strongly a finding speaks: the grades, and that what they are compared with weighs as much by the tables."""

import json
import math

import pytest

from coiltrail.core import bridge, evidence, strength
from demo_fixtures.logbook import Logbook
from tests.core.trade_cases import every


def decibans(ratio: float) -> float:
    return 10 * math.log10(ratio)


def grade(weight: float) -> str:
    return next(key for key, least, *_ in strength.GRADES if abs(weight) >= least)


def test_grades_are_half_and_whole_powers_of_ten():
    assert [decibans(ratio) for ratio in (100, 10)] == pytest.approx([strength.SETTLED, strength.STRONG])
    assert decibans(math.sqrt(10)) == pytest.approx(strength.CLEAR)
    assert [least for _, least, *_ in strength.GRADES] == [20.0, 10.0, 5.0, 1.0]


@pytest.mark.parametrize(
    ("weight", "words"),
    [
        (25.0, "all but settles it"),
        (-25.0, "all but rules it out"),
        (12.0, "speaks strongly for it"),
        (-12.0, "speaks strongly against it"),
        (5.0, "speaks clearly for it"),
        (-1.0, "speaks a little against it"),
        (0.9, "speaks for both alike"),
        (-0.9, "speaks for both alike"),
    ],
)
def test_words_of_a_weight(weight, words):
    assert strength.words(weight) == words


def test_what_the_grades_are_compared_with_weighs_as_much():
    looks = evidence.LOOKS[("connector_look", "coil_connector")]
    assert grade(decibans(looks["good"]["intermittent"] / looks["good"]["good"])) == "little"
    assert grade(decibans(looks["good"]["open"] / looks["good"]["good"])) in ("little", "clear")
    assert grade(decibans(looks["latch_broken"]["intermittent"] / looks["latch_broken"]["good"])) == "clear"
    wiggle = evidence.SIGNS["wiggle"]
    shown = wiggle["sources"][("coil_connector", "intermittent")][1]
    leak = wiggle["leak"][1]
    assert grade(decibans((1 - (1 - shown) * (1 - leak)) / leak)) == "strong"
    assert 2 * strength.STRONG == strength.SETTLED


def test_a_miss_that_moves_with_the_part_is_as_strong_as_the_words_say():
    log = Logbook("moves")
    log.complaint("shakes", circumstances=["always"])
    log.drop(every(4, "full", {3: "none"}), disabled="tool")
    log.swap("coil", 3, 1)
    log.drop({1: "none", 3: "full"}, disabled="tool")
    why = json.loads(bridge.answer("why", json.dumps({"entries": log.entries, "index": 0})))
    last = why["rows"][-1]
    assert grade(last["decibans"]) == "strong"
    assert last["words"] == "speaks strongly for it"
    assert last["text"].startswith("After \u201c")
    assert "Coils of cylinders 3 and 1 swapped" in last["text"]


def test_odds_multiply_to_the_total():
    assert strength.odds(0.0) == "1 to 1"
    assert strength.odds(decibans(12)) == "12 to 1"
    assert strength.odds(-decibans(12)) == "1 to 12"
    assert strength.odds(decibans(2.5)) == "2.5 to 1"
    assert strength.odds(60.0) == "over 10,000 to 1"


def test_ahead_is_never_said_of_what_is_behind():
    assert strength.ahead(-15.0) == strength.ahead(0.0) == "It is level with the next best."
    assert strength.lead(15.0) == "far ahead"


@pytest.mark.parametrize(
    ("share", "text"),
    [
        (0.0, "0 %"),
        (0.004, "under 1 %"),
        (0.125, "13 %"),
        (0.455, "46 %"),
        (0.985, "99 %"),
        (0.996, "over 99 %"),
        (1, "100 %"),
    ],
)
def test_a_share_is_rounded_as_in_the_list_of_causes(share, text):
    assert strength.percent(share).replace("\u00a0", " ") == text
