"""Every finding of every check moves what a mechanic would say it moves, and in that direction."""

import functools
import json

import pytest

from coiltrail.core import bridge, casefile, checks, posterior, readings
from demo_fixtures.logbook import Logbook

# check -> finding -> what it speaks for (+) and against (-), by component on an engine whose cylinder 2 runs badly.
SPEAKS = {
    "connector_look": {
        "good": "-coil_connector@2 -coil_wiring@2 +coil@2",
        "latch_broken": "+coil_connector@2 -coil@2",
        "loose": "+coil_connector@2 -coil@2",
        "corroded": "+coil_connector@2 -coil@2",
        "pin_back": "+coil_connector@2 -coil@2",
        "spread": "+coil_connector@2 -coil@2",
        "oily": "+coil_connector@2",
        "chafed": "+coil_wiring@2 -coil@2",
    },
    "wiggle": {
        "misses": "+coil_connector@2 +coil_wiring@2 -coil@2",
        "runs": "+coil_connector@2 +coil_wiring@2 -coil@2",
        "steady": "-coil_connector@2 -coil_wiring@2",
    },
    "spray": {
        "misses": "+boot@2 +coil_connector@2 -injector@2",
        "steady": "-boot@2 +injector@2",
    },
    "drop": {
        "none": "+coil@2 +injector@2",
        "small": "+compression@2 +runner@2",
        "full": "-coil@2 -injector@2 -compression@2",
    },
    "misfire_counts": {"none": "-coil@2 -plug@2", "some": "+coil@2 +plug@2", "many": "+coil@2 +injector@2"},
    "coil_look": {
        "good": "-boot@2 -coil@2",
        "tracked": "+boot@2 -coil@2",
        "cracked": "+boot@2 +coil@2",
        "swollen": "+boot@2 +coil@2",
        "oil_in_well": "+boot@2 -injector@2",
    },
    "boot_resistance": {"in_range": "-boot@2", "out_of_range": "+boot@2 -coil@2", "open": "+boot@2 -coil@2"},
    "plug_look": {
        "good": "-plug@2 +injector@2",
        "worn": "+plug@2 -injector@2",
        "wet": "+coil@2 +plug@2 -injector@2 -injector_circuit@2",
        "oiled": "+plug@2 +compression@2 -coil@2",
        "sooty": "+plug@2",
        "ash": "+plug@2",
        "cracked": "+plug@2 -coil@2",
        "tracked": "+boot@2 +plug@2 -coil@2",
    },
    "plug_gap": {"in_range": "-plug@2", "wide": "+plug@2", "narrow": "+plug@2"},
    "spark": {
        "strong": "-coil@2 -coil_connector@2 +plug@2 +injector@2",
        "weak": "+coil@2 -injector@2",
        "none": "+coil@2 +coil_connector@2 -plug@2 -injector@2",
    },
    "coil_supply": {"good": "-coil_supply", "none": "+coil_supply -coil@2", "low": "+coil_supply -coil@2"},
    "coil_pulse": {"present": "-coil_wiring@2", "absent": "+coil_wiring@2 -coil@2"},
    "coil_primary": {"in_range": "-coil@2", "out_of_range": "+coil@2", "open": "+coil@2", "unreadable": ""},
    "coil_secondary": {"in_range": "-coil@2", "out_of_range": "+coil@2", "open": "+coil@2", "unreadable": ""},
    "injector_connector": {
        "good": "-injector_circuit@2",
        "latch_broken": "+injector_circuit@2 -injector@2",
        "loose": "+injector_circuit@2 -injector@2",
        "corroded": "+injector_circuit@2 -injector@2",
        "pin_back": "+injector_circuit@2 -injector@2",
        "chafed": "+injector_circuit@2 -injector@2",
    },
    "injector_sound": {
        "clicks": "-injector@2 -injector_circuit@2 +coil@2",
        "faint": "+injector@2 -coil@2",
        "silent": "+injector@2 +injector_circuit@2 -coil@2",
    },
    "injector_pulse": {"present": "-injector_circuit@2", "absent": "+injector_circuit@2 -injector@2"},
    "injector_resistance": {"in_range": "-injector@2", "out_of_range": "+injector@2", "open": "+injector@2"},
    "injector_balance": {"even": "-injector@2 +coil@2", "less": "+injector@2 -coil@2", "more": "+injector@2 -coil@2"},
    "compression": {
        "good": "-compression@2 -gasket@2-3 +coil@2",
        "low": "+compression@2 +gasket@2-3 -coil@2",
        "none": "+compression@2 -coil@2",
    },
    "compression_wet": {"rises": "+compression@2 -gasket@2-3", "same": "+gasket@2-3"},
    "leak_down": {
        "good": "-compression@2 -gasket@2-3",
        "worn": "+compression@2",
        "high": "+compression@2 +gasket@2-3 -coil@2",
        "intake": "+compression@2 -coil@2",
        "exhaust": "+compression@2 -coil@2",
        "crankcase": "+compression@2 -coil@2",
        "across": "+gasket@2-3 +gasket@1-2 -coil@2",
    },
    "runner_leak": {"tight": "-runner@2", "leaks": "+runner@2 -coil@2"},
    "runner_gas": {"steady": "-runner@2", "rises": "+runner@2 -coil@2"},
    "air_leak": {"tight": "-unmetered_air -runner@2", "leaks": "+unmetered_air +runner@2"},
    "intake_gas": {"steady": "-unmetered_air -runner@2", "rises": "+unmetered_air +runner@2"},
    "cap_look": {
        "good": "-cap -rotor +coil@1",
        "tracked": "+cap -rotor -coil@1",
        "cracked": "+cap -rotor -coil@1",
        "wet": "+cap +rotor -coil@1",
        "burnt": "+rotor +cap -coil@1",
    },
    "fuel_trim": {
        "normal": "-unmetered_air -fuel_delivery -recirculation",
        "lean_idle": "+unmetered_air -fuel_delivery",
        "lean_both": "+fuel_delivery",
        "lean_load": "+fuel_delivery -unmetered_air",
        "rich": "+recirculation -unmetered_air",
    },
    "fuel_pressure": {"in_range": "-fuel_delivery", "low": "+fuel_delivery", "high": "-fuel_delivery"},
    "fuel_level": {"enough": "-fuel_delivery", "low": "+fuel_delivery"},
    "fuel_leak": {"dry": "", "wet": ""},
    "rpm_effect": {
        "smooth": "-fuel_delivery +unmetered_air +runner@2",
        "same": "-unmetered_air",
        "worse": "-unmetered_air",
    },
    "voltage": {"good": "-system_voltage", "low": "+system_voltage", "too_high": "-system_voltage"},
}
ROWS = [(check, finding, told) for check, rows in SPEAKS.items() for finding, told in rows.items()]


