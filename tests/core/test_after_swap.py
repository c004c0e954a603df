"""After a swap both places are looked at in one go, in the way that showed the miss before."""

import pytest

from coiltrail.core import advice, after_swap, casefile, costs, explanations
from demo_fixtures.logbook import Logbook
from tests.core.trade_cases import every


def looks(log: Logbook, tools: list[str] | None = None) -> list[dict]:
    case = casefile.fold(log.entries)
    return after_swap.look_again(case, costs.Costs(case, tools))


def keys(steps: list[dict]) -> list[str]:
    return [step["key"] for step in steps]


def first_step(log: Logbook, **means) -> dict:
    return advice.next_steps(explanations.Diagnosis(casefile.fold(log.entries)), **means)[0]


def dead_three() -> Logbook:
    log = Logbook("dead three")
    log.complaint("shakes", circumstances=["always"])
    log.codes("P0303")
    log.drop(every(4, "full", {3: "none"}), disabled="tool")
    return log


def under_load() -> Logbook:
    log = Logbook("under load")
    log.complaint("jerks", circumstances=["load"])
    log.codes("P0302")
    log.drive(10, felt="sometimes", conditions=["load"], counts={2: 80})
    return log


def test_without_a_swap_there_is_nothing_to_look_at_again():
    assert looks(dead_three()) == []


def test_both_places_are_one_step():
    log = dead_three()
    log.swap("coil", 3, 1)
    [step] = looks(log)
    assert step["body"] == {"check": "drop", "cylinders": [1, 3]}
    assert step["caution"]
    assert first_step(log) == step


@pytest.mark.parametrize(("seen", "left", "finding"), [(1, 3, "none"), (3, 1, "none"), (1, 3, "full")])
def test_one_place_alone_leaves_the_other(seen, left, finding):
    log = dead_three()
    log.swap("coil", 3, 1)
    log.drop({seen: finding}, disabled="tool")
    [step] = looks(log)
    assert step["body"]["cylinders"] == [left]
    assert f"what {left} does" in step["why"]


def test_once_both_are_known_the_search_goes_on():
    log = dead_three()
    log.swap("coil", 3, 1)
    log.drop({3: "full", 1: "none"}, disabled="tool")
    assert looks(log) == []
    assert first_step(log)["key"] == "repair/coil@3"


@pytest.mark.parametrize(("still", "step"), [(1, "repair/coil@3"), (3, "check/injector_sound/injector.3")])
def test_engine_speeds_tell_whether_the_miss_moved_as_well_as_a_finding(still, step):
    log = dead_three()
    log.swap("coil", 3, 1)
    for cylinder in (1, 3):
        log.check("drop", cylinder=cylinder, rpm_before=720.0, rpm_during=718.0 if cylinder == still else 610.0)
    assert looks(log) == []
    assert first_step(log)["key"] == step


def test_parts_put_back_where_they_were_known_are_not_asked_about():
    log = dead_three()
    log.swap("coil", 3, 1)
    log.drop({3: "none", 1: "full"}, disabled="tool")
    log.swap("coil", 3, 1)
    assert looks(log) == []


def test_the_owners_swap_before_arrival_is_not_ours_to_read():
    log = Logbook("owner")
    log.swap("coil", 2, 4, before_arrival=1)
    log.complaint("shakes", circumstances=["always"])
    assert looks(log) == []


def test_a_pair_that_is_swapped_touches_all_its_cylinders():
    log = Logbook("pair", ignition="waste_spark")
    log.complaint("shakes", circumstances=["always"])
    log.drop(every(4, "full", {1: "none", 4: "none"}), disabled="tool")
    log.swap("coil", 1, 2)
    [step] = looks(log)
    assert step["body"]["cylinders"] == [1, 2, 3, 4]


def test_a_place_that_stands_empty_cannot_be_tried():
    log = dead_three()
    log.move(("coil.3", "off"))
    assert looks(log) == []


def test_what_showed_on_the_road_is_looked_for_on_the_road():
    log = under_load()
    log.swap("coil", 2, 3)
    clear, step = looks(log)
    assert (clear["key"], step["key"], step["kind"]) == ("clear", "road", "road_test")
    assert step["how"][0] == "It misses under load: bring that about."
    assert "counters of 2 and 3" in step["how"][1]
    log.drive(10, felt="sometimes", conditions=["load"], counts={3: 75})
    assert looks(log) == []


def test_without_counters_the_codes_name_the_cylinder():
    log = under_load()
    log.swap("coil", 2, 3)
    assert looks(log, ["code_reader"])[0]["key"] == "clear"
    log.clear()
    assert keys(looks(log)) == ["road"]
    log.drive(10, felt="sometimes", conditions=["load"])
    assert keys(looks(log)) == ["read", "round/misfire_counts/2-3"]
    log.codes("P0303")
    assert looks(log) == []


