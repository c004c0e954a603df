"""The tables of faults and evidence hold together: distributions sum to one, names exist, every check speaks."""

import itertools

import pytest

from coiltrail.core import checks, code_memory, codes, entries, evidence, faults

COUNTED = evidence.COUNTED

# Findings that say nothing of any fault we know, and why.
SILENT = {
    ("coil_primary", "unreadable"): "a driver is built in, which hides the winding",
    ("coil_secondary", "unreadable"): "a diode is built in, which hides the winding",
    ("fuel_leak", "dry"): "asked for safety, before anything sparks",
    ("fuel_leak", "wet"): "asked for safety, before anything sparks",
}


def offered() -> set[tuple[str, str]]:
    """(check, finding) of everything that a mechanic can record."""
    return {(check["key"], finding["value"]) for check in checks.CHECKS for finding in check["findings"]}


def spoken_of() -> set[tuple[str, str]]:
    """(check, finding) of everything that the tables have evidence for."""
    found = {(check, finding) for check, rows in evidence.RUNNING.items() for finding in rows}
    found |= {(check, finding) for (check, _), rows in evidence.LOOKS.items() for finding in rows}
    found |= {
        (check, finding) for check in checks.BY_KEY for _, levels in evidence.signs_of(check) for finding in levels
    }
    return found | {("rpm_effect", finding) for finding in checks.findings_of("rpm_effect") if finding in COUNTED}


def states_of(kind: str) -> list[str]:
    return [state["state"] for state in faults.BY_KIND[kind]["states"]]


# Findings


def test_every_finding_on_offer_speaks_or_is_known_to_be_silent():
    assert offered() - spoken_of() == set(SILENT)


def test_no_evidence_is_for_a_finding_that_is_not_on_offer():
    assert spoken_of() - offered() == set()


def test_every_choice_of_a_complaint_and_a_road_test_is_one_that_the_tables_name():
    fields = {field["name"]: field for field in entries.BY_KIND["road_test"]["fields"]}
    assert {"felt_" + choice["value"] for choice in fields["felt"]["choices"]} <= set(COUNTED)
    fields = {field["name"]: field for field in entries.BY_KIND["complaint"]["fields"]}
    assert set(evidence.SYMPTOMS_OF_MISSING) <= {choice["value"] for choice in fields["symptoms"]["choices"]}


# Distributions


@pytest.mark.parametrize("profile", faults.PROFILES)
def test_a_profile_is_a_distribution_of_levels_under_each_condition(profile):
    rows = faults.PROFILES[profile]
    assert {"idle", "load"} <= set(rows) <= {"idle", "load", "wet"}
    for condition, shares in rows.items():
        assert len(shares) == faults.LEVELS, condition
        assert min(shares) > 0.0, condition
        assert sum(shares) == pytest.approx(1.0, abs=1e-12), condition


@pytest.mark.parametrize("kind", faults.BY_KIND)
@pytest.mark.parametrize("fresh", [None, "new", "mended"])
def test_a_prior_is_a_distribution(kind, fresh):
    prior = faults.prior(kind, fresh)
    assert sum(prior) == pytest.approx(1.0, abs=1e-12)
    assert min(prior) > 0.0
    assert prior[0] > 0.9


@pytest.mark.parametrize("kind", faults.BY_KIND)
def test_every_fault_acts_by_a_profile_that_exists(kind):
    profiles = [state["profile"] for state in faults.BY_KIND[kind]["states"][1:]]
    assert set(profiles) <= set(faults.PROFILES) | {None}
    if None in profiles:  # then a sign must know it, or nothing ever could
        assert any(source == kind for sign in evidence.SIGNS.values() for source, _ in sign["sources"])


@pytest.mark.parametrize("check", evidence.RUNNING)
def test_how_a_cylinder_runs_is_found_in_one_way_or_another(check):
    rows = evidence.RUNNING[check]
    assert set(rows) == set(checks.findings_of(check))
    for level in range(faults.LEVELS):
        assert sum(row[level] for row in rows.values()) == pytest.approx(1.0, abs=1e-12), level
        assert all(0.0 < row[level] < 1.0 for row in rows.values())


@pytest.mark.parametrize("findings", [("felt_none", "felt_sometimes", "felt_always"), ("smooth", "same", "worse")])
def test_how_many_miss_is_found_in_one_way_or_another(findings):
    for number in range(3):
        assert sum(COUNTED[finding][number] for finding in findings) == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize("name", COUNTED)
def test_a_chance_of_how_many_miss_is_a_chance(name):
    assert len(COUNTED[name]) == 3
    assert all(0.0 < chance < 1.0 for chance in COUNTED[name])