def weak_two(check: str) -> Logbook:
    """An engine that misses, and whose cylinder 2 is known to be the one where a check of it comes next."""
    log = Logbook("findings", ignition="distributor" if check == "cap_look" else "coil_on_plug")
    log.complaint("shakes", circumstances=["always"])
    if checks.BY_KEY[check]["about"] != "engine" and check not in ("drop", "misfire_counts"):
        log.drop({1: "full", 2: "small", 3: "full", 4: "full"}, disabled="tool")
    if check == "compression_wet":
        log.check("compression", "low", cylinder=2)
    return log


def faults(log: Logbook) -> dict[str, float]:
    model = readings.model_of(casefile.fold(log.entries))
    found = posterior.Posterior(model).marginals()
    return {component.name: 1.0 - row[0] for component, row in zip(model.components, found, strict=True)}


@functools.cache
def faults_before(check: str) -> dict[str, float]:
    return faults(weak_two(check))


def test_the_table_holds_every_finding_of_every_check():
    assert {check: set(rows) for check, rows in SPEAKS.items()} == {
        check["key"]: set(checks.findings_of(check["key"])) for check in checks.CHECKS
    }


@pytest.mark.parametrize(("check", "finding", "told"), ROWS, ids=[f"{check}-{finding}" for check, finding, _ in ROWS])
def test_a_finding_moves_what_it_should(check, finding, told):
    about = checks.BY_KEY[check]["about"]
    where = {"engine": {}, "cylinder": {"cylinder": 2}}.get(about, {"place": f"{about}.2"})
    log = weak_two(check)
    log.check(check, finding, **where)
    before, after = faults_before(check), faults(log)
    for word in told.split():
        sign, name = word[0], word[1:].replace("coil_supply", "coil_supply@1")
        if sign == "+":
            assert after[name] > before[name] * 1.02, name
        else:
            assert after[name] < before[name] * 0.98, name
    if not told:
        assert after == pytest.approx(before, abs=1e-12)


