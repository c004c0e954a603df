"""How a log becomes evidence: which entries speak, of what, and from when."""

import json

import pytest

from coiltrail.core import bridge, casefile, checks, posterior, readings
from demo_fixtures.logbook import Logbook


def model_of(log: Logbook):
    return readings.model_of(casefile.fold(log.entries))


def told_by(model, entry: dict) -> list[tuple]:
    """Kinds and places of what an entry speaks of, without what runs and signs it is judged by."""
    return sorted((keys[-1][0], keys[-1][1]) for keys, _, by in model.factors if by == entry["id"])


def marginals(model) -> dict[str, list[float]]:
    return dict(zip([c.name for c in model.components], posterior.Posterior(model).marginals(), strict=True))


def same(one, other) -> bool:
    return marginals(one) == {name: pytest.approx(row, abs=1e-12) for name, row in marginals(other).items()}


# Codes that we set ourselves


def test_unplugging_a_shared_coil_sets_the_codes_of_both_its_cylinders():
    log = Logbook("waste", 4, ignition="waste_spark")
    log.drop({4: "full"}, disabled="coil")
    read = log.codes("P0301", "P0304", "P0351", "P0302", "P0204")
    told = told_by(model_of(log), read)
    assert ("false_code", 2) in told  # the code of cylinder 2 speaks
    assert ("injector_code", 4) in told  # so does that of an injector that was left plugged in
    assert not {("false_code", 1), ("false_code", 4), ("circuit_code", 1)} & set(told)


def test_unplugging_an_injector_leaves_the_code_of_the_coil():
    log = Logbook("injector")
    log.drop({3: "none"}, disabled="injector")
    read = log.codes("P0303", "P0353", "P0203")
    told = told_by(model_of(log), read)
    assert ("circuit_code", 3) in told
    assert not {("false_code", 3), ("injector_code", 3)} & set(told)


def test_codes_set_by_unplugging_speak_again_once_they_were_cleared():
    log = Logbook("cleared")
    log.drop({3: "none"}, disabled="coil")
    log.clear()
    log.drive(10, "always")
    read = log.codes("P0303")
    assert ("false_code", 3) in told_by(model_of(log), read)


# Codes that outlive clearing


def test_a_permanent_code_read_again_after_clearing_says_nothing_new():
    log = Logbook("permanent")
    log.codes("P0302 permanent", complete=False)
    log.clear()
    before = model_of(log)
    again = log.codes("P0302 permanent", complete=False)
    after = model_of(log)
    assert told_by(after, again) == []
    assert same(before, after)


def test_a_code_that_came_back_as_stored_speaks_of_the_time_since_clearing_though_it_is_permanent_too():
    def factor(*codes):
        log = Logbook("both")
        log.codes("P0302 permanent", complete=False)
        log.swap("coil", 2, 3)
        log.clear()
        log.drive(10, "always")
        read = log.codes(*codes, complete=False)
        [keys] = [keys for keys, _, by in model_of(log).factors if by == read["id"]]
        return [key for key in keys if key[0] == "runs"]

    assert factor("P0302 permanent", "P0302") == factor("P0302", "P0302 permanent") == factor("P0302")
    assert factor("P0302") == [("runs", 2, 1, "drive")]  # not of the arrangement before the swap


# Findings that say nothing


@pytest.mark.parametrize(
    ("check", "told", "where"),
    [
        ("compression", "low", {"cylinder": 2}),
        ("fuel_trim", "lean_idle", {}),
        ("connector_look", "chafed", {"place": "coil.2"}),
        ("drop", "none", {"cylinder": 2}),
    ],
)
@pytest.mark.parametrize("silent", [None, "of_a_newer_version"])
def test_a_check_without_a_finding_we_know_says_nothing_and_hides_nothing(check, told, where, silent):
    log = Logbook("silent")
    before = model_of(log)
    log.check(check, silent, **where)
    assert same(before, model_of(log))
    log = Logbook("told")
    log.check(check, told, **where)
    before = model_of(log)
    log.check(check, silent, **where)
    assert same(before, model_of(log))
    assert not same(before, model_of(Logbook("told")))


@pytest.mark.parametrize(
    "odd",
    [
        lambda log: log.drive(5, "always", {7: 3}),
        lambda log: log.drop({9: "none"}),
        lambda log: log.check("spark", "none", place="coil.3"),
        lambda log: log.check("spark", "none", cylinder=4),
        lambda log: log.check("compression", "low", place="coil.2"),
        lambda log: log.check("drop", "none"),
        lambda log: log.codes("P0309", "P0361", "P0209", "U3FFF", complete=False),
        lambda log: log.mend("coil_connector@9"),
        lambda log: log.add("repair", work="cleaned", place="coil.9"),
    ],
)
def test_what_is_not_on_this_engine_is_no_evidence_and_no_failure(odd):
    log = Logbook("odd", 4, ignition="waste_spark")
    log.complaint()
    log.drop({2: "none"})
    before = marginals(model_of(log))
    odd(log)
    after = marginals(model_of(log))
    for cylinder in (1, 2, 3, 4):
        assert after[f"injector@{cylinder}"][0] == pytest.approx(before[f"injector@{cylinder}"][0], rel=0.2)


# Checks of the whole engine


def test_a_check_of_the_whole_engine_made_again_after_a_repair_leaves_what_it_found_before():
    log = Logbook("pressure")
    low = log.check("fuel_pressure", "low")
    log.mend("fuel_delivery")
    good = log.check("fuel_pressure", "in_range")
    model = model_of(log)
    assert {by for _, _, by in model.factors} == {low["id"], good["id"]}
    assert 1.0 - marginals(model)["fuel_delivery"][0] > 0.1
    assert 1.0 - marginals(model)["fuel_delivery/2"][0] < 0.05


