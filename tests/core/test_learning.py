"""What closed cases teach, by counts and by lives."""

import json

import pytest
from scipy import stats

from coiltrail.core import bridge, casefile, explanations, faults, learning, lifetimes, replacement
from demo_fixtures.logbook import DAY, START, Logbook


def closed(seed: str, *components: str, cylinders=4, ignition="coil_on_plug", start=START, parts=()) -> Logbook:
    """A closed case with its confirmed causes; ``parts``: (place, id or None, what is noted)."""
    log = Logbook(seed, cylinders, ignition=ignition, start=start)
    for place, part, noted in parts:
        log.note_part(place.partition(".")[0], place, part=part, **noted)
    log.complaint("shakes")
    log.close("Found", components=list(components) or None)
    return log


def learned(*logs: Logbook) -> dict:
    return learning.learned([casefile.fold(log.entries) for log in logs])


def prior_of(told: dict, kind: str) -> dict:
    return next(row for row in told["priors"] if row["kind"] == kind)


def life_of(told: dict, kind: str, origin: str) -> dict:
    return next(row for row in told["lives"] if (row["kind"], row["origin"]) == (kind, origin))


class TestPriors:
    def test_without_cases_the_defaults_stand(self):
        told = learned()
        assert told["table"] == {"priors": {}, "lives": {}, "version": "default"}
        assert all(row["blend"] == pytest.approx(row["default"]) for row in told["priors"])

    def test_causes_and_what_was_at_risk_are_counted(self):
        told = learned(closed("a", "coil@3"), closed("b", "coil@1", "coil@2", cylinders=6), closed("c", "injector@2"))
        assert (prior_of(told, "coil")["faults"], prior_of(told, "coil")["at_risk"]) == (3, 14)
        assert (prior_of(told, "injector")["faults"], prior_of(told, "injector")["at_risk"]) == (1, 14)
        assert (prior_of(told, "fuel_delivery")["faults"], prior_of(told, "fuel_delivery")["at_risk"]) == (0, 3)

    def test_a_distributor_is_at_risk_only_where_there_is_one(self):
        told = learned(closed("a", "cap", ignition="distributor"), closed("b", "coil@1"))
        assert (prior_of(told, "cap")["faults"], prior_of(told, "cap")["at_risk"]) == (1, 1)
        assert prior_of(told, "coil")["at_risk"] == 5

    @pytest.mark.parametrize(("found", "seen"), [(0, 12), (3, 40), (25, 400)])
    def test_the_blend_is_the_mean_of_the_beta_posterior(self, found, seen):
        default = 0.05
        usual = stats.beta(learning.STRENGTH * default, learning.STRENGTH * (1 - default))
        assert usual.mean() == pytest.approx(default)
        after = stats.beta(learning.STRENGTH * default + found, learning.STRENGTH * (1 - default) + seen - found)
        assert learning.blend(default, found, seen) == pytest.approx(after.mean())

    def test_many_cases_outweigh_the_default(self):
        logs = [closed(f"case {n}", "injector@2") for n in range(120)]
        row = prior_of(learned(*logs), "injector")
        assert 2 * row["default"] < row["blend"] < 0.25

    def test_cases_still_open_or_closed_without_a_component_teach_nothing(self):
        still_open = Logbook("open")
        still_open.complaint("shakes")
        assert learned(still_open, closed("no component"))["table"]["version"] == "default"

    def test_a_component_of_a_newer_version_is_passed_over(self):
        told = learned(closed("newer", "flux_capacitor@3", "coil@2"))
        assert prior_of(told, "coil")["faults"] == 1

    def test_the_order_of_the_cases_does_not_matter(self):
        logs = [closed("a", "coil@3"), closed("b", "plug@1"), closed("c", "boot@2")]
        assert learned(*logs) == learned(*reversed(logs))


ORIGINAL = {"origin": "original", "age_months": 60}


