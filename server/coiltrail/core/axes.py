"""Observables of one cell that findings tie together, in the sums of products that the evidence comes to (``network``).

The evidence on them is a signed sum of P(levels <= place): a finite difference of the findings' likelihood. Most
places have no coefficient; those that have one are the places of an *axis*.
"""

from .plan import product


class Axis:
    """Observables of a cell that findings tie together: their ``keys``, ``places`` (levels of each) and ``evidence``.

    ``counted`` and ``asked``: which of the keys are counted, and which one's level will be asked for, or None.
    ``place`` and ``clean``: axes of the plan, the latter (or None) by which of those that are counted are held to run
    full. ``shape``: what axes alike have in common.
    """

    def __init__(self, network, keys, number):
        self.network = network
        self.keys = keys
        self.number = number
        self.observables = [network.model.observables[key] for key in keys]
        self.levels = tuple([observable.levels for observable in self.observables])
        self.counted = [at for at, key in enumerate(keys) if key in network.counted]
        asked = [at for at, key in enumerate(keys) if key in network.asked]
        self.asked = asked[0] if asked else None
        self.places = self._places()
        self.shape = (tuple([(o.key[0], o.condition or "") for o in self.observables]), tuple(self.places))
        self.place = network.pooled("place %d" % number, len(self.places))
        self.clean = network.pooled("clean %d" % number, 1 << len(self.counted)) if self.counted else None
        axes = (self.place,) if self.clean is None else (self.clean, self.place)
        self.evidence = network.plan.given(axes, self.asked is not None)

    def _places(self):
        if self.network.every_level:
            found = [()]
            for levels in self.levels:
                found = [held + (level,) for held in found for level in range(levels)]
            return found
        factors, known = self._factors(), self.network.places
        same = (self.levels, factors, tuple(self.counted), self.asked)
        if same not in known:
            named = set()
            for found in (factors, factors + self._if_full()):
                for clean in self._cleans():
                    named.update(self._coefficients(found, clean))
            known[same] = sorted(named) or [(0,) * len(self.levels)]  # what cannot be counts nothing, in one place
        return known[same]

    def _cleans(self):
        """Every choice of counted observables that are held to run full, as places in the axis."""
        return subsets(self.counted)

    def _factors(self):
        """Findings as (places of observables, chance by the largest level)."""
        place = {key: at for at, key in enumerate(self.keys)}
        found = []
        for key in self.keys:
            for keys, row in self.network.findings.get(key, ()):
                found.append((tuple([place[k] for k in keys]), tuple(row)))
        return tuple(found)

    def _if_full(self):
        """The finding that the observable asked for is at level 0."""
        if self.asked is None:
            return ()
        return (((self.asked,), (1.0,) + (0.0,) * (self.levels[self.asked] - 1)),)

    def _coefficients(self, factors, clean):
        known, same = self.network.known, (self.levels, factors, clean)
        if same not in known:
            known[same] = _coefficients(self.levels, factors, clean)
        return known[same]

    def terms(self, model, known):
        """The numbers of ``evidence``: coefficients of P(levels <= place), the leaks in them.

        ``known``: what was worked out for axes alike.
        """
        same = (self._leaks(model), self._factors(), self.shape, len(self.counted))
        if same not in known:
            known[same] = self._terms(*same[:2])
        return known[same]

    def terms_if_full(self, model):
        """The terms with one more finding: that the observable asked for is at level 0."""
        return self._terms(self._leaks(model), self._factors() + self._if_full())

    def _leaks(self, model):
        return tuple([model.observables[key].leak() for key in self.keys])

    def _terms(self, leaks, factors):
        leaking = [product([leak[level] for leak, level in zip(leaks, place)]) for place in self.places]
        found = []
        for clean in self._cleans():
            coefficients = self._coefficients(factors, clean)
            found += [coefficients.get(place, 0.0) * leak for place, leak in zip(self.places, leaking)]
        return found

    def row(self, acting):
        """By place, the product of what acts on the observables: ``acting`` as (place of it in the axis, row)."""
        found = [1.0] * len(self.places)
        for at, given in acting:
            found = [value * given[place[at]] for value, place in zip(found, self.places)]
        return found


def subsets(members):
    """Every choice among them as a tuple: the k-th has those members whose bits are set in k."""
    found = [()]
    for member in members:
        found += [held + (member,) for held in found]
    return found


def findings_of(model):
    """Findings as (keys, chance by the largest level), by the first of their keys."""
    found = {}
    for keys, row, _ in model.factors:
        found.setdefault(keys[0], []).append((keys, row))
    return found


def one_level(rows, levels):
    """(level, coefficient) where the product of these rows comes to P(largest <= level) times something, else None."""
    single = [1.0] * levels
    for row in rows:
        single = [a * b for a, b in zip(single, row)]
    steps = _differences(single, levels - 1)
    return steps[0] if len(steps) == 1 else (0, 0.0) if not steps else None


def _coefficients(levels, factors, clean):
    """The evidence as {level of each observable: coefficient of P(largest <= it)}.

    ``factors``: (places of observables, chance by the largest level). ``clean``: places that run full.
    """
    single = [[1.0] * count for count in levels]
    for at in clean:
        single[at] = [1.0] + [0.0] * (levels[at] - 1)
    limits = {tuple([count - 1 for count in levels]): 1.0}
    for places, chances in factors:
        if len(places) == 1:
            single[places[0]] = [a * b for a, b in zip(single[places[0]], chances)]
        else:
            limits = _limited(limits, places, chances)
    found = {}
    for limit in sorted(limits):
        partial = [((), limits[limit])]
        for row, most in zip(single, limit):
            steps = _differences(row, most)
            partial = [(held + (level,), c * d) for held, c in partial for level, d in steps]
        for held, coefficient in partial:
            found[held] = found.get(held, 0.0) + coefficient
    return found


def _limited(limits, places, chances):
    """Multiply in a likelihood of the largest over ``places``, as a sum over limits on all of them."""
    found = {}
    for level in range(len(chances)):
        step = chances[level] - (chances[level + 1] if level + 1 < len(chances) else 0.0)
        if step:
            for limit in sorted(limits):
                lowered = list(limit)
                for at in places:
                    lowered[at] = min(lowered[at], level)
                key = tuple(lowered)
                found[key] = found.get(key, 0.0) + limits[limit] * step
    return found


def _differences(row, limit):
    """Coefficients of P(level <= m) that give the sum of row[level] over the levels up to ``limit``."""
    steps = []
    for level in range(limit + 1):
        step = row[level] - (row[level + 1] if level < limit else 0.0)
        if step:
            steps.append((level, step))
    return steps