def test_a_plug_wet_with_fuel_clears_the_injector_more_than_any_other_look_at_it():
    """A silent or clogged injector leaves its plug dry."""

    def injector_after(finding: str) -> float:
        log = weak_two("plug_look")
        log.check("plug_look", finding, place="plug.2")
        return faults(log)["injector@2"]

    findings = set(checks.findings_of("plug_look")) - {"wet"}
    assert injector_after("wet") < injector_after("good") / 2
    assert injector_after("wet") < max(injector_after(finding) for finding in findings)


# Parts on the bench


@pytest.mark.parametrize("kind", ["coil", "boot", "plug", "injector"])
def test_a_part_is_cleared_by_a_good_bench_and_blamed_by_a_bad_one(kind):
    def blamed(result: str | None) -> float:
        log = Logbook("bench", ignition="coil_near_plug")
        log.drop({1: "full", 2: "none", 3: "full", 4: "full"}, disabled="tool")
        removed = log.part_at(f"{kind}.2")
        log.replace(f"{kind}.2")
        if result:
            log.fate(removed, "bench_tested", bench=result)
        return faults(log)[f"{kind}@2"]

    before = blamed(None)
    assert blamed("good") < before / 2
    assert blamed("bad") > min(1.5 * before, before + 0.3)
    assert blamed("unclear") == pytest.approx(before, abs=1e-12)


def test_of_a_part_tested_twice_the_latest_result_counts():
    def after(*results: str) -> dict[str, float]:
        log = Logbook("twice")
        log.drop({2: "none"}, disabled="tool")
        removed = log.part_at("coil.2")
        log.replace("coil.2")
        for result in results:
            log.fate(removed, "bench_tested", bench=result)
        return faults(log)

    assert after("bad", "good") == pytest.approx(after("good"), abs=1e-12)


# Freeze frames


def test_a_freeze_frame_under_load_speaks_for_what_breaks_down_under_load():
    def found(frame: dict | None) -> dict[str, float]:
        log = Logbook("frame")
        log.codes("P0302", complete=False, freeze_frame=frame)
        return faults(log)

    idle, load = found({"code": "P0302", "rpm": 750}), found({"code": "P0302", "rpm": 2800, "load": 85})
    assert load["runner@2"] < idle["runner@2"] / 2
    assert load["coil@2"] > idle["coil@2"]
    assert found({"code": "P0171", "rpm": 750}) == pytest.approx(found(None), abs=1e-12)  # not of this code
    assert found({"rpm": 1400}) == pytest.approx(found(None), abs=1e-12)  # neither idle nor load


# Readings alone


def test_a_reading_alone_is_as_good_as_the_finding_it_comes_to():
    def after(finding: str | None) -> dict[str, float]:
        log = weak_two("compression")
        same = log.new_id()
        for cylinder, text in ((1, "170 psi"), (2, "95 psi"), (3, "172 psi"), (4, "168 psi")):
            told = finding and ("low" if cylinder == 2 else "good")
            log.check("compression", told, cylinder=cylinder, round=same, reading=(text, "pressure"))
        return faults(log)

    assert after(None) == pytest.approx(after("given"), abs=1e-12)


def test_oil_that_changes_nothing_does_not_speak_against_low_compression():
    """It points away from the rings, to a valve or a gasket: low compression is either."""
    before, log = faults_before("compression_wet"), weak_two("compression_wet")
    log.check("compression_wet", "same", cylinder=2)
    after = faults(log)
    assert after["gasket@2-3"] > before["gasket@2-3"]
    assert after["compression@2"] / before["compression@2"] > 0.9  # no more than what the gasket takes


def test_a_hand_over_names_what_the_leak_down_found():
    log = Logbook("exhaust valve")
    log.complaint("shakes", circumstances=["always"])
    log.drop({1: "full", 2: "none", 3: "full", 4: "full"}, disabled="tool")
    log.compression({1: "170 psi", 2: "60 psi", 3: "168 psi", 4: "171 psi"}, low=(2,))
    log.check("leak_down", "exhaust", cylinder=2)
    answer = json.loads(bridge.answer("diagnosis", json.dumps({"entries": log.entries})))
    [step] = [step for step in answer["steps"] if step["key"] == "hand_over"]
    assert "out of the exhaust" in step["why"] and "Exhaust valve." in step["why"]
