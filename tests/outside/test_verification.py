"""The proof of a repair by clean driving against independent computations with scipy."""

import random

import pytest
from scipy import integrate, optimize, stats

from coiltrail.core import verification


def cases(count: int = 40) -> list[tuple[float, int, float, float]]:
    """(prior, misses before, minutes watched before, clean minutes since)."""
    draw = random.Random(14)
    return [
        (draw.uniform(0.05, 0.98), draw.choice((0, 1, 2, 5, 20, 60)), draw.uniform(1, 20), draw.uniform(0, 60))
        for _ in range(count)
    ]


def bayes(prior, chance_if_not):
    return prior / (prior + (1 - prior) * chance_if_not)


@pytest.mark.parametrize(("prior", "misses", "watched", "driven"), cases())
def test_against_the_negative_binomial(prior, misses, watched, driven):
    # Misses in the drive, given a Gamma(misses + 1/2, watched) rate, are negative binomial.
    none = stats.nbinom(misses + 0.5, watched / (watched + driven)).pmf(0)
    found = verification.holds(prior, misses + 0.5, watched, driven)
    assert found == pytest.approx(min(verification.MOST_SURE, bayes(prior, none)), rel=1e-12)


@pytest.mark.parametrize(("prior", "misses", "watched", "driven"), cases(12))
def test_against_the_integral_over_all_rates(prior, misses, watched, driven):
    rate = stats.gamma(misses + 0.5, scale=1 / watched)
    # By quantiles of the rate, which tames the density at zero.
    none, _ = integrate.quad(lambda u: stats.poisson(driven * rate.ppf(u)).pmf(0), 0, 1, limit=400)
    found = verification.holds(prior, misses + 0.5, watched, driven)
    assert found == pytest.approx(min(verification.MOST_SURE, bayes(prior, none)), rel=1e-5)


@pytest.mark.parametrize(("prior", "misses", "watched", "driven"), cases())
def test_minutes_still_to_drive_reach_just_what_is_asked(prior, misses, watched, driven):
    shape = misses + 0.5
    for sure in (0.95, 0.99):
        more = verification.minutes_to(sure, prior, shape, watched, driven)
        if more == 0.0:
            assert verification.holds(prior, shape, watched, driven) >= sure - 1e-9
        else:
            root = optimize.brentq(
                lambda t: bayes(prior, stats.nbinom(shape, watched / (watched + t)).pmf(0)) - sure,  # noqa: B023
                0,
                1e12,
                xtol=1e-10,
                rtol=1e-12,
            )
            assert driven + more == pytest.approx(root, rel=1e-6)
