"""Rules of thumb of the trade, which the diagnosis must bear out: common practice, no published source.

And one rule that is published: 13 CCR 1968.2(e)(3.1.3), 2007 (read in a third-party copy), on when a controller may
name one cylinder and when it must store the code for several.
"""

import pytest

from coiltrail.core import casefile, evidence, explanations, grading, measures, posterior, readings
from demo_fixtures.logbook import Logbook

FULL = {1: "full", 2: "full", 3: "full", 4: "full"}


def dead_two(seed: str, ignition: str = "coil_on_plug") -> Logbook:
    log = Logbook(seed, ignition=ignition)
    log.complaint("shakes", circumstances=["always"])
    log.drop(FULL | {2: "none"}, disabled="tool")
    return log


def diagnosed(log: Logbook) -> explanations.Diagnosis:
    return explanations.Diagnosis(casefile.fold(log.entries))


def faults(log: Logbook) -> dict[str, float]:
    return {row["component"]: row["fault"] for row in diagnosed(log).components()}


def test_a_cylinder_that_makes_no_change_when_it_is_disabled_was_not_working():
    case = casefile.fold(dead_two("no change").entries)
    model = readings.model_of(case)
    whole = posterior.Posterior(model).evidence
    runs_full = {}
    for cylinder in case.engine.numbers:
        model.runs(cylinder, len(case.log), "idle", (1.0, 0.0, 0.0, 0.0), "asked")
        runs_full[cylinder] = posterior.Posterior(model).evidence / whole
        model.factors.pop()
    assert runs_full[2] < 0.1
    assert min(runs_full[1], runs_full[3], runs_full[4]) > 0.9


@pytest.mark.parametrize(("kind", "least"), [("coil", 0.9), ("injector", 0.9), ("plug", 0.9)])
def test_a_part_that_carries_the_miss_along_is_bad(kind, least):
    log = dead_two("follows", "coil_near_plug")  # a coil apart from its plug, so that no boot comes along
    log.swap(kind, 2, 3)
    log.drop({2: "full", 3: "none"}, disabled="tool")
    found = faults(log)
    assert found[f"{kind}@2"] > least
    assert all(p < found[f"{kind}@2"] / 4 for name, p in found.items() if name != f"{kind}@2")


@pytest.mark.parametrize("kind", ["coil", "plug", "injector"])
def test_a_part_that_leaves_the_miss_behind_is_good(kind):
    log = dead_two("stays", "coil_near_plug")
    before = faults(log)[f"{kind}@2"]
    log.swap(kind, 2, 3)
    log.drop({2: "none", 3: "full"}, disabled="tool")
    assert faults(log)[f"{kind}@2"] < before / 4


def test_the_plug_is_the_culprit_far_less_often_than_the_coil():
    found = faults(dead_two("culprit"))
    assert found["plug@2"] < found["coil@2"] / 4


def test_a_coil_that_measures_well_is_not_cleared():
    """Coil on plug often cannot be measured at all (a diode or a driver is built in)."""
    log = dead_two("measured")
    before = faults(log)["coil@2"]
    log.check("coil_primary", "in_range", place="coil.2")
    assert before > faults(log)["coil@2"] > 0.7 * before


def test_a_connector_that_looks_good_is_not_cleared():
    log = dead_two("looks good")
    before = faults(log)["coil_connector@2"]
    log.check("connector_look", "good", place="coil.2")
    assert before > faults(log)["coil_connector@2"] > before / 4


def test_two_low_neighbours_are_a_gasket_and_one_low_cylinder_is_its_own():
    pair, one = Logbook("pair"), Logbook("one")
    pair.compression({1: "170 psi", 2: "95 psi", 3: "90 psi", 4: "170 psi"}, low=(2, 3))
    one.compression({1: "170 psi", 2: "95 psi", 3: "168 psi", 4: "170 psi"}, low=(2,))
    low_pair, low_one = faults(pair), faults(one)
    assert low_pair["gasket@2-3"] > max(low_pair["compression@2"], low_pair["compression@3"])
    assert low_one["compression@2"] > max(low_one["gasket@1-2"], low_one["gasket@2-3"])


