"""The steps proposed: their order, what leaves them out, and what each says."""

import json

import pytest

from coiltrail.core import advice, bridge, casefile, checks, explanations
from demo_fixtures.logbook import Logbook
from demo_fixtures.stories import STORIES, VARIETY, log_of


def steps(log, **means) -> list[dict]:
    entries = log.entries if isinstance(log, Logbook) else log
    return advice.next_steps(explanations.Diagnosis(casefile.fold(entries)), **means)


def keys(log, **means) -> list[str]:
    return [step["key"] for step in steps(log, **means)]


def dead_three(cylinders=4, **engine) -> Logbook:
    log = Logbook(f"dead three {cylinders}", cylinders, **engine)
    log.complaint("shakes", "no_power", circumstances=["always"])
    log.drop({c: "none" if c == 3 else "full" for c in range(1, cylinders + 1)}, disabled="tool")
    return log


class TestFeasible:
    @pytest.mark.parametrize(
        "tools", [[], ["meter"], ["spark_tester", "stethoscope"], ["code_reader", "smoke_machine"]]
    )
    def test_no_step_needs_a_tool_that_is_not_in_the_van(self, tools):
        for step in steps(dead_three(), tools=tools, width=advice.DEEPER_WIDTH):
            assert all(any(tool in tools for tool in group) for group in step["tools"]), step["key"]

    def test_a_tool_brings_its_check_back(self):
        assert "check/spark/coil.3" not in keys(dead_three(), tools=[])
        assert "check/spark/coil.3" in keys(dead_three(), tools=["spark_tester"])

    def test_what_was_found_in_this_stretch_is_not_asked_again(self):
        log, van = dead_three(), ["spark_tester"]
        assert "check/spark/coil.3" in keys(log, tools=van)
        log.check("spark", "none", place="coil.3")
        assert "check/spark/coil.3" not in keys(log, tools=van)

    def test_once_the_part_has_moved_it_can_be_asked_anew(self):
        log = dead_three()
        log.check("spark", "weak", place="coil.3")
        log.swap("coil", 3, 1)
        assert [key for key in keys(log) if key.startswith(("check/drop", "check/spark"))]

    def test_a_part_that_was_moved_is_not_moved_again(self):
        log = dead_three()
        log.swap("coil", 3, 1)
        log.drop({3: "none", 1: "full"}, disabled="tool")
        assert not [key for key in keys(log, width=advice.DEEPER_WIDTH) if key.startswith("swap/coil")]

    def test_the_donor_of_a_swap_runs_clean(self):
        log = Logbook("donor", 4)
        log.complaint("shakes", circumstances=["always"])
        log.drop({1: "full", 2: "none", 3: "none", 4: "full"}, disabled="tool")
        swaps = [key.split("/")[2:] for key in keys(log, tools=[]) if key.startswith("swap")]
        assert swaps
        assert all({a, b} & {"1", "4"} for a, b in swaps)


class TestAccess:
    def covered(self, *places: str) -> Logbook:
        log = Logbook("covered", 6, "vee")
        for place in places:
            log.note_part("coil", place, reach="covered")
        log.complaint("shakes", circumstances=["always"])
        log.drop({c: "none" if c == 3 else "full" for c in range(1, 7)}, disabled="tool")
        return log

    def minutes(self, log, key: str) -> int:
        return next(step["minutes"] for step in steps(log, tools=[]) if step["key"] == key)

    def test_minutes_include_the_way_in(self):
        open_, covered = self.covered(), self.covered("coil.3")
        key = "check/wiggle/coil.3"
        assert self.minutes(covered, key) >= self.minutes(open_, key) + 30

    def test_the_way_in_is_paid_once(self):
        log = self.covered("coil.1", "coil.3", "coil.5")
        before = self.minutes(log, "check/wiggle/coil.3")
        log.check("connector_look", "good", place="coil.3")
        assert self.minutes(log, "check/wiggle/coil.3") <= before - 30

    def test_what_is_easily_reached_comes_first_where_it_tells_as_much(self):
        assert keys(self.covered("coil.1", "coil.3", "coil.5"), tools=["stethoscope"])[0].startswith(
            "check/injector_sound"
        )

    def test_the_donor_is_one_that_is_easily_reached(self):
        log = self.covered("coil.1", "coil.5")
        swaps = [key for key in keys(log, tools=[]) if key.startswith("swap/coil")]
        assert swaps == ["swap/coil/3/2"] or swaps == ["swap/coil/3/4"]


class TestMoney:
    def test_a_cheap_part_is_sooner_fitted_and_a_dear_one_sooner_proved(self):
        log = dead_three()
        log.check("spark", "none", place="coil.3")
        cheap = steps(log, prices={"coil": 5}, labour_rate=100)[0]
        dear = steps(log, prices={"coil": 400}, labour_rate=100)[0]
        assert cheap["key"] == "repair/coil@3"
        assert dear["act"] in ("check", "swap")


