"""Lifetimes of parts: the Weibull distribution, and its fit to parts of which many still run.

    R(t) = exp(-(t / scale) ** shape)

A *life* is ``(age, failed, entered)``: the age at which the part failed, or to which it is known to have run
(right-censored), and the age from which it was watched (late entry, left truncation; 0 if from new). Ages are in
any unit; the scale comes out in the same.
"""

import math

from .tongue import phrase

LEAST_SHAPE, MOST_SHAPE = 0.05, 50.0
BISECTIONS = 200


class Weibull:
    """A lifetime with ``shape`` (above 1: it wears out; below: it fails early) and ``scale``."""

    def __init__(self, shape, scale):
        self.shape = shape
        self.scale = scale

    def hazard_until(self, age):
        """Cumulative hazard up to ``age``."""
        return (age / self.scale) ** self.shape if age > 0 else 0.0

    def survives(self, age):
        """Probability of reaching ``age``."""
        return math.exp(-self.hazard_until(age))

    def mean(self):
        """Expected lifetime."""
        return self.scale * math.gamma(1.0 + 1.0 / self.shape)

    def deviation(self):
        """Standard deviation of the lifetime."""
        squares = self.scale * self.scale * math.gamma(1.0 + 2.0 / self.shape)
        return math.sqrt(max(0.0, squares - self.mean() ** 2))

    def log_likelihood(self, lives):
        """Logarithm of the probability (density, for the failed) of these lives."""
        total = 0.0
        for age, failed, entered in lives:
            total -= self.hazard_until(age) - self.hazard_until(entered)
            if failed:
                total += math.log(self.shape / self.scale) + (self.shape - 1.0) * math.log(age / self.scale)
        return total


class Lasting:
    """A lifetime of a part that is known to last until ``until``, by what it looks like: nothing is spent before."""

    def __init__(self, law, until):
        self.law = law
        self.until = until

    def hazard_until(self, age):
        """Cumulative hazard from ``until`` up to ``age``."""
        return max(0.0, self.law.hazard_until(age) - self.law.hazard_until(self.until))


def fit(lives):
    """The Weibull of greatest likelihood. Raises ValueError where the lives cannot tell a shape.

    For a given shape the best scale is known in closed form; what is left is one equation for the shape.
    """
    _check(lives)
    longest = max(age for age, _, _ in lives)
    scaled = [(age / longest, failed, entered / longest) for age, failed, entered in lives]
    low, high = math.log(LEAST_SHAPE), math.log(MOST_SHAPE)
    if _slope(scaled, LEAST_SHAPE) <= 0.0 or _slope(scaled, MOST_SHAPE) >= 0.0:
        raise ValueError(phrase("These lives do not tell how failures spread over age; more of them are needed."))
    for _ in range(BISECTIONS):
        middle = 0.5 * (low + high)
        if _slope(scaled, math.exp(middle)) > 0.0:
            low = middle
        else:
            high = middle
    shape = math.exp(0.5 * (low + high))
    return Weibull(shape, longest * _spent(scaled, shape) ** (1.0 / shape))


def _check(lives):
    for age, _, entered in lives:
        if not (age > 0 and 0 <= entered < age):
            raise ValueError(
                phrase("A life needs an age above zero and above the age from which the part was watched.")
            )
    if len({age for age, failed, _ in lives if failed}) < 2:
        raise ValueError(phrase("At least two failures at different ages are needed to fit lifetimes."))


def _spent(lives, shape):
    """scale ** shape: cumulated age ** shape per failure."""
    failures = len([1 for _, failed, _ in lives if failed])
    return sum([_power(age, shape) - _power(entered, shape) for age, _, entered in lives]) / failures


def _slope(lives, shape):
    """Slope of the profile likelihood by shape, per failure."""
    logs = [math.log(age) for age, failed, _ in lives if failed]
    weighed = sum([_power_log(age, shape) - _power_log(entered, shape) for age, _, entered in lives])
    return 1.0 / shape + sum(logs) / len(logs) - weighed / (len(logs) * _spent(lives, shape))


def _power(age, shape):
    return math.exp(shape * math.log(age)) if age > 0 else 0.0


def _power_log(age, shape):
    return math.exp(shape * math.log(age)) * math.log(age) if age > 0 else 0.0


def updated(usual, lives, strength, fit_from):
    """``usual`` brought up to date by ``lives``: a shop's own experience against the default.

    With the shape held, scale ** -shape has a Gamma posterior whose prior weighs as much as ``strength``
    failures. From ``fit_from`` failures on the shape is fitted too, where it can be.
    """
    failures = len([1 for _, failed, _ in lives if failed])
    shape = usual.shape
    if failures >= fit_from:
        try:
            shape = fit(lives).shape
        except ValueError:
            pass  # all at about one age, say: the usual shape stands
    # The usual mean lifetime is kept as the prior's whatever the shape.
    scale = usual.mean() / math.gamma(1.0 + 1.0 / shape)
    spent = strength * scale**shape + sum([_power(age, shape) - _power(entered, shape) for age, _, entered in lives])
    return Weibull(shape, (spent / (strength + failures)) ** (1.0 / shape))