def test_a_new_part_can_be_bad():
    log = dead_two("new")
    log.replace("coil.2", use="new")
    log.drop({2: "none"}, disabled="tool")
    assert 0.02 < faults(log)["coil@new"] < 0.5


def test_the_code_for_several_cylinders_speaks_for_what_they_share():
    """More than 90 % of the misfires in one cylinder allow its code; two above 10 % each require the other."""
    none, one, several = evidence.COUNTED["random_code"]
    assert none < one < several
    single, random = Logbook("single"), Logbook("random")
    single.codes("P0302")
    random.codes("P0300")
    for shared in ("unmetered_air", "fuel_delivery", "bad_fuel"):
        assert faults(random)[shared] > faults(single)[shared]
    assert faults(single)["coil@2"] > 3 * faults(random)["coil@2"]


@pytest.mark.parametrize("kind", ["coil", "plug"])
def test_a_part_that_carries_the_miss_along_is_bad_on_coil_on_plug_too(kind):
    """Both come off with the coil, whose connector may have become good by it: that explains no miss at the other."""
    log = dead_two("carried")
    log.swap(kind, 2, 3)
    log.drop({2: "full", 3: "none"}, disabled="tool")
    found = faults(log)
    # The boot rides on the coil: what is sure there is coil or boot.
    assert found[f"{kind}@2"] + (found["boot@2"] if kind == "coil" else 0.0) > 0.9
    assert found["coil_connector@2"] < 0.05


def graded(check: str, **body) -> str | None:
    log = Logbook("reading")
    entry = log.check(check, **body)
    return grading.finding_of(casefile.fold(log.entries), entry)


def test_the_lowest_compression_is_at_least_three_quarters_of_the_highest():
    assert measures.compression_finding(0.75, 1.0) == "good"
    assert measures.compression_finding(0.749, 1.0) == "low"


def test_oil_raises_compression_where_rings_are_worn_and_not_where_a_gasket_leaks():
    found = {}
    for finding in ("rises", "same"):
        log = Logbook("oil")
        log.complaint("shakes", circumstances=["always"])
        log.drop(FULL | {2: "none", 3: "none"}, disabled="tool")  # without a miss the low readings may be slips
        log.compression({1: "170 psi", 2: "95 psi", 3: "90 psi", 4: "170 psi"}, low=(2, 3))
        log.check("compression_wet", finding, cylinder=2)
        found[finding] = faults(log)
    assert found["rises"]["compression@2"] > 2 * found["same"]["compression@2"]
    assert found["rises"]["gasket@2-3"] < found["same"]["gasket@2-3"]


@pytest.mark.parametrize(("percent", "finding"), [("9", "good"), ("10", "worn"), ("20", "worn"), ("26", "high")])
def test_leak_down_under_ten_per_cent_is_good_and_above_a_quarter_bad(percent, finding):
    """Above 20-25 % bad: the strict end is taken."""
    assert graded("leak_down", cylinder=1, reading=(percent, "share")) == finding


@pytest.mark.parametrize(
    ("gap", "finding"), [("0.65", "narrow"), ("0.7", "in_range"), ("1.1", "in_range"), ("1.15", "wide")]
)
def test_a_plug_gap_is_usually_between_seven_and_eleven_tenths(gap, finding):
    assert graded("plug_gap", place="plug.1", reading=(gap, "gap")) == finding


@pytest.mark.parametrize("ohms", ["0.3", "1.0", "1.5", "3"])
def test_a_primary_winding_of_a_new_or_old_coil_is_as_usual(ohms):
    assert graded("coil_primary", place="coil.1", reading=(ohms, "resistance")) == "in_range"


@pytest.mark.parametrize("kiloohms", ["5", "15"])
def test_a_secondary_winding_has_five_to_fifteen_kiloohms(kiloohms):
    assert graded("coil_secondary", place="coil.1", reading=(f"{kiloohms} kΩ", "resistance")) == "in_range"


def test_a_coil_on_plug_that_cannot_be_measured_is_not_blamed_for_it():
    """Diode or driver built in."""
    log = dead_two("diode")
    before = faults(log)["coil@2"]
    log.check("coil_secondary", "unreadable", place="coil.2")
    assert faults(log)["coil@2"] == pytest.approx(before, abs=1e-12)
