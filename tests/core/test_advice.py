"""The steps proposed: their order, what leaves them out, and what each says."""

import json

import pytest

from coiltrail.core import advice, bridge, casefile, checks, chosen, explanations
from coiltrail.core import steps as step_words
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
        assert "round/drop/1-3" not in keys(log)
        log.swap("coil", 3, 1)
        assert "round/drop/1-3" in keys(log)

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


class TestWithACoilOff:
    VAN = ("code_reader", "meter", "plug_socket", "stethoscope", "test_lamp", "spark_tester")

    def stayed(self) -> Logbook:
        """The miss stayed when the coils were swapped, so that plug, injector and circuits are left."""
        log = dead_three()
        log.swap("coil", 3, 2)
        log.drop({3: "none", 2: "full"}, disabled="tool")
        return log

    @pytest.mark.parametrize("van", [VAN, VAN[:-1]])
    def test_what_lies_under_it_comes_before_what_needs_another_way_in(self, van):
        log = self.stayed()
        assert keys(log, tools=van)[0] == "check/injector_sound/injector.3"
        log.check("coil_look", "good", place="coil.3")
        first = steps(log, tools=van)[0]
        assert first["key"] in ("check/spark/coil.3", "check/plug_look/plug.3")
        assert first["why"].startswith("The coil is off already.")

    def test_once_it_is_back_on_the_order_is_as_before(self):
        log = self.stayed()
        log.check("coil_look", "good", place="coil.3")
        log.drop({3: "none"}, disabled="tool")
        first = steps(log, tools=self.VAN)[0]
        assert first["key"] == "check/injector_sound/injector.3"
        assert "off already" not in first["why"]

    def test_a_swap_that_tells_most_still_comes_first(self):
        log = dead_three()
        log.check("coil_look", "good", place="coil.3")
        assert keys(log, tools=self.VAN[:-1])[0] == "swap/coil/3/2"


class TestABootAlone:
    """Coil and boot went over together: moving the boot alone tells them apart, where it spares more than it costs."""

    def went_along(self) -> Logbook:
        log = Logbook("went along")
        log.complaint("shakes", circumstances=["wet"])
        log.codes("P0303")
        wet = {"conditions": ["idle", "wet"], "disabled": "tool"}
        log.drop({1: "full", 2: "full", 3: "small", 4: "full"}, **wet)
        log.swap("coil", 3, 2)
        log.drop({2: "small", 3: "full"}, **wet)
        return log

    def offered(self, log: Logbook, price: int) -> list[dict]:
        found = steps(log, tools=["code_reader"], prices={"coil": price}, labour_rate=100)
        return [step for step in found if step["key"].startswith("swap/boot/2/")]

    def test_it_is_moved_where_the_coil_is_dear(self):
        [step] = self.offered(self.went_along(), 150)
        assert step["title"] == "Swap the boots of cylinders 2 and 1"
        assert "Pull the two boots off their coils and swap them; each coil goes back where it was." in step["how"]
        assert step["saves"] > chosen.LEAST_SAVING

    def test_it_is_not_where_a_coil_costs_little(self):
        assert self.offered(self.went_along(), 20) == []

    def test_it_is_not_moved_twice(self):
        log = self.went_along()
        log.swap("boot", 2, 1)
        log.drop({1: "full", 2: "small"}, conditions=["idle", "wet"], disabled="tool")
        assert self.offered(log, 150) == []

    def test_a_coil_that_goes_along_with_its_boot_says_so(self):
        [swap] = [step for step in steps(dead_three()) if step["key"].startswith("swap/coil")]
        assert "each with its boot on it" in swap["how"][1]


class TestMoney:
    def test_a_proof_spares_more_the_dearer_the_part(self):
        log = dead_three()
        cheap, dear = [
            max(step["saves"] or 0 for step in steps(log, prices={"coil": price}, labour_rate=100))
            for price in (5, 400)
        ]
        assert dear > cheap > 0

    def test_even_a_cheap_part_is_not_bought_unproved(self):
        log = dead_three()
        log.check("spark", "none", place="coil.3")
        log.check("connector_look", "good", place="coil.3")
        for price in (5, 400):
            assert keys(log, prices={"coil": price}, labour_rate=100)[0] == "swap/coil/3/2"