@pytest.mark.parametrize("looked", evidence.LOOKS)
def test_a_look_finds_one_thing_or_another(looked):
    check, kind = looked
    rows = evidence.LOOKS[looked]
    assert checks.BY_KEY[check]["about"] in ("coil", "plug", "boot", "injector")
    for finding, row in rows.items():
        assert set(row) == set(states_of(kind)), finding
        assert all(0.0 < chance < 1.0 for chance in row.values()), finding
    if len(rows) > 1:  # one row alone is a defect that the look shows or not
        for state in states_of(kind):
            assert sum(row[state] for row in rows.values()) == pytest.approx(1.0, abs=1e-12), state


@pytest.mark.parametrize("kind", evidence.BENCH)
def test_a_bench_finds_good_or_bad_and_is_right_more_often_than_not(kind):
    results = evidence.BENCH[kind]
    assert set(results) == {"good", "bad"}
    for row in results.values():
        assert set(row) == set(states_of(kind))
    for state in states_of(kind):
        assert results["good"][state] + results["bad"][state] == pytest.approx(1.0, abs=1e-12)
        assert (results["good"][state] > results["bad"][state]) == (state == "good"), state


@pytest.mark.parametrize("name", evidence.SIGNS)
def test_a_sign_is_a_distribution_of_its_levels(name):
    sign = evidence.SIGNS[name]
    rows = {("leak", ""): sign["leak"], **sign["sources"]}
    for source, shares in rows.items():
        assert len(shares) == sign["levels"], source
        assert sum(shares) == pytest.approx(1.0, abs=1e-12), source
        assert min(shares) >= 0.0, source
    # Nothing is impossible: each level can come of the leak, or of the cylinder that the sign stands beside.
    assert name == "false_code" or min(sign["leak"]) > 0.0


@pytest.mark.parametrize("name", evidence.SIGNS)
def test_a_sign_comes_of_faults_that_exist_and_speaks_for_them(name):
    sign = evidence.SIGNS[name]
    assert sign["sources"]
    for (kind, state), shares in sign["sources"].items():
        assert state in states_of(kind)[1:]
        # At least as often as from the leak alone: P(sign <= level) is no larger with the fault.
        for level in range(sign["levels"] - 1):
            assert sum(shares[: level + 1]) < sum(sign["leak"][: level + 1]) + 1e-12, (kind, state)


def test_every_sign_is_read_by_something():
    read = {sign for check in checks.BY_KEY for sign, _ in evidence.signs_of(check)}
    read |= {sign for sign, _ in evidence.ENGINE_CODES}
    read |= {"circuit_code", "injector_code", "false_code"}
    assert read == set(evidence.SIGNS)


@pytest.mark.parametrize("check", checks.BY_KEY)
def test_a_check_shows_levels_that_its_signs_have(check):
    for sign, levels in evidence.signs_of(check):
        assert set(levels.values()) == set(range(evidence.SIGNS[sign]["levels"])), sign


# Codes


def test_codes_of_the_whole_engine_are_kinds_that_exist():
    for sign, kinds in evidence.ENGINE_CODES:
        assert sign in evidence.SIGNS
        assert set(kinds) <= set(codes.KINDS), sign
    spoken = list(itertools.chain.from_iterable(kinds for _, kinds in evidence.ENGINE_CODES))
    assert len(spoken) == len(set(spoken))


def test_codes_that_speak_by_their_absence_can_be_expected():
    known = {"misfire", "misfire_random", "coil_circuit", "injector_circuit"} | {
        sign for sign, _ in evidence.ENGINE_CODES
    }
    assert set(code_memory.ABSENCE_SPEAKS) <= known


def test_a_code_is_likelier_the_worse_it_runs():
    assert list(evidence.MISFIRE_CODE) == sorted(evidence.MISFIRE_CODE)
    assert list(COUNTED["random_code"]) == sorted(COUNTED["random_code"])


# What is read where


@pytest.mark.parametrize("name", evidence.SIGNS)
def test_what_gives_a_sign_is_where_the_sign_is_read(name):
    """A source that never serves the place of reading would be a dead row of the table."""
    of_engine = {kind for kind, row in faults.BY_KIND.items() if row["belongs"] in ("engine", "distributor")}
    about = {check["about"] for check in checks.CHECKS if name in dict(evidence.signs_of(check["key"]))}
    sources = {kind for kind, _ in evidence.SIGNS[name]["sources"]}
    if about == {"coil"} or name == "circuit_code":
        assert name not in evidence.CYLINDER_SIGNS
        assert sources <= {"coil", "coil_connector", "coil_wiring", "coil_supply", "boot"}
    elif about <= {"engine"} and name not in evidence.CYLINDER_SIGNS:
        assert sources <= of_engine | {"runner"}
    else:
        assert name in evidence.CYLINDER_SIGNS
