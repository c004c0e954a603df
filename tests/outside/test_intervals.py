"""Exact intervals against scipy's quantiles of the beta and chi-squared distributions."""

import pytest
from scipy import stats

from coiltrail.core import intervals


@pytest.mark.parametrize(("count", "of"), [(0, 1), (1, 1), (0, 7), (2, 7), (7, 7), (1, 40), (13, 250), (1999, 2000)])
@pytest.mark.parametrize("level", [0.9, 0.95])
def test_share_is_clopper_and_pearsons(count, of, level):
    out = (1 - level) / 2
    low, high = intervals.share(count, of, level)
    assert low == pytest.approx(stats.beta.ppf(out, count, of - count + 1) if count else 0.0, abs=1e-9)
    assert high == pytest.approx(stats.beta.ppf(1 - out, count + 1, of - count) if count < of else 1.0, abs=1e-9)


@pytest.mark.parametrize(("count", "exposure"), [(0, 12.0), (1, 3.5), (4, 900.0), (60, 1e4)])
def test_rate_is_garwoods(count, exposure):
    low, high = intervals.rate(count, exposure)
    assert low == pytest.approx(stats.chi2.ppf(0.025, 2 * count) / 2 / exposure if count else 0.0, abs=1e-9)
    assert high == pytest.approx(stats.chi2.ppf(0.975, 2 * count + 2) / 2 / exposure, rel=1e-9)


@pytest.mark.parametrize(("count", "of"), [(-1, 3), (4, 3), (0, 0)])
def test_no_share(count, of):
    with pytest.raises(ValueError):
        intervals.share(count, of)


@pytest.mark.parametrize(("count", "exposure"), [(-1, 3.0), (1, 0.0), (1, -2.0)])
def test_no_rate(count, exposure):
    with pytest.raises(ValueError):
        intervals.rate(count, exposure)
