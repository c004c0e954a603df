"""A part that nobody saw go: what is believed is the average over where it may be."""

import pytest

from coiltrail.core import casefile, explanations, whereabouts
from coiltrail.core.gradually import finish
from demo_fixtures.logbook import Logbook
from demo_fixtures.stories import log_of


def diagnosed(log):
    return explanations.Diagnosis(casefile.fold(log))


def fault_of(diagnosis) -> dict[str, float]:
    return {row["component"]: row["fault"] for row in diagnosis.components()}


def answered(answer: str) -> Logbook:
    """Story 15 with its question answered."""
    log = Logbook("story 15")
    log.complaint("shakes", "no_power", circumstances=["always"])
    log.drop({1: "full", 2: "full", 3: "none", 4: "full"}, disabled="tool")
    log.move(("coil.1", "coil.3"))
    log.drop({3: "full"})
    [question] = casefile.fold(log.entries).trails.questions
    log.answer(question["id"], answer)
    return log


def test_the_posterior_averages_over_where_the_coil_may_be():
    unseen = diagnosed(answered("unknown").entries)
    each = [diagnosed(answered(place).entries) for place in ("coil.1", "off")]
    evidence = [one.posterior.evidence for one in each]
    assert unseen.posterior.evidence == pytest.approx(sum(evidence) / 2, rel=1e-9)
    faults = [fault_of(one) for one in each]
    for component in ("coil@3", "coil@2", "plug@3", "injector@3"):
        average = sum(e * f[component] for e, f in zip(evidence, faults, strict=True)) / sum(evidence)
        assert fault_of(unseen)[component] == pytest.approx(average, abs=1e-9), component
    misses = [{row["cylinder"]: row["misses"] for row in one.cylinders()} for one in (unseen, *each)]
    assert misses[2][1] < misses[0][1] < misses[1][1]  # a dead coil may have gone to cylinder 1
    for cylinder in (1, 2, 3, 4):
        average = sum(e * m[cylinder] for e, m in zip(evidence, misses[1:], strict=True)) / sum(evidence)
        assert misses[0][cylinder] == pytest.approx(average, abs=1e-9)


def test_a_finding_tells_where_it_went():
    log = answered("unknown")
    log.drop({1: "none"})
    found = diagnosed(log.entries)
    shares = {
        told.solved.model.case.trails.get(f"{log.case}.coil.3").place: told.share for told in found.posterior.each
    }
    assert shares["coil.1"] > 0.9
    assert fault_of(found)["coil@3"] > 0.9


def test_reasons_and_explanations_add_up_over_the_average():
    found = diagnosed(log_of("15"))
    why = finish(found.why(0))
    assert why["prior"] + sum(row["decibans"] for row in why["rows"]) == pytest.approx(why["total"], abs=1e-6)
    assert sum(p for _, p in found.listed) + found.rest == pytest.approx(1.0, abs=1e-9)


def test_a_case_without_a_missing_part_is_one_way():
    case = casefile.fold(log_of("2"))
    assert whereabouts.ways(case) == [case]


def test_many_missing_parts_make_no_more_than_so_many_ways():
    log = Logbook("many gone", 8, "vee")
    for coil in range(1, 7):
        log.move((f"coil.{coil}", "unknown"))
    assert 1 < len(whereabouts.ways(casefile.fold(log.entries))) <= whereabouts.MOST_WAYS
