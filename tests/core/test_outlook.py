"""What a check or a swap is said to show, against recording it and diagnosing anew."""

import pytest

from coiltrail.core import casefile, explanations, outlook, worlds
from demo_fixtures.logbook import Logbook
from demo_fixtures.stories import log_of


def seen(entries) -> tuple:
    diagnosis = explanations.Diagnosis(casefile.fold(entries))
    ways = worlds.of_diagnosis(diagnosis)
    return diagnosis, ways, outlook.Outlook(diagnosis, ways)


def dead_three() -> Logbook:
    log = Logbook("outlook")
    log.complaint("shakes", "no_power", circumstances=["always"])
    log.drop({1: "full", 2: "full", 3: "none", 4: "full"})
    log.connectors({3: "good"})
    return log


def chances_of(ways, look, shown) -> dict:
    """Chance of each outcome on the whole, and of each fault after it, by the outlook."""
    mass = sum(look.weights)
    told = {}
    for findings, chances in shown:
        weights = [w * p for w, p in zip(look.weights, chances, strict=True)]
        after = {
            index: sum(w for w, blamed in zip(weights, ways.sets, strict=True) if index in blamed) / sum(weights)
            for index in ways.faults
        }
        told[findings[0] if isinstance(findings, list) else findings] = (sum(weights) / mass, after)
    return told


@pytest.mark.parametrize(
    ("check", "where"),
    [
        ("spark", {"place": "coil.3"}),
        ("injector_sound", {"place": "injector.3"}),
        ("injector_pulse", {"place": "injector.3"}),
        ("plug_look", {"place": "plug.3"}),
        ("wiggle", {"place": "coil.3"}),
        ("compression", {"cylinder": 3}),
        ("coil_primary", {"place": "coil.3"}),
    ],
)
def test_what_a_check_would_leave_is_what_recording_it_leaves(check, where):
    log = dead_three()
    _, ways, look = seen(log.entries)
    for finding, (chance, after) in chances_of(ways, look, look.of_check(check, **where)).items():
        if chance < 0.03:
            continue
        recorded = dead_three()
        recorded.check(check, finding, **where)
        diagnosis = explanations.Diagnosis(casefile.fold(recorded.entries))
        for index, p in after.items():
            assert p == pytest.approx(diagnosis.fault(index), abs=0.08), (finding, index)


def test_what_a_swap_would_leave_is_what_recording_it_leaves():
    log = dead_three()
    _, ways, look = seen(log.entries)
    told = chances_of(ways, look, look.of_swap("coil", 3, 1))
    for outcome, drops in (("follows", {3: "full", 1: "none"}), ("stays", {3: "none", 1: "full"})):
        recorded = dead_three()
        recorded.swap("coil", 3, 1)
        recorded.drop(drops)
        diagnosis = explanations.Diagnosis(casefile.fold(recorded.entries))
        coil = next(i for i, c in enumerate(diagnosis.model.components) if c.name == "coil@3")
        assert told[outcome][1][coil] == pytest.approx(diagnosis.fault(coil), abs=0.08), outcome


def test_the_outcomes_of_a_check_share_out_every_world():
    _, ways, look = seen(dead_three().entries)
    for check, where in (
        ("spark", {"place": "coil.3"}),
        ("coil_look", {"place": "coil.3"}),
        ("connector_look", {"place": "coil.3"}),
        ("fuel_trim", {}),
        ("rpm_effect", {}),
        ("misfire_counts", {"cylinder": 3}),
    ):
        shown = look.of_check(check, **where)
        for world in range(len(ways.sets)):
            assert sum(chances[world] for _, chances in shown) == pytest.approx(1.0), check


def test_findings_that_say_the_same_are_one_outcome():
    _, _, look = seen(dead_three().entries)
    findings = [alike for alike, _ in look.of_check("coil_look", place="coil.3")]
    assert ["cracked", "swollen"] in findings


def test_a_finding_that_says_nothing_is_no_outcome():
    _, _, look = seen(dead_three().entries)
    assert look.of_check("fuel_leak") == []


def test_a_cylinder_known_to_be_dead_tells_nothing_new_when_asked_again():
    # A worn plug lets a cylinder run full two times in five at idle, but hardly one found dead in this stretch.
    _, _, look = seen(dead_three().entries)
    none = next(chances for findings, chances in look.of_check("misfire_counts", cylinder=3) if findings == ["none"])
    assert max(none) < 0.15


def test_asking_leaves_the_case_as_it_is():
    diagnosis, _, look = seen(dead_three().entries)
    before = len(diagnosis.case.log), len(diagnosis.model.factors), diagnosis.case.trails.at_place["coil.3"]
    look.of_check("spark", place="coil.3")
    look.of_swap("coil", 3, 1)
    assert before == (
        len(diagnosis.case.log),
        len(diagnosis.model.factors),
        diagnosis.case.trails.at_place["coil.3"],
    )


def test_a_world_that_lives_on_faults_it_does_not_name_gives_its_weight_away():
    # Three cylinders of one bank are dead. One dead coil explains one of them; its weight is borne by other faults.
    log = Logbook("bank", 6, "vee")
    log.complaint("shakes", circumstances=["always"])
    log.drop({1: "none", 2: "full", 3: "none", 4: "full", 5: "none", 6: "full"})
    _, ways, look = seen(log.entries)
    single = [k for k, blamed in enumerate(ways.sets) if len(blamed) == 1 and ways.weights[k] > 0.005]
    lone = [k for k in single if _name(look, ways.sets[k][0]).startswith(("coil@", "coil_connector@"))]
    assert lone
    assert all(look.weights[k] < ways.weights[k] for k in lone)
    assert look.weights[-1] > 0.1
    assert sum(look.weights) == pytest.approx(sum(ways.weights))


def _name(look, index: int) -> str:
    return look.now.model.components[index].name


@pytest.mark.parametrize("key", ["1", "2", "3", "5", "6", "8", "9", "11", "16"])
def test_the_worlds_hold_the_whole_weight(key):
    diagnosis, ways, look = seen(log_of(key))
    assert sum(ways.weights) + ways.gone == pytest.approx(1.0, abs=1e-6)
    assert min(look.weights) >= 0
    leading = diagnosis.listed[0][0]
    assert ways.sets[0] == tuple(i for i in leading if diagnosis.standing(i)[1])
