"""Whether a repair holds, on logs of repairs and drives."""

import pytest

from coiltrail.core import casefile, explanations, verification
from demo_fixtures.logbook import Logbook


def repaired(*, circumstances=("always",), before=None, codes=()) -> Logbook:
    """Coil 3 proved dead by a swap and replaced."""
    log = Logbook("repaired")
    log.complaint("shakes", circumstances=circumstances)
    if codes:
        log.codes(*codes)
    if before:
        log.drive(**before)
    log.drop({1: "full", 2: "full", 3: "none", 4: "full"})
    log.swap("coil", 3, 1)
    log.drop({3: "full", 1: "none"})
    log.replace("coil.1")
    return log


def fixed(log: Logbook) -> dict:
    case = casefile.fold(log.entries)
    return verification.fixed(case, explanations.Diagnosis(case))


def test_before_a_repair_there_is_nothing_to_prove():
    assert fixed(Logbook("none")) is None


def test_what_others_replaced_before_arrival_is_no_repair_to_prove():
    log = Logbook("before arrival")
    log.replace("coil.1", before_arrival=1)
    log.codes("P0303")
    assert fixed(log) is None
    assert verification.codes_after(casefile.fold(log.entries))["returned"] == []


def test_a_repair_not_driven_is_not_proved():
    told = fixed(repaired())
    assert told["driven"] == 0
    assert told["p"] < 0.99
    assert "Not driven yet" in told["text"]


def test_clean_minutes_raise_it():
    log = repaired(before={"minutes": 10, "felt": "sometimes"})
    probabilities = []
    for _ in range(3):
        probabilities.append(fixed(log)["p"])
        log.drive(10)
    assert probabilities == sorted(probabilities)
    assert probabilities[-1] > probabilities[0]


def test_clean_minutes_do_not_make_the_cause_likelier_a_second_time():
    # The chance that the repair hit the cause is judged before the drive; only the drive's own term moves.
    log = repaired(before={"minutes": 10, "felt": "sometimes"})
    prior = fixed(log)["p"]
    log.drive(20)
    told = fixed(log)
    misses, minutes = verification.DEAD_CYLINDER_AS
    assert told["p"] == pytest.approx(verification.holds(prior, misses + 0.5, minutes, 20), rel=1e-9)


def test_a_miss_on_the_drive_ends_it():
    log = repaired()
    log.drive(10)
    log.drive(5, felt="sometimes")
    told = fixed(log)
    assert told["p"] == 0
    assert told["to_95"] is None
    assert "still misses" in told["text"]


def test_misfires_counted_on_a_drive_that_felt_clean_end_it_too():
    log = repaired()
    log.drive(10, counts={3: 4})
    assert fixed(log)["p"] == 0


@pytest.mark.parametrize(
    ("circumstances", "conditions", "counts"),
    [
        (["cold"], ["hot"], False),
        (["cold"], ["cold"], True),
        (["cold"], ["load"], True),
        (["load"], ["idle", "hot"], False),
        (["load"], ["idle", "load"], True),
        (["wet"], ["dry"], False),
        (["wet", "load"], ["wet", "idle"], False),
        (["idle", "load"], ["idle"], True),
        (["always"], ["idle"], True),
        (["cold"], None, True),
    ],
)
def test_minutes_count_under_what_used_to_provoke_it(circumstances, conditions, counts):
    log = repaired(circumstances=circumstances)
    log.drive(12, conditions=conditions)
    told = fixed(log)
    assert (told["driven"], told["uncounted"]) == ((12, 0) if counts else (0, 12))
    assert ("do not count" in told["text"]) != counts


def test_what_the_last_missing_drive_was_like_comes_before_the_complaint():
    log = repaired(circumstances=["cold"], before={"minutes": 8, "felt": "always", "conditions": ["load", "hot"]})
    log.drive(12, conditions=["hot", "load"])
    assert fixed(log)["driven"] == 12


def test_a_part_nobody_suspected_proves_little_when_replaced():
    log = Logbook("wrong part")
    log.complaint("shakes", circumstances=["always"])
    log.drop({1: "full", 2: "full", 3: "none", 4: "full"})
    log.replace("plug.1")
    assert fixed(log)["p"] < 0.1