class TestOrder:
    def test_the_first_step_saves_most_or_ends_the_search(self):
        for key in ("1", "3", "5", "7"):
            told = [step for step in steps(log_of(key)) if step["act"] in ("check", "swap") and step["saves"]]
            assert told[0]["saves"] >= max(step["saves"] for step in told) - chosen.LEAST_SAVING

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
        told = steps(log)
        assert told[0]["key"] == "round/drop/1-3"
        assert told[0]["body"] == {"check": "drop", "cylinders": [1, 3]}
        assert "1 and 3" in told[0]["title"]


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
        assert told["check/spark/coil.3"].startswith("If “No spark”: most likely coil 3 (")
        assert "%" in told["check/spark/coil.3"]

    def test_dangerous_work_carries_its_caution(self, all_steps):
        for step in all_steps:
            if step["body"].get("check") == "spark":
                assert step["caution"] == checks.CAUTION_SECONDARY
            if step["key"].startswith("swap/injector"):
                assert step["caution"] == checks.CAUTION_FUEL
            if step["key"] == "clear":
                assert "readiness" in step["caution"]

    def test_a_part_that_stood_in_oil_is_not_replaced_without_the_cover(self):
        log = Logbook("oil")
        log.complaint("jerks", circumstances=["wet"])
        log.drop({1: "full", 2: "full", 3: "small", 4: "full"}, conditions=["idle", "wet"], disabled="tool")
        log.check("coil_look", "oil_in_well", place="coil.3")
        log.swap("boot", 3, 1)
        log.drop({1: "small", 3: "full"}, conditions=["idle", "wet"], disabled="tool")
        log.check("coil_look", "oil_in_well", place="coil.1")
        [repair] = [step for step in steps(log) if step["key"] == "repair/boot@3"]
        assert "seal the cover" in repair["why"]

    def test_work_on_fuel_and_on_wires_carries_its_own_caution(self):
        assert checks.CAUTION_FUEL in step_words.cautions_of("injector")
        assert checks.CAUTION_FUEL in step_words.cautions_of("fuel_delivery")
        assert step_words.cautions_of("coil_wiring") == [step_words.CAUTION_WIRE]
        assert step_words.CAUTION_TORQUE in step_words.cautions_of("plug")

    def test_a_coil_and_its_boot_are_one_chance(self):
        log = Logbook("coil or boot")
        log.complaint("jerks", circumstances=["load", "hot"])
        log.codes("P0303 pending")
        log.check("coil_primary", "in_range", place="coil.3")
        log.check("coil_secondary", "in_range", place="coil.3")
        log.drive(20, felt="sometimes", conditions=["load", "hot"], counts={3: 60})
        log.swap("coil", 3, 2)
        log.drive(20, felt="sometimes", conditions=["load", "hot"], counts={2: 55})
        assert steps(log)[0]["key"] == "check/coil_look/coil.2"
        log.check("coil_look", "cracked", place="coil.2")
        diagnosis = explanations.Diagnosis(casefile.fold(log.entries))
        [[alone, fault]] = [[one["p"], one["faults"]] for one in diagnosis.explanations() if "coil" in one["label"]][:1]
        assert [each["component"] for each in fault] == ["coil@3"]
        [repair] = [step for step in steps(log) if step["key"] == "repair/coil@3"]
        before, together = repair["why"].split("; with its boot, which comes off with it, ")
        assert alone < 0.8
        assert before == f"What was found makes it {alone:.0%} likely".replace("%", "\u00a0%")
        assert together == "over 99\u00a0%."

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


class TestBeforeAnythingIsSold:
    def test_an_oily_plug_is_not_sold_before_its_cylinder_was_measured(self):
        log = dead_three()
        log.swap("coil", 3, 1)
        log.drop({3: "none", 1: "full"}, disabled="tool")
        log.check("injector_sound", "clicks", place="injector.3")
        log.check("plug_look", "oiled", place="plug.3")
        assert "check/compression/3" in keys(log)
        assert not [key for key in keys(log) if key.startswith("repair/")]
        log.check("compression", "good", cylinder=3)
        assert keys(log)[0] == "repair/plug@3"

    def test_nobody_is_sent_to_a_workshop_for_a_cylinder_that_was_not_measured(self):
        log = dead_three()
        for kind in ("coil", "plug"):
            log.swap(kind, 3, 1)
            log.drop({3: "none", 1: "full"}, disabled="tool")
            log.check("plug_look", "oiled", place="plug.3")
        log.check("injector_sound", "clicks", place="injector.3")
        told = keys(log)
        assert "hand_over" in told
        assert told[0] == "check/compression/3"
        log.check("compression", "low", cylinder=3)
        assert keys(log)[0] == "hand_over"


def test_no_one_of_causes_that_are_alike_is_named_as_the_likeliest():
    log = Logbook("alike", 6, "vee")
    log.complaint("shakes", circumstances=["idle"])
    [trim] = [step for step in steps(log) if step["key"] == "check/fuel_trim/engine"]
    assert "nothing stands out yet" in trim["why"] and "coil 1" not in trim["why"]


class TestInTheWet:
    @pytest.mark.parametrize(("symptom", "rounds"), [("shakes", ["spray", "drop"]), ("jerks", ["spray"])])
    def test_what_shakes_may_miss_as_it_stands(self, symptom, rounds):
        log = Logbook("rain", 4)
        log.complaint(symptom, circumstances=["wet"])
        told = [key.partition("/")[2] for key in keys(log, tools=[]) if key.startswith("round/")]
        assert told[:-1] == rounds  # then the connectors


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
            ({"prices": {"coil": 40}}, "labor rate"),
        ],
    )
    def test_means_that_cannot_be_are_declined_with_a_reason(self, arguments, words):
        for name in ("diagnosis", "deeper_advice"):
            assert words in self.ask(name, **arguments)["error"]["message"]
