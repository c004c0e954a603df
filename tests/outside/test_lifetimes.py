"""Weibull fits against a published data set and against scipy's own likelihood."""

import math
import random

import numpy
import pytest
from scipy import optimize, stats

from coiltrail.core import lifetimes

# NIST/SEMATECH e-Handbook of Statistical Methods, section 8.4.1.3: twenty units, ten failures, ten censored at 500 h.
FAILURES = (54, 187, 216, 240, 244, 335, 361, 373, 375, 386)
HANDBOOK = [(age, True, 0) for age in FAILURES] + [(500, False, 0)] * 10


def test_published_censored_data():
    fitted = lifetimes.fit(HANDBOOK)
    assert fitted.scale == pytest.approx(606.5280, rel=1e-5)
    assert fitted.shape == pytest.approx(1.7208, rel=1e-5)
    assert fitted.log_likelihood(HANDBOOK) == pytest.approx(-75.135, rel=1e-5)
    assert fitted.mean() == pytest.approx(540.737, rel=1e-5)
    assert fitted.deviation() == pytest.approx(323.806, rel=1e-5)


def test_published_censored_data_by_other_libraries():
    # What scipy 1.17, lifelines 0.30.3 and reliability gave when they were run on the same data.
    fitted = lifetimes.fit(HANDBOOK)
    assert fitted.scale == pytest.approx(606.5275, rel=1e-6)
    assert fitted.shape == pytest.approx(1.720797, rel=1e-6)


def test_scipy_fits_the_published_data_alike():
    data = stats.CensoredData(uncensored=list(FAILURES), right=[500] * 10)
    shape, _, scale = stats.weibull_min.fit(data, floc=0)
    fitted = lifetimes.fit(HANDBOOK)
    assert fitted.shape == pytest.approx(shape, rel=1e-4)
    assert fitted.scale == pytest.approx(scale, rel=1e-4)


def random_lives(seed: int) -> list[tuple[float, bool, float]]:
    """Parts of which some are watched from late on and some still run."""
    draw = random.Random(seed)
    shape, scale = draw.uniform(0.7, 4), draw.uniform(40, 300)
    lives = []
    while len(lives) < 60:
        entered = draw.choice((0.0, draw.uniform(0, scale)))
        failed = scale * (-math.log(draw.random())) ** (1 / shape)
        leaves = entered + draw.uniform(0.1, scale)
        if failed > entered:
            lives.append((min(failed, leaves), failed <= leaves, entered))
    return lives


def scipy_log_likelihood(shape: float, scale: float, lives) -> float:
    """The likelihood of the lives given that each was reached at its age of entry, from scipy's distribution."""
    ages, failed, entered = (numpy.array(column) for column in zip(*lives, strict=True))
    law = stats.weibull_min(shape, scale=scale)
    return float((numpy.where(failed, law.logpdf(ages), law.logsf(ages)) - law.logsf(entered)).sum())


@pytest.mark.parametrize("seed", range(25))
def test_late_entry_and_censoring_against_scipy(seed):
    lives = random_lives(seed)
    fitted = lifetimes.fit(lives)
    assert fitted.log_likelihood(lives) == pytest.approx(
        scipy_log_likelihood(fitted.shape, fitted.scale, lives), rel=1e-9
    )
    found = optimize.minimize(
        lambda logs: -scipy_log_likelihood(math.exp(logs[0]), math.exp(logs[1]), lives),
        x0=[0.3, math.log(120)],
        method="Nelder-Mead",
        options={"xatol": 1e-9, "fatol": 1e-9, "maxiter": 5000},
    )
    assert fitted.shape == pytest.approx(math.exp(found.x[0]), rel=1e-5)
    assert fitted.scale == pytest.approx(math.exp(found.x[1]), rel=1e-5)