def test_counters_that_showed_it_are_read_again_where_there_is_a_tool():
    log = Logbook("counters")
    log.complaint("shakes", circumstances=["always"])
    log.round("misfire_counts", every(4, "none", {3: "many"}))
    log.swap("coil", 3, 4)
    assert looks(log)[0]["body"]["check"] == "misfire_counts"
    assert looks(log, [])[0]["body"]["check"] == "drop"


def test_other_ways_do_not_propose_the_same_look_once_more():
    log = dead_three()
    log.swap("coil", 3, 1)
    steps = advice.next_steps(explanations.Diagnosis(casefile.fold(log.entries)))
    assert not [step for step in steps[1:] if step["body"].get("check") in ("drop", "misfire_counts")]


def test_quiet_at_both_places_is_driven_once():
    log = dead_three()
    log.swap("coil", 3, 1)
    log.drop({3: "full", 1: "full"}, disabled="tool")
    [step] = looks(log)
    assert (step["key"], step["kind"]) == ("road", "road_test")
    log.drive(15)
    assert looks(log) == []


def hot_under_load() -> Logbook:
    log = Logbook("hot", 6, "vee")
    log.complaint("jerks", circumstances=["load", "hot"])
    log.codes("P0305")
    log.swap("coil", 5, 3)
    return log


def test_a_drive_that_tells_nothing_is_not_proposed_again():
    log = hot_under_load()
    assert keys(looks(log)) == ["clear", "road"]
    log.drive(10, felt="sometimes", conditions=["load", "hot"])
    assert keys(looks(log)) == ["clear", "round/misfire_counts/3-5"]
    log.codes("P0305")
    assert keys(looks(log)) == ["clear", "round/misfire_counts/3-5"]
    log.clear()
    assert keys(looks(log)) == ["road"]
    log.drive(10, felt="sometimes", conditions=["load", "hot"])
    assert keys(looks(log))[0] == "read"
    log.codes("P0303")
    assert looks(log) == []


def test_without_a_reader_the_cylinders_are_tried_after_the_drive():
    log = hot_under_load()
    assert keys(looks(log, [])) == ["road"]
    log.drive(10, felt="sometimes", conditions=["load", "hot"])
    assert keys(looks(log, [])) == ["round/drop/3-5"]
    log.drop({3: "full", 5: "full"})
    assert looks(log, []) == []


def test_a_reading_that_is_not_complete_does_not_tell_what_stayed_away():
    log = hot_under_load()
    log.clear()
    log.drive(10, felt="sometimes", conditions=["load", "hot"])
    log.codes(complete=False)
    assert keys(looks(log)) == ["round/misfire_counts/3-5"]


def test_codes_cleared_right_before_the_swap_are_cleared():
    log = Logbook("before")
    log.complaint("jerks", circumstances=["load"])
    log.codes("P0302")
    log.clear()
    log.swap("coil", 2, 3)
    assert keys(looks(log)) == ["road"]
    log.drive(10, felt="sometimes", conditions=["load"])
    log.codes("P0303")
    assert looks(log) == []


def test_the_counter_of_one_cylinder_asks_for_the_counter_of_the_other():
    log = hot_under_load()
    log.check("misfire_counts", "many", cylinder=5)
    assert keys(looks(log)) == ["round/misfire_counts/3"]


def test_a_drive_that_says_where_it_missed_settles_the_swap():
    log = hot_under_load()
    log.add("road_test", minutes=10, felt="sometimes", conditions=["load"], missed=[3])
    assert looks(log) == []
    told = explanations.Diagnosis(casefile.fold(log.entries))
    coil = next(i for i, c in enumerate(told.model.components) if c.name == "coil@5")
    assert told.fault(coil) > 0.6
    assert first_step(log)["key"] == "check/coil_look/coil.3"  # its boot moved along
    log.check("coil_look", "good", place="coil.3")
    assert first_step(log)["key"] == "repair/coil@5"


def test_who_could_not_tell_where_it_missed_tries_the_cylinders():
    log = hot_under_load()
    log.add("road_test", minutes=10, felt="sometimes", conditions=["load"], untold=True)
    assert keys(looks(log)) == ["round/misfire_counts/3-5"]


def test_the_swap_itself_says_to_clear_what_is_stored():
    log = dead_three()
    told = advice.next_steps(explanations.Diagnosis(casefile.fold(log.entries)))
    [swap] = [step for step in told if step["act"] == "swap"][:1]
    assert any("clear them before the engine runs" in line for line in swap["how"])
    log.clear()
    told = advice.next_steps(explanations.Diagnosis(casefile.fold(log.entries)))
    [swap] = [step for step in told if step["act"] == "swap"][:1]
    assert not any("clear them" in line for line in swap["how"])
