"""Plugs wear as a set: they are looked at where all cylinders miss under load, and renewed together."""

import pytest

from coiltrail.core import advice, casefile, explanations
from demo_fixtures.logbook import Logbook
from tests.core.trade_cases import every


def steps(log: Logbook, **means) -> list[dict]:
    return advice.next_steps(explanations.Diagnosis(casefile.fold(log.entries)), **means)


def keys(log: Logbook, **means) -> list[str]:
    return [step["key"] for step in steps(log, **means)]


def all_miss(seed: str = "all miss", **plugs) -> Logbook:
    """Every cylinder misses a little under load."""
    log = Logbook(seed)
    for cylinder in log.engine.numbers if plugs else ():
        log.note_part("plug", f"plug.{cylinder}", **plugs)
    log.complaint("jerks", circumstances=["load"])
    log.codes("P0300", "P0301", "P0302", "P0303", "P0304")
    log.round("misfire_counts", every(4, "some"), conditions=["load"])
    return log


def looked_at(*findings: str) -> Logbook:
    log = all_miss()
    log.check("fuel_trim", "normal")
    log.round("plug_look", dict(enumerate(findings, 1)), kind="plug")
    return log


def test_where_all_miss_under_load_the_plugs_are_looked_at_once_the_trims_are_known():
    log = all_miss()
    told = keys(log)
    assert told.index("round/plug_look") == told.index("check/fuel_trim/engine") + 1
    log.check("fuel_trim", "normal")
    assert keys(log)[0] == "round/plug_look"


def test_new_plugs_are_not_taken_out_for_it():
    assert "round/plug_look" not in keys(all_miss("new", use="new"))


def test_one_cylinder_that_misses_is_no_matter_of_the_set():
    log = Logbook("one")
    log.complaint("jerks", circumstances=["load"])
    log.codes("P0302")
    assert "round/plug_look" not in keys(log)


def test_worn_plugs_are_renewed_as_a_set():
    step = steps(looked_at("worn", "worn", "worn", "worn"))[0]
    assert step["key"] == "renew/plugs"
    assert step["body"] == {"work": "replaced", "place": "plug.1", "extent": "all"}
    assert step["minutes"] == 40
    assert "torque" in step["caution"]
    assert "interval" in step["why"]


@pytest.mark.parametrize(("findings", "renewed"), [(("worn", "good", "worn", "good"), True), (("worn",), False)])
def test_half_of_them_are_enough_and_one_is_not(findings, renewed):
    assert ("renew/plugs" in keys(looked_at(*findings))) == renewed


def test_renewed_in_one_go_they_are_driven():
    log = looked_at("worn", "worn", "worn", "worn")
    for cylinder in log.engine.numbers:
        log.replace(f"plug.{cylinder}", extent="all")
    assert keys(log)[0] == "clear"
    log.clear()
    assert keys(log)[0] == "road"
    trails = casefile.fold(log.entries).trails
    assert all(trails.get(trails.at_place[f"plug.{cylinder}"]).fitted_by for cylinder in log.engine.numbers)
    assert "with the whole set" in casefile.row_text(log.entries[-2])


def test_worn_plugs_beside_a_dead_coil_come_after_the_coil():
    log = Logbook("beside")
    log.complaint("shakes", circumstances=["always"])
    log.drop(every(4, "full", {3: "none"}), disabled="tool")
    log.swap("coil", 3, 1)
    log.drop({1: "none", 3: "full"}, disabled="tool")
    log.round("plug_look", every(4, "worn"), kind="plug")
    told = keys(log)
    assert told[0] == "repair/coil@3"
    assert told[-1] == "renew/plugs"


class TestTrimsOfTwoBanks:
    def trims(self, *banks: tuple[str, str]) -> tuple[Logbook, dict[str, float]]:
        log = Logbook("banks", 6, "vee")
        log.complaint("shakes", circumstances=["idle"])
        for bank, finding in banks:
            log.check("fuel_trim", finding, bank=bank)
        rows = explanations.Diagnosis(casefile.fold(log.entries)).components()
        return log, {row["component"]: row["fault"] for row in rows}

    @pytest.mark.parametrize("banks", [(("1", "lean_idle"), ("2", "normal")), (("2", "normal"), ("1", "lean_idle"))])
    def test_what_is_out_on_one_bank_is_not_taken_back_by_the_other(self, banks):
        _, both = self.trims(*banks)
        _, alone = self.trims(("1", "lean_idle"))
        assert both["unmetered_air"] == pytest.approx(alone["unmetered_air"])

    def test_of_the_same_bank_the_latest_counts(self):
        _, again = self.trims(("1", "lean_idle"), ("1", "normal"))
        _, normal = self.trims(("1", "normal"))
        assert again["unmetered_air"] == pytest.approx(normal["unmetered_air"])

    def test_the_story_tells_the_bank(self):
        log, _ = self.trims(("2", "lean_idle"))
        assert casefile.row_text(log.entries[-1]).startswith("Fuel trim, bank 2: Lean at idle")
