"""No part is bought unproved where something cheap can prove it, and no check that decides nothing stands first."""

import pytest

from coiltrail.core import advice, casefile, explanations, how_it_shows
from demo_fixtures.logbook import Logbook
from tests.core.trade_cases import every


def steps(log: Logbook, **means) -> list[dict]:
    return advice.next_steps(explanations.Diagnosis(casefile.fold(log.entries)), **means)


def keys(log: Logbook, **means) -> list[str]:
    return [step["key"] for step in steps(log, **means)]


def under_load(seed: str = "under load", cylinders: int = 4, layout: str = "inline") -> Logbook:
    log = Logbook(seed, cylinders, layout)
    log.complaint("jerks", circumstances=["load"])
    log.codes("P0302")
    log.drive(15, felt="sometimes", conditions=["load"], counts={1: 0, 2: 140, 3: 0, 4: 1})
    return log


def after_the_coil() -> Logbook:
    """The coil was moved and the miss stayed."""
    log = under_load("after the coil")
    log.swap("coil", 2, 1)
    log.clear()
    log.drive(15, felt="sometimes", conditions=["load"], counts={1: 0, 2: 120, 3: 0, 4: 0})
    return log


@pytest.mark.parametrize(("cylinders", "layout"), [(4, "inline"), (6, "vee")])
def test_a_coil_that_is_suspected_under_load_is_moved_before_it_is_bought(cylinders, layout):
    told = keys(under_load(cylinders=cylinders, layout=layout))
    assert told[0].startswith("swap/coil/2/")
    assert not [key for key in told if key.startswith("repair/")]


def test_the_coil_that_the_miss_went_along_with_is_bought():
    log = under_load()
    log.swap("coil", 2, 1)
    log.clear()
    log.drive(15, felt="sometimes", conditions=["load"], counts={1: 130, 2: 0, 3: 0, 4: 0})
    assert keys(log)[0] == "repair/coil@2"


def test_a_plug_is_looked_at_before_it_is_bought():
    told = keys(after_the_coil())
    assert told[0] == "check/plug_look/plug.2"
    assert not [key for key in told if key.startswith("repair/")]


def test_a_plug_seen_to_be_cracked_is_bought():
    log = after_the_coil()
    log.check("plug_look", "cracked", place="plug.2")
    assert keys(log)[0] == "repair/plug@2"


def test_a_plug_that_looks_good_is_moved_before_it_is_bought():
    log = after_the_coil()
    log.check("plug_look", "good", place="plug.2")
    log.check("compression", "good", cylinder=2)
    assert "repair/plug@2" not in keys(log)
    log.check("injector_connector", "good", place="injector.2")
    assert keys(log, tools=["plug_socket", "compression_gauge"])[0].startswith("swap/plug/2/")


def test_an_injector_that_does_not_click_is_measured_before_it_is_bought():
    """It may as well be its wire: silent says that it does not open, not why."""
    log = Logbook("silent")
    log.complaint("shakes", circumstances=["always"])
    log.drop(every(4, "full", {2: "none"}), disabled="tool")
    log.swap("coil", 2, 1)
    log.drop({1: "full", 2: "none"}, disabled="tool")
    log.check("injector_sound", "silent", place="injector.2")
    assert keys(log)[0].startswith("check/injector_")
    log.check("injector_pulse", "present", place="injector.2")
    log.check("injector_connector", "good", place="injector.2")
    assert keys(log)[0] == "repair/injector@2"


def test_where_a_coil_cannot_be_moved_what_is_left_over_proves_it():
    log = Logbook("left over", 1)
    log.complaint("shakes", "stalls", circumstances=["always"])
    log.drop({1: "none"})
    log.check("connector_look", "good", place="coil.1")
    log.check("spark", "none", place="coil.1")
    assert keys(log)[0].startswith("check/coil_")
    log.check("coil_supply", "good", place="coil.1")
    log.check("coil_pulse", "present", place="coil.1")
    assert keys(log)[0] == "repair/coil@1"


def test_what_is_made_at_idle_stands_behind_for_a_miss_that_comes_on_the_road():
    """Moving the harness or a drop test in the driveway would show an engine that runs."""
    for log in (under_load(), after_the_coil()):
        told = keys(log, width=advice.DEEPER_WIDTH)
        parked = [key for key in told if key.split("/")[1] in how_it_shows.PARKED]
        assert parked == [key for key in told[len(told) - len(parked) :] if key.split("/")[1] in how_it_shows.PARKED]
        assert not parked or told.index(parked[0]) > 0


def test_such_a_check_says_when_it_counts():
    log = under_load("tester only")
    log.swap("coil", 2, 1)
    log.clear()
    log.drive(15, felt="sometimes", conditions=["load"], counts={1: 0, 2: 120, 3: 0, 4: 0})
    case = casefile.fold(log.entries)
    assert how_it_shows.counts_for_little(case, "wiggle")
    assert not how_it_shows.counts_for_little(case, "plug_look")
    assert how_it_shows.when_it_counts(case) == "It misses under load: a good result otherwise counts for little."


def test_where_it_misses_at_idle_what_is_made_at_idle_counts():
    log = under_load()
    log.drop(every(4, "full", {2: "small"}), disabled="tool")
    assert not how_it_shows.counts_for_little(casefile.fold(log.entries), "wiggle")


def test_counters_of_a_miss_under_load_are_read_under_load():
    log = Logbook("counters")
    log.complaint("jerks", circumstances=["load"])
    log.codes("P0300")
    [counters] = [step for step in steps(log) if step["key"] == "round/misfire_counts"]
    assert counters["body"] == {"check": "misfire_counts", "conditions": ["load"]}
    assert counters["how"][0] == "It misses under load: bring that about."


def test_a_guess_is_no_repair():
    """Nothing that is less than one in ten likely is mended or bought: leads that may be crossed, for one."""
    log = Logbook("guess")
    log.complaint("jerks", circumstances=["load"])
    log.codes("P0300")
    log.round("misfire_counts", every(4, "some"), conditions=["load"])
    for check, finding in (("fuel_trim", "normal"), ("voltage", "good"), ("fuel_pressure", "in_range")):
        log.check(check, finding)
    assert not [key for key in keys(log) if key.startswith("repair/")]
