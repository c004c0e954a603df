"""What a log makes of components: which there are, with what prior, and what serves what."""

import pytest

from coiltrail.core import advice, casefile, explanations, faults, posterior, readings, verification
from demo_fixtures.logbook import Logbook


def model_of(log: Logbook):
    return readings.model_of(casefile.fold(log.entries))


def component(model, name: str):
    [found] = [c for c in model.components if c.name == name]
    return found


@pytest.mark.parametrize(
    ("use", "bad"), [("new", faults.NEW_PART_BAD), ("used", 1.0 - faults.prior("coil")[0]), (None, faults.NEW_PART_BAD)]
)
def test_only_a_part_fitted_as_new_fails_as_seldom_as_a_new_one(use, bad):
    log = Logbook("used")
    log.replace("coil.3", use=use)
    assert 1.0 - component(model_of(log), "coil@new").prior[0] == pytest.approx(bad)


def test_a_cleaned_part_is_another_component_from_then_on():
    """A repair is no special case: the old one keeps what was found of it, the cleaned one has a prior of its own."""
    log = Logbook("cleaned")
    log.drop({2: "none"})
    log.add("repair", work="cleaned", place="injector.2")
    log.drop({2: "full"})
    model = model_of(log)
    old, new = component(model, "injector@2"), component(model, "injector@2/mended")
    assert old.part == new.part
    assert 1.0 - new.prior[0] == pytest.approx(faults.MENDED_BAD)
    assert (old.label, new.label) == ("injector 2, before it was mended", "injector 2, mended")
    marginals = dict(zip([c.name for c in model.components], posterior.Posterior(model).marginals(), strict=True))
    assert 1.0 - marginals["injector@2"][0] > 0.15  # cleaning ended the miss
    assert 1.0 - marginals["injector@2/mended"][0] < 0.02


def test_what_was_mended_is_not_proposed_for_repair_again():
    log = Logbook("mended")
    log.drop({1: "full", 2: "none", 3: "full", 4: "full"})
    log.connectors({2: "pin_back"})
    log.check("wiggle", "misses", place="coil.2")
    log.mend("coil_connector@2")
    log.drive(10, "always")
    log.drop({2: "none"})
    found = explanations.Diagnosis(casefile.fold(log.entries))
    [mended] = [row for row in found.components() if row["component"] == "coil_connector@2"]
    assert mended["fault"] > 0.9  # it was the fault, or one of them, before
    assert mended["cylinders"] == []
    assert "repair/coil_connector@2" not in [step["key"] for step in advice.next_steps(found)]


def test_a_part_that_was_cleaned_counts_as_what_was_repaired():
    log = Logbook("proof")
    log.drop({1: "full", 2: "none", 3: "full", 4: "full"})
    log.check("injector_sound", "faint", place="injector.2")
    log.add("repair", work="cleaned", place="injector.2")
    log.drop({2: "full"})
    log.drive(30)
    case = casefile.fold(log.entries)
    assert verification.fixed(case, explanations.Diagnosis(case))["p"] > 0.9


def test_a_used_coil_brings_a_used_boot():
    log = Logbook("used boot")
    log.replace("coil.3", use="used")
    assert component(model_of(log), "boot@new").prior == faults.prior("boot")


# Signs that one reading takes over several cylinders


def fault_after(log: Logbook, name: str) -> float:
    model = model_of(log)
    found = dict(zip([c.name for c in model.components], posterior.Posterior(model).marginals(), strict=True))
    return 1.0 - found[name][0]


@pytest.mark.parametrize("cylinders", [1, 4])
def test_smoke_in_the_whole_intake_shows_a_leak_at_any_runner(cylinders):
    before = fault_after(Logbook("smoke", cylinders), f"runner@{cylinders}")
    for finding, way in (("leaks", 1), ("tight", -1)):
        log = Logbook("smoke", cylinders)
        log.check("air_leak", finding)
        for cylinder in range(1, cylinders + 1):
            after = fault_after(log, f"runner@{cylinder}")
            assert (after - before) * way > before / 3


def test_a_shared_coil_is_looked_at_with_the_boots_of_both_its_cylinders():
    log = Logbook("boots", 4, ignition="waste_spark")
    look = log.check("coil_look", "tracked", place="coil.1")
    assert fault_after(log, "boot@1") == pytest.approx(fault_after(log, "boot@4"), abs=1e-12)
    assert fault_after(log, "boot@4") > 5 * fault_after(log, "boot@2")
    found = explanations.Diagnosis(casefile.fold(log.entries))
    [about_boot] = [e for e in found.explanations() if [f["component"] for f in e["faults"]] == ["boot@4"]]
    assert about_boot["entries"] == [look["id"]]


def test_a_component_has_the_same_index_whichever_entries_speak():
    """Also one of unknown past that was in a place for a while only: weights of evidence leave entries out."""
    log = Logbook("gap")
    log.complaint()
    log.move(("coil.2", "off"))
    log.drop({2: "none"})
    log.drive(3, "always")
    log.move(("coil.1", "coil.2"))
    log.add("parts_moved", moves=[{"part": f"{log.case}.coil.2", "from": "off", "to": "coil.1"}])
    log.drop({1: "none", 2: "full"})
    case = casefile.fold(log.entries)
    whole = [c.name for c in readings.model_of(case).components]
    assert "coil@2?" in whole
    assert whole == [c.name for c in readings.model_of(case, set()).components]
