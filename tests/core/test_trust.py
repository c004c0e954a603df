"""How far the verdict can be trusted: bent models against tables changed by hand."""

import copy
import json

import pytest

from coiltrail.core import bridge, casefile, evidence, explanations, faults, figures, posterior, readings, trust
from demo_fixtures.stories import log_of
from tests.core.trade_cases import CASES


def diagnosed(key: str) -> explanations.Diagnosis:
    return explanations.Diagnosis(casefile.fold(log_of(key)))


def odds_times(p: float, factor: float) -> float:
    odds = p / (1 - p) if p < 1 else float("inf")
    return 1.0 if p == 1 else odds * factor / (1 + odds * factor)


def margin_with_changed_tables(diagnosis) -> float:
    """Decibans of the leading explanation over its rival, from a model built anew on the tables as they stand."""
    model = readings.model_of(diagnosis.case)
    leading = diagnosis.listed[0][0]
    rivals = [b for b, _ in diagnosis.listed if not set(leading) <= set(b)][: trust.MOST_RIVALS] or [()]

    def weight(blamed):
        clamped = {
            i: [k for k, path in enumerate(model.components[i].paths) if (path[0] != 0) == (i in blamed)]
            for i in diagnosis.suspects
        }
        return posterior.Posterior(model, clamped).evidence

    return explanations.decibans(weight(leading) / max(weight(rival) for rival in rivals))


def row(told: dict, group: str) -> dict:
    return next(row for row in told["rows"] if row["group"] == group)


@pytest.mark.parametrize("factor", [0.5, 2.0])
def test_a_prior_bent_is_a_prior_changed_in_the_table(factor, monkeypatch):
    diagnosis = diagnosed("1")
    told = trust.trust(diagnosis)
    kind = copy.deepcopy(faults.BY_KIND["coil"])
    bad = sum(state["prior"] for state in kind["states"][1:])
    now = odds_times(bad, factor)
    for state in kind["states"][1:]:
        state["prior"] *= now / bad
    kind["states"][0]["prior"] = 1 - now
    monkeypatch.setitem(faults.BY_KIND, "coil", kind)
    name = "halved" if factor < 1 else "doubled"
    assert row(told, "prior/coil")[name] == pytest.approx(margin_with_changed_tables(diagnosis), abs=1e-9)


@pytest.mark.parametrize("factor", [0.5, 2.0])
def test_a_check_bent_is_a_check_changed_in_the_table(factor, monkeypatch):
    diagnosis = diagnosed("8")
    told = trust.trust(diagnosis)
    rows = {
        finding: tuple(odds_times(p, factor) for p in chances) for finding, chances in evidence.RUNNING["drop"].items()
    }
    monkeypatch.setitem(evidence.RUNNING, "drop", rows)
    name = "halved" if factor < 1 else "doubled"
    assert row(told, "entry/drop")[name] == pytest.approx(margin_with_changed_tables(diagnosis), abs=1e-9)


@pytest.mark.parametrize("factor", [0.5, 2.0])
def test_a_profile_bent_is_a_profile_changed_in_the_table(factor, monkeypatch):
    diagnosis = diagnosed("8")
    told = trust.trust(diagnosis)

    def bent(shares):
        above = [1 - p for p in faults.running_sum(shares)]
        cumulative = [1 - odds_times(p, factor) for p in above]
        return tuple(b - a for a, b in zip([0.0, *cumulative], cumulative, strict=False))

    changed = {condition: bent(shares) for condition, shares in faults.PROFILES["leaks_by"].items()}
    monkeypatch.setitem(faults.PROFILES, "leaks_by", changed)
    name = "halved" if factor < 1 else "doubled"
    assert row(told, "profile/leaks_by")[name] == pytest.approx(margin_with_changed_tables(diagnosis), abs=1e-9)


def test_nothing_bent_changes_nothing():
    diagnosis = diagnosed("10")
    for group, _ in trust.groups(diagnosis):
        bent = trust.Bent(diagnosis.model, group, 1.0)
        assert posterior.Posterior(bent).evidence == pytest.approx(diagnosis.posterior.evidence, rel=1e-9), group


def test_every_sign_is_called_by_its_check_or_by_words_of_its_own():
    of_checks = {sign for sign, _ in evidence.CHECK_SIGNS.values()}
    assert evidence.SIGNS.keys() - of_checks == figures.SIGN_WORDS.keys()


def test_each_group_of_numbers_is_called_otherwise():
    for case in CASES:
        words = [label for _, label in trust.groups(explanations.Diagnosis(casefile.fold(case.build().entries)))]
        assert sorted(set(words)) == sorted(words), case


def test_asking_leaves_tables_and_diagnosis_as_they_are():
    diagnosis = diagnosed("3")
    before = copy.deepcopy((faults.BY_KIND, faults.PROFILES, evidence.SIGNS, evidence.LOOKS, diagnosis.marginals))
    trust.trust(diagnosis)
    assert before == (faults.BY_KIND, faults.PROFILES, evidence.SIGNS, evidence.LOOKS, diagnosis.marginals)
    assert explanations.Diagnosis(diagnosis.case).posterior.evidence == diagnosis.posterior.evidence


def test_a_swap_that_shows_the_part_holds_whatever_the_numbers():
    told = trust.trust(diagnosed("2"))
    assert told["holds"]
    assert all(row["halved"] > 10 and row["doubled"] > 10 for row in told["rows"])
    assert "It stays ahead even if" in told["text"]


def test_a_near_thing_hangs_on_the_number_that_topples_it():
    told = trust.trust(diagnosed("9"))
    assert not told["holds"]
    assert told["hangs_on"] == told["rows"][0]["group"]
    assert not told["rows"][0]["holds"]
    assert told["rows"][0]["becomes"] in told["text"]


def test_the_margin_is_the_weight_that_why_adds_up_to():
    for key in ("2", "10"):
        told = trust.trust(diagnosed(key))
        why = json.loads(bridge.answer("why", json.dumps({"entries": log_of(key), "index": 0})))
        assert told["margin"] == pytest.approx(why["total"], abs=1e-6)


def test_with_nothing_suspected_there_is_nothing_to_trust():
    assert json.loads(bridge.answer("trust", json.dumps({"entries": log_of("one")[:1]}))) is None