def test_a_mended_connector_and_a_cleaned_injector_are_told_apart_from_what_they_were():
    for mend in (
        lambda log: log.mend("coil_connector@3"),
        lambda log: log.add("repair", work="cleaned", place="coil.3"),
    ):
        log = Logbook("mended")
        log.complaint("shakes", circumstances=["sometimes"])
        log.check("wiggle", "misses", place="coil.3")
        log.check("connector_look", "pin_back", place="coil.3")
        mend(log)
        log.drive(30)
        assert 0.05 < fixed(log)["p"] <= verification.MOST_SURE


class TestAFaultThatComesNowAndThen:
    def driven(self, *minutes: float, before: tuple[str, ...] = ()) -> dict:
        log = Logbook("now and then")
        log.complaint("jerks", circumstances=["sometimes", "load"])
        for felt in before:
            log.drive(15, felt=felt, conditions=["load"])
        log.drop({1: "full", 2: "full", 3: "none", 4: "full"})
        log.swap("coil", 3, 1)
        log.drop({3: "full", 1: "none"})
        log.replace("coil.1")
        for length in minutes:
            log.drive(length, conditions=["load"])
        return fixed(log)

    def test_one_clean_drive_does_not_make_it_as_good_as_sure_however_long_it_is(self):
        for minutes in (15, 60, 240):
            told = self.driven(minutes)
            assert told["p"] < 0.99
            assert told["shows"] == pytest.approx(0.6)
            assert "shows on about 6 drives in 10" in told["text"]

    def test_further_drives_do(self):
        chances = [self.driven(*[15] * drives)["p"] for drives in range(1, 6)]
        assert chances == sorted(chances)
        assert chances[-1] > 0.99
        one = self.driven(15)
        assert 1 <= one["more_99"] <= 5
        assert self.driven(*[15] * (1 + one["more_99"]))["p"] >= 0.99

    def test_drives_before_the_repair_say_how_often_it_shows(self):
        seldom = self.driven(15, before=("none", "none", "none", "sometimes"))
        often = self.driven(15, before=("sometimes",) * 4)
        assert seldom["shows"] == pytest.approx(4 / 9)
        assert often["shows"] == pytest.approx(7 / 9)
        assert seldom["p"] < often["p"]

    def test_where_it_shows_on_every_drive_the_minutes_alone_count(self):
        for drives in (1, 3):
            assert verification.holds(0.9, 2.5, 5.0, 20.0, drives, 1.0) == verification.holds(0.9, 2.5, 5.0, 20.0)

    def test_on_how_many_drives_it_came_is_a_binomial_mixture(self):
        overlooked = 0.4**2 + 2 * 0.4 * 0.6 * (5 / 15) ** 2.5 + 0.6**2 * (5 / 25) ** 2.5
        assert verification.holds(0.9, 2.5, 5.0, 20.0, 2, 0.6) == pytest.approx(0.9 / (0.9 + 0.1 * overlooked))


class TestCodesAfter:
    def after(self, *codes, before=("P0303", "P0420"), clear=True, status="stored"):
        log = repaired(codes=before)
        if clear:
            log.clear()
        log.drive(15)
        log.codes(*codes, status=status)
        return verification.codes_after(casefile.fold(log.entries))

    def test_a_code_of_the_complaint_that_comes_back_has_returned(self):
        assert self.after("P0303")["returned"] == ["P0303"]

    def test_what_stands_apart_is_left_for_later(self):
        told = self.after("P0420")
        assert (told["returned"], told["later"], told["gone"]) == ([], ["P0420"], ["P0303"])

    def test_what_was_not_there_before_is_new(self):
        assert self.after("P0171")["new"] == ["P0171"]

    def test_a_permanent_code_outlives_clearing_and_has_not_returned(self):
        told = self.after("P0303", status="permanent")
        assert (told["returned"], told["permanent"]) == ([], ["P0303"])

    def test_a_code_that_nobody_cleared_has_not_returned(self):
        told = self.after("P0303", clear=False)
        assert (told["returned"], told["unclear"]) == ([], ["P0303"])

    def test_a_code_read_after_a_whole_list_without_it_has_returned_without_a_clearing(self):
        log = repaired(codes=("P0303",))
        log.drive(15)
        log.codes()
        log.codes("P0303", status="pending")
        assert verification.codes_after(casefile.fold(log.entries))["returned"] == ["P0303"]

    def test_a_code_that_our_own_unplugging_sets_has_not_returned(self):
        log = repaired(codes=("P0303",))
        log.clear()
        log.drop({3: "full"}, disabled="coil")
        log.codes("P0303", status="pending")
        case = casefile.fold(log.entries)
        told = verification.codes_after(case)
        assert (told["returned"], told["unclear"]) == ([], ["P0303"])
        assert verification.fixed(case, explanations.Diagnosis(case))["to_95"] is not None

    def test_clearing_sets_readiness_back(self):
        assert "catalyst" in self.after()["readiness"]
        assert self.after(clear=False)["readiness"] == []

    def test_codes_nobody_read_again_are_not_called_gone(self):
        log = repaired(codes=("P0303",))
        log.clear()
        assert verification.codes_after(casefile.fold(log.entries))["gone"] == []


