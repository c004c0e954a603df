import math

import pytest

from coiltrail.core import lifetimes
from coiltrail.core.lifetimes import Weibull


def test_survival_falls_from_one_by_shape_and_scale():
    law = Weibull(2.0, 100.0)
    assert law.survives(0) == 1.0
    assert law.survives(100) == pytest.approx(math.exp(-1))
    assert law.survives(50) > law.survives(60)


def test_what_is_known_to_last_spends_nothing_until_then():
    law = lifetimes.Lasting(Weibull(2.0, 100.0), 60)
    assert [law.hazard_until(age) for age in (10, 60)] == [0.0, 0.0]
    assert law.hazard_until(100) == pytest.approx(1.0 - 0.36)


def test_shape_one_is_the_exponential():
    law = Weibull(1.0, 80.0)
    assert law.mean() == pytest.approx(80)
    assert law.deviation() == pytest.approx(80)


def test_unit_of_age_does_not_matter():
    lives = [(10, True, 0), (30, True, 5), (45, False, 0), (60, True, 20)]
    months, days = lifetimes.fit(lives), lifetimes.fit([(a * 30, f, e * 30) for a, f, e in lives])
    assert days.shape == pytest.approx(months.shape)
    assert days.scale == pytest.approx(30 * months.scale)


def test_parts_that_still_run_lengthen_the_life():
    failed = [(20, True, 0), (50, True, 0), (70, True, 0)]
    assert lifetimes.fit([*failed, (90, False, 0), (90, False, 0)]).mean() > lifetimes.fit(failed).mean()


@pytest.mark.parametrize(
    "lives",
    [[], [(10, True, 0)], [(10, False, 0), (20, False, 0)], [(10, True, 0), (10, True, 0)]],
    ids=["none", "one failure", "no failure", "failures at one age"],
)
def test_too_few_failures_are_declined(lives):
    with pytest.raises(ValueError, match="two failures"):
        lifetimes.fit(lives)


@pytest.mark.parametrize("life", [(0, True, 0), (10, True, 10), (-1, False, 0), (5, True, -2)])
def test_impossible_lives_are_declined(life):
    with pytest.raises(ValueError, match="age"):
        lifetimes.fit([(10, True, 0), (20, True, 0), life])


def test_without_lives_the_usual_law_stands():
    law = lifetimes.updated(Weibull(2.0, 200.0), [], strength=5, fit_from=10)
    assert (law.shape, law.scale) == (2.0, pytest.approx(200.0))


def test_early_failures_shorten_the_usual_life_little_by_little():
    usual = Weibull(2.0, 200.0)
    few = lifetimes.updated(usual, [(40, True, 0)] * 2, strength=5, fit_from=10)
    many = lifetimes.updated(usual, [(40, True, 0)] * 9, strength=5, fit_from=10)
    assert 40 < many.scale < few.scale < 200
    # By hand: (5 * 200^2 + 2 * 40^2) / 7, then the root.
    assert few.scale == pytest.approx(math.sqrt((5 * 200**2 + 2 * 40**2) / 7))


def test_with_enough_failures_the_shape_is_fitted_too():
    lives = [(age, True, 0) for age in (20, 22, 24, 25, 26, 27, 28, 29, 30, 31, 33, 35)]
    law = lifetimes.updated(Weibull(1.5, 100.0), lives, strength=1, fit_from=10)
    assert law.shape == pytest.approx(lifetimes.fit(lives).shape)
    assert law.shape > 4


def test_failures_all_at_one_age_keep_the_usual_shape():
    law = lifetimes.updated(Weibull(1.5, 100.0), [(30, True, 0)] * 12, strength=2, fit_from=10)
    assert law.shape == 1.5