def test_a_check_of_the_whole_engine_made_again_with_nothing_changed_counts_once():
    log = Logbook("voltage")
    log.check("voltage", "low")
    log.swap("coil", 1, 2)  # has nothing to do with it
    again = log.check("voltage", "good")
    assert [by for _, _, by in model_of(log).factors] == [again["id"]]


def test_how_it_runs_at_speed_speaks_of_each_arrangement():
    log = Logbook("speed")
    before = log.check("rpm_effect", "same")
    log.swap("coil", 1, 2)
    after = log.check("rpm_effect", "smooth")
    assert [by for _, _, by in model_of(log).counts] == [before["id"], after["id"]]


# Contradictions


@pytest.mark.parametrize(
    ("check", "one", "other", "where"),
    [
        ("drop", "full", "none", {"cylinder": 2}),
        ("spark", "none", "strong", {"place": "coil.2"}),
        ("coil_pulse", "present", "absent", {"place": "coil.2"}),
        ("injector_sound", "silent", "clicks", {"place": "injector.2"}),
        ("compression", "good", "none", {"cylinder": 2}),
        ("air_leak", "leaks", "tight", {}),
        ("coil_primary", "in_range", "open", {"place": "coil.2"}),
    ],
)
def test_opposite_findings_are_named_with_both_entries_and_the_later_counts(check, one, other, where):
    log = Logbook("opposite")
    first = log.check(check, one, **where)
    assert readings.contradictions(casefile.fold(log.entries)) == []
    second = log.check(check, other, **where)
    [named] = readings.contradictions(casefile.fold(log.entries))
    assert named["entries"] == [first["id"], second["id"]]
    for finding in (one, other):
        assert f"'{checks.finding_label(check, finding)}'" in named["text"]
    alone = Logbook("opposite")
    alone.note("instead")
    alone.check(check, other, **where)
    assert same(model_of(log), model_of(alone))
    log.strike(first)
    assert readings.contradictions(casefile.fold(log.entries)) == []


def test_opposite_findings_with_a_move_between_are_no_contradiction():
    log = Logbook("moved")
    log.drop({2: "none"})
    log.swap("coil", 2, 3)
    log.drop({2: "full"})
    assert readings.contradictions(casefile.fold(log.entries)) == []


def test_a_part_in_two_places_is_named_with_both_entries():
    log = Logbook("two places")
    coil = log.part_at("coil.3")
    first = log.swap("coil", 3, 1)
    log.on_device()
    second = log.add("parts_moved", moves=[{"part": coil, "from": "coil.3", "to": "coil.2"}])
    [named] = readings.contradictions(casefile.fold(log.entries))
    assert named["entries"] == [first["id"], second["id"]]
    log.answer(f"stands/{second['id']}", "leave")
    assert readings.contradictions(casefile.fold(log.entries)) == []


@pytest.mark.parametrize("cylinder", [1, 4])
def test_a_shared_coil_is_another_thing_to_look_at_once_something_changed_at_either_cylinder(cylinder):
    log = Logbook("shared", 4, ignition="waste_spark")
    first = log.check("coil_look", "tracked", place="coil.1")
    log.swap("plug", cylinder, 2)
    second = log.check("coil_look", "tracked", place="coil.1")
    assert {by for _, _, by in model_of(log).counts} == {first["id"], second["id"]}


@pytest.mark.parametrize("cylinders", [1, 4])
def test_an_engine_of_nothing_but_contradictions_is_answered_and_each_is_named(cylinders):
    """Whatever is found of it, the numbers stay finite, and both entries of each contradiction are named."""
    log = Logbook("all at once", cylinders)
    log.complaint(circumstances=["always"])
    pairs = [log.drop({1: "full"})[0], log.drop({1: "none"})[0]]
    for check, one, other, where in (
        ("spark", "none", "strong", {"place": "coil.1"}),
        ("coil_pulse", "present", "absent", {"place": "coil.1"}),
        ("plug_look", "good", "cracked", {"place": "plug.1"}),
        ("compression_wet", "rises", "same", {"cylinder": 1}),
        ("leak_down", "good", "across", {"cylinder": 1}),
        ("injector_balance", "less", "more", {"place": "injector.1"}),
        ("intake_gas", "steady", "rises", {}),
        ("fuel_pressure", "low", "high", {}),
    ):
        pairs += [log.check(check, one, **where), log.check(check, other, **where)]
    if cylinders > 1:
        coil = log.part_at("coil.3")
        pairs.append(log.swap("coil", 3, 2))
        log.on_device()
        pairs.append(log.add("parts_moved", moves=[{"part": coil, "from": "coil.3", "to": "coil.4"}]))
    told = json.loads(bridge.answer("diagnosis", json.dumps({"entries": log.entries})))
    named = [row["entries"] for row in told["contradictions"]]
    for first, second in zip(pairs[::2], pairs[1::2], strict=True):
        assert [first["id"], second["id"]] in named
    assert sum(e["p"] for e in told["explanations"]) + told["rest"] == pytest.approx(1.0, abs=1e-6)
    for row in told["components"]:
        assert all(0.0 <= state["p"] <= 1.0 for state in row["states"])
        assert sum(state["p"] for state in row["states"]) == pytest.approx(1.0, abs=1e-6)


def test_a_reading_that_was_graded_contradicts_like_a_finding():
    log = Logbook("graded")
    first = log.check("compression", cylinder=1, reading=("10 psi", "pressure"))
    second = log.check("compression", "good", cylinder=1)
    [named] = readings.contradictions(casefile.fold(log.entries))
    assert named["entries"] == [first["id"], second["id"]]
