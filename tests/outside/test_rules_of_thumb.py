"""Rules of thumb of the trade, which the diagnosis must bear out: common practice, no published source.

And one rule that is published: 13 CCR 1968.2(e)(3.1.3), 2007 (read in a third-party copy), on when a controller may
name one cylinder and when it must store the code for several.
"""

import pytest

from coiltrail.core import casefile, evidence, explanations, posterior, readings
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


@pytest.mark.parametrize(("kind", "least"), [("coil", 0.9), ("injector", 0.9), ("plug", 0.4)])
def test_a_part_that_carries_the_miss_along_is_bad(kind, least):
    """A worn plug seldom kills its cylinder at every stroke, so one that is dead with it twice is believed less."""
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