def test_a_coil_replaced_with_its_boot_is_judged_by_both_together():
    """One of the two is at fault: what neither alone is likely enough for, both together are."""
    log = Logbook("together")
    log.complaint("jerks", circumstances=["load"])
    log.check("coil_primary", "in_range", place="coil.3")
    log.check("coil_secondary", "in_range", place="coil.3")
    log.drive(20, felt="sometimes", conditions=["load"], counts={1: 0, 2: 0, 3: 60, 4: 0})
    log.swap("coil", 3, 2)
    log.drive(20, felt="sometimes", conditions=["load"], counts={1: 0, 2: 55, 3: 0, 4: 0})
    diagnosis = explanations.Diagnosis(casefile.fold(log.entries))
    faults = {row["component"]: row["fault"] for row in diagnosis.components()}
    assert max(faults["coil@3"], faults["boot@3"]) < 0.8
    log.replace("coil.2")
    assert fixed(log)["p"] > 0.95


@pytest.mark.parametrize(
    ("check", "finding", "where"),
    [("wiggle", "misses", {"place": "coil.3"}), ("drop", "none", {"cylinder": 3})],
)
def test_a_miss_found_after_the_clean_drive_takes_back_that_it_is_fixed(check, finding, where):
    log = repaired()
    log.drive(60)
    assert fixed(log)["p"] > 0.95
    log.check(check, finding, **where)
    told = fixed(log)
    assert (told["p"], told["to_95"]) == (0.0, None)
    assert "still misses" in told["text"]


@pytest.mark.parametrize("code", ["P0303", "P0300"])
def test_a_code_of_misfire_that_comes_back_takes_back_that_it_is_fixed(code):
    log = repaired(codes=("P0303",))
    log.clear()
    log.drive(60)
    log.codes()
    assert fixed(log)["p"] > 0.95
    log.codes(code, status="pending")
    assert (fixed(log)["p"], fixed(log)["to_95"]) == (0.0, None)


def test_a_test_that_shows_no_miss_takes_nothing_back():
    log = repaired()
    log.drive(60)
    before = fixed(log)
    log.drop({3: "full"})
    assert fixed(log)["p"] == pytest.approx(before["p"], abs=0.01)


def leaks_in_rain(seed: str) -> Logbook:
    log = Logbook(seed)
    log.complaint("jerks", circumstances=["wet", "sometimes"])
    log.codes("P0303")
    log.check("spray", "misses", cylinder=3)
    return log


def test_water_where_it_made_it_miss_proves_the_repair_as_drives_do():
    log = leaks_in_rain("water")
    log.replace("boot.3")
    log.drive(25, conditions=["load", "wet"])
    driven = fixed(log)
    log.check("spray", "steady", cylinder=3)
    wetted = fixed(log)
    assert (driven["sprayed"], wetted["sprayed"]) == ([], [3])
    odds = [told["p"] / (1.0 - told["p"]) for told in (driven, wetted)]
    assert odds[1] == pytest.approx(odds[0] / verification.DRY_BY_CHANCE)
    assert driven["more_95"] >= 2 > wetted["more_95"]
    assert "9 times in 10 (estimate)" in wetted["text"]


def test_water_elsewhere_or_where_it_never_missed_proves_nothing():
    log = leaks_in_rain("elsewhere")
    log.swap("coil", 3, 1)
    log.replace("coil.1")
    log.drive(25, conditions=["load", "wet"])
    before = fixed(log)["p"]
    for cylinder in (1, 2, 3):
        log.check("spray", "steady", cylinder=cylinder)
    assert fixed(log)["sprayed"] == []
    assert fixed(log)["p"] == before


def test_water_that_still_makes_it_miss_takes_back_that_it_is_fixed():
    log = leaks_in_rain("still")
    log.replace("boot.3")
    log.drive(25, conditions=["load", "wet"])
    log.check("spray", "misses", cylinder=3)
    assert (fixed(log)["p"], fixed(log)["sprayed"]) == (0.0, [])
