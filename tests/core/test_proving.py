"""What is left to do after a repair until it counts as proved."""

import pytest

from coiltrail.core import advice, casefile, explanations
from demo_fixtures.logbook import Logbook


def repaired(*codes: str) -> Logbook:
    log = Logbook("proving")
    log.complaint("shakes", circumstances=["always"])
    if codes:
        log.codes(*codes)
    log.drop({1: "full", 2: "full", 3: "none", 4: "full"}, disabled="tool")
    log.swap("coil", 3, 1)
    log.drop({3: "full", 1: "none"}, disabled="tool")
    log.replace("coil.1")
    return log


def first(log: Logbook) -> str:
    return advice.next_steps(explanations.Diagnosis(casefile.fold(log.entries)))[0]["key"]


def test_the_way_from_repair_to_report():
    log = repaired("P0303")
    assert first(log) == "check/drop/1"  # which may set a code, so before they are cleared
    log.drop({1: "full"}, disabled="coil")
    assert first(log) == "clear"
    log.clear()
    assert first(log) == "road"
    log.drive(20)
    assert first(log) == "read"
    log.codes()
    assert first(log) == "close"
    log.close("Coil of 3 dead", components=["coil@3"])
    assert first(log) == "report"


def test_without_codes_there_is_nothing_to_clear_or_read():
    log = repaired()
    log.drop({1: "full"}, disabled="tool")
    assert first(log) == "road"
    log.drive(20)
    assert first(log) == "close"


def test_where_water_made_it_miss_it_is_wetted_again_before_it_is_driven():
    log = Logbook("wetted")
    log.complaint("jerks", circumstances=["wet"])
    log.check("spray", "misses", cylinder=3)
    log.check("coil_look", "tracked", place="coil.3")
    log.replace("boot.3")
    assert first(log) == "check/spray/3"
    log.check("spray", "steady", cylinder=3)
    assert first(log) == "road"


def test_after_a_doubtful_repair_the_dead_cylinder_is_tried_before_the_car_is_driven():
    log = Logbook("doubtful")
    log.drop({1: "full", 2: "full", 3: "none", 4: "full"}, disabled="tool")
    log.check("connector_look", "corroded", place="coil.3")
    log.mend("coil_connector@3", "cleaned")
    assert first(log) == "check/drop/3"
    log.drop({3: "full"}, disabled="tool")
    assert first(log) == "road"


def test_a_drive_too_short_is_driven_on():
    log = Logbook("too short")
    log.complaint("jerks", circumstances=["load"])
    log.drive(10, felt="sometimes", counts={3: 2}, conditions=["load"])
    log.check("plug_look", "cracked", place="plug.3")
    log.replace("plug.3")
    log.drive(1, conditions=["load"])
    assert first(log) == "drive_on"


def test_a_fault_that_comes_now_and_then_is_driven_again_on_another_occasion():
    log = Logbook("another occasion")
    log.complaint("jerks", circumstances=["sometimes", "load"])
    log.check("plug_look", "cracked", place="plug.3")
    log.replace("plug.3")
    log.drive(30, conditions=["load"])
    again, close = advice.next_steps(explanations.Diagnosis(casefile.fold(log.entries)))
    assert (again["key"], again["minutes"], close["key"]) == ("drive_on", 30, "close")
    assert "another occasion" in again["title"]


@pytest.mark.parametrize("finding", ["none", "small"])
def test_a_cylinder_that_still_does_not_pull_sends_the_search_on(finding):
    log = repaired()
    log.drop({1: finding}, disabled="tool")
    assert first(log) not in ("road", "clear", "close")


def test_a_drive_that_still_misses_sends_the_search_on():
    log = repaired()
    log.drive(5, felt="always")
    assert first(log) not in ("road", "clear", "close", "drive_on")


def test_a_code_that_stands_apart_does_not():
    log = repaired("P0303", "P0420")
    log.clear()
    log.drive(20)
    log.codes("P0420")
    assert first(log) == "close"


def test_a_second_dead_cylinder_is_repaired_before_anything_is_proved():
    log = Logbook("two", 6)
    log.complaint("shakes", circumstances=["always"])
    log.drop({c: "none" if c in (2, 5) else "full" for c in range(1, 7)}, disabled="tool")
    log.swap("coil", 2, 1)
    log.swap("coil", 5, 6)
    log.drop({c: "none" if c in (1, 6) else "full" for c in range(1, 7)}, disabled="tool")
    log.replace("coil.1")
    assert first(log) == "repair/coil@5"


def test_a_miss_found_on_a_closed_case_asks_whether_to_open_it_again():
    log = repaired()
    log.drive(60)
    log.close("Coil of 3 dead", components=["coil@3"])
    assert first(log) == "report"
    log.check("wiggle", "misses", place="coil.3")
    assert first(log) == "reopen"
    log.add("case_reopened", why="It misses when the harness is moved")
    assert first(log) not in ("reopen", "report", "close")


def test_a_code_that_came_back_after_closing_asks_whether_to_open_it_again():
    log = Logbook("came back")
    log.codes("P0303")
    log.drop({1: "full", 2: "full", 3: "none", 4: "full"})
    log.replace("coil.3")
    log.clear()
    log.drive(60)
    log.codes()
    log.close("Coil of 3 dead", components=["coil@3"])
    assert first(log) == "report"
    log.codes("P0303", status="pending")
    assert first(log) == "reopen"


def test_a_code_that_our_own_unplugging_may_have_set_is_cleared_first():
    log = Logbook("own doing")
    log.codes("P0303")
    log.drop({1: "full", 2: "full", 3: "none", 4: "full"})
    log.replace("coil.3")
    log.clear()
    log.drop({3: "full"}, disabled="coil")
    log.drive(60)
    log.codes("P0303", status="pending")
    assert first(log) == "clear"
