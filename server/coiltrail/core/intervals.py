"""Intervals for counts as small as a shop's: exact ones, that hold at least as often as they say.

``share``: Clopper and Pearson, "The use of confidence or fiducial limits illustrated in the case of the binomial"
(Biometrika 26, 1934). ``rate``: Garwood, "Fiducial limits for the Poisson distribution" (Biometrika 28, 1936).
Both bounds are where a count as far out as the one seen has half of ``1 - level``; found by halving.
"""

import math

LEVEL = 0.95
HALVINGS = 60


def share(count, of, level=LEVEL):
    """[low, high] of the share behind ``count`` out of ``of``. Raises ValueError where there can be no such count."""
    if not 0 <= count <= of or of == 0:
        raise ValueError("A share needs a count from 0 to the number looked at, and one looked at at least.")
    out = 0.5 * (1.0 - level)
    low = 0.0 if count == 0 else _root(lambda p: _binomial_above(count, of, p) < out, 1.0)
    high = 1.0 if count == of else _root(lambda p: _binomial_above(count + 1, of, p) < 1.0 - out, 1.0)
    return [low, high]


def rate(count, exposure, level=LEVEL):
    """[low, high] of the rate behind ``count`` events in ``exposure``, per unit of exposure."""
    if count < 0 or not exposure > 0:
        raise ValueError("A rate needs a count of 0 or more, and an exposure above 0.")
    out = 0.5 * (1.0 - level)
    most = 10.0 * (count + 10.0)
    low = 0.0 if count == 0 else _root(lambda mean: _poisson_above(count, mean) < out, most)
    high = _root(lambda mean: _poisson_above(count + 1, mean) < 1.0 - out, most)
    return [low / exposure, high / exposure]


def _root(is_below, most):
    """Where ``is_below``, true from 0 on, becomes false."""
    low, high = 0.0, most
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        if is_below(middle):
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def _binomial_above(count, of, p):
    """P(at least ``count`` of ``of``)."""
    if p <= 0.0 or p >= 1.0:
        return 1.0 if p >= 1.0 or count == 0 else 0.0
    chosen = math.lgamma(of + 1.0)
    terms = [
        math.exp(
            chosen - math.lgamma(k + 1.0) - math.lgamma(of - k + 1.0) + k * math.log(p) + (of - k) * math.log(1.0 - p)
        )
        for k in range(count, of + 1)
    ]
    return min(1.0, sum(terms))


def _poisson_above(count, mean):
    """P(at least ``count``)."""
    if mean <= 0.0:
        return 1.0 if count == 0 else 0.0
    below = [math.exp(k * math.log(mean) - mean - math.lgamma(k + 1.0)) for k in range(count)]
    return max(0.0, 1.0 - sum(below))
