"""How likely each cylinder misses as the engine stands now, against the same with one more finding."""

import pytest

from coiltrail.core import casefile, explanations, posterior, readings
from demo_fixtures.stories import log_of


@pytest.mark.parametrize("key", ["1", "2", "3", "4", "6", "7", "8", "9", "10", "14a", "16", "strikes", "waste-six"])
def test_it_is_the_chance_of_not_running_full(key):
    case = casefile.fold(log_of(key))
    found = explanations.Diagnosis(case)
    for row in found.cylinders():
        model = readings.model_of(case)
        model.factors.append(((model.running_now(row["cylinder"]),), (1.0, 0.0, 0.0, 0.0), "thought"))
        full = posterior.Posterior(model).evidence / found.posterior.evidence
        assert row["misses"] == pytest.approx(1.0 - full, abs=1e-9)


def test_a_cylinder_that_gave_no_drop_misses_almost_for_sure():
    misses = {row["cylinder"]: row["misses"] for row in explanations.Diagnosis(casefile.fold(log_of("1"))).cylinders()}
    assert misses[3] > 0.95
    assert max(misses[c] for c in (1, 2, 4)) < 0.1