class TestLives:
    def parts(self, log: str, noted: dict) -> list:
        return [(f"coil.{n}", None, noted) for n in range(1, 5)]

    def test_siblings_count_and_the_part_that_brought_the_car_does_not(self):
        row = life_of(learned(closed("a", "coil@3", parts=self.parts("a", ORIGINAL))), "coil", "original")
        assert (row["failures"], row["parts"]) == (0, 3)

    def test_a_second_failure_counts(self):
        row = life_of(learned(closed("a", "coil@3", "coil@1", parts=self.parts("a", ORIGINAL))), "coil", "original")
        assert (row["failures"], row["parts"]) == (1, 3)

    def test_parts_without_age_or_origin_teach_nothing_of_lives(self):
        told = learned(
            closed("a", "coil@3", parts=self.parts("a", {"origin": "original"})),
            closed("b", "coil@3", parts=self.parts("b", {"age_months": 60})),
        )
        assert all(row["parts"] == 0 for row in told["lives"])

    def test_a_part_met_again_enters_late(self):
        ids = Logbook("ids")
        part = ids.new_id()
        first = closed("a", "coil@3", parts=[("coil.1", part, {"origin": "other", "age_months": 30})])
        later = closed("b", "coil@1", start=START + 400 * DAY, parts=[("coil.1", part, {"origin": "other"})])
        lives = learning._lives([casefile.fold(log.entries) for log in (first, later)])[("coil", "other")]
        assert [(failed, entered) for _, failed, entered in lives] == [(False, 0.0), (True, 30.0)]
        assert lives[1][0] == pytest.approx(30 + 400 / 30.44, abs=0.1)

    def test_lives_move_the_usual_law(self):
        logs = [
            closed(f"case {n}", "coil@3", "coil@1", parts=self.parts("x", {"origin": "other", "age_months": 20 + n}))
            for n in range(10)
        ]
        row = life_of(learned(*logs), "coil", "other")
        before, after = (lifetimes.Weibull(*law).mean() for law in (row["default"], row["blend"]))
        assert after < before


class TestTheTableOfACase:
    def table(self) -> dict:
        return learned(*[closed(f"case {n}", "injector@2") for n in range(120)])["table"]

    def case(self, table) -> casefile.CaseFile:
        log = Logbook("judged")
        log.entries[0]["body"]["table"] = table
        log.complaint("shakes", circumstances=["always"])
        log.drop({1: "full", 2: "full", 3: "none", 4: "full"})
        return casefile.fold(log.entries)

    def injector(self, table) -> float:
        found = explanations.Diagnosis(self.case(table))
        [row] = [row for row in found.components() if row["component"] == "injector@3"]
        return row["fault"]

    def test_a_case_is_judged_by_the_table_it_keeps(self):
        assert self.injector(self.table()) > self.injector(None) + 0.1
        [row] = [
            row
            for row in explanations.Diagnosis(self.case(self.table())).components()
            if row["component"] == "injector@1"
        ]
        assert row["prior"] == pytest.approx(self.table()["priors"]["injector"])

    def test_its_states_keep_their_shares(self):
        learned_prior = faults.prior("coil", None, {"coil": 0.2})
        assert sum(learned_prior) == pytest.approx(1)
        usual = faults.prior("coil")
        assert learned_prior[1] / learned_prior[2] == pytest.approx(usual[1] / usual[2])

    def test_a_new_part_is_as_good_as_ever(self):
        assert faults.prior("coil", "new", {"coil": 0.2}) == faults.prior("coil", "new")

    @pytest.mark.parametrize(
        "table",
        [{}, {"priors": {}}, {"priors": {"coil": 7.0}}, {"priors": {"coil": "much"}}, {"lives": {"coil/other": [1]}}],
    )
    def test_a_table_that_says_nothing_usable_leaves_the_defaults(self, table):
        assert self.injector(table) == self.injector(None)
        assert replacement._laws({"table": table})[("coil", "other")].scale == replacement.LIVES[("coil", "other")][1]

    def test_the_version_follows_from_the_numbers(self):
        assert self.table()["version"] == self.table()["version"]
        assert self.table()["version"] != learned(closed("one", "coil@1"))["table"]["version"]

    def test_the_bridge_takes_the_entries_of_all_cases_mixed(self):
        logs = [closed("a", "coil@3"), closed("b", "plug@1")]
        mixed = [entry for pair in zip(*(log.entries for log in logs), strict=False) for entry in pair]
        told = json.loads(bridge.answer("learned", json.dumps({"entries": mixed})))
        assert told["cases"] == 2
        assert prior_of(told, "plug")["faults"] == 1