class TestOrder:
    def test_the_first_step_saves_most_or_ends_the_search(self):
        for key in ("1", "3", "5", "7"):
            told = [step for step in steps(log_of(key)) if step["act"] in ("check", "swap") and step["saves"]]
            assert told[0]["saves"] >= max(step["saves"] for step in told) - advice.LEAST_SAVING

    def test_with_no_case_yet_the_codes_and_the_drop_test_come_first(self):
        log = Logbook("fresh")
        log.complaint("shakes", circumstances=["always"])
        assert keys(log)[:2] == ["codes", "round/drop"]

    def test_a_fault_that_comes_and_goes_is_looked_for_with_counters(self):
        log = Logbook("comes and goes")
        log.complaint("jerks", circumstances=["load"])
        assert keys(log)[:2] == ["codes", "round/misfire_counts"]

    def test_all_that_is_as_good_as_proved_is_repaired(self):
        assert [step["act"] for step in steps(log_of("16"))[:2]] == ["repair", "repair"]

    def test_after_a_swap_both_cylinders_are_looked_at_again(self):
        log = dead_three()
        log.swap("coil", 3, 1)
        assert steps(log)[0]["key"] in ("check/drop/1", "check/drop/3")


class TestHandingOver:
    def test_a_gasket_is_handed_on_with_its_name(self):
        step = steps(log_of("8"))[0]
        assert step["key"] == "hand_over"
        assert "head gasket between 2 and 3" in step["title"]

    @pytest.mark.parametrize("key", [story.key for story in STORIES])
    def test_no_overhaul_is_proposed_in_a_driveway(self, key):
        for step in steps(log_of(key)):
            assert not step["key"].startswith(("repair/compression", "repair/gasket", "repair/cam_timing"))


@pytest.fixture(scope="module")
def all_steps():
    return [step for story in STORIES + VARIETY for step in steps(story.build().entries)]


class TestWhatAStepSays:
    def test_every_step_has_all_its_parts(self, all_steps):
        for step in all_steps:
            assert set(step) == {
                "key", "act", "title", "minutes", "why", "how", "needs", "tools", "caution", "kind", "body", "saves",
            }  # fmt: skip
            assert step["act"] in ("check", "swap", "repair", "ask")
            assert step["title"] and step["why"].endswith((".", "?")) and step["minutes"] >= 1

    def test_a_check_says_what_its_outcomes_would_mean(self):
        told = {step["key"]: step["why"] for step in steps(dead_three(), tools=["spark_tester"])}
        assert told["check/spark/coil.3"].startswith("“None”: coil 3 ")
        assert "%" in told["check/spark/coil.3"]

    def test_dangerous_work_carries_its_caution(self, all_steps):
        for step in all_steps:
            if step["body"].get("check") == "spark":
                assert step["caution"] == checks.CAUTION_SECONDARY
            if step["key"].startswith("swap/injector"):
                assert step["caution"] == checks.CAUTION_FUEL
            if step["key"] == "clear":
                assert "readiness" in step["caution"]

    def test_no_step_is_told_twice(self):
        for story in STORIES + VARIETY:
            told = keys(story.build().entries)
            assert len(set(told)) == len(told), story.key

    def test_what_a_step_starts_to_record_is_sound(self, all_steps):
        for step in all_steps:
            if step["kind"] in ("check", "parts_moved", "repair") and step["body"].get("check") is None:
                problems = json.loads(
                    bridge.answer("check_body", json.dumps({"kind": step["kind"], "body": step["body"]}))
                )
                assert problems["problems"] == [], step


class TestTheBridge:
    def ask(self, name: str, **arguments) -> dict:
        return json.loads(bridge.answer(name, json.dumps({"entries": log_of("1"), **arguments})))

    def test_tools_narrow_the_steps(self):
        told = self.ask("diagnosis", tools=[])
        assert told["steps"]
        assert not any(step["tools"] for step in told["steps"])

    def test_the_deeper_answer_has_the_same_shape(self):
        deeper = self.ask("deeper_advice")
        assert set(deeper) == {"steps"}
        assert set(deeper["steps"][0]) == set(self.ask("diagnosis")["steps"][0])

    @pytest.mark.parametrize(
        ("arguments", "words"),
        [
            ({"tools": ["hammer"]}, "hammer"),
            ({"prices": {"coil": 40}}, "labour rate"),
        ],
    )
    def test_means_that_cannot_be_are_declined_with_a_reason(self, arguments, words):
        for name in ("diagnosis", "deeper_advice"):
            assert words in self.ask(name, **arguments)["error"]["message"]
