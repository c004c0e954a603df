"""The sums of products that a case's evidence comes to, as a plan of contractions.

A *cell* is one cylinder, or the engine as a whole (signs that belong to no cylinder). Within a cell the evidence is a
signed sum over the levels of its observables (``cells``). What serves one cell alone is summed out inside. A *link* is
what parts do together that serve the same observables of several cells (a moved coil with its boot, a gasket, a shared
supply), and the engine-wide faults are one more (``links``): a cell comes to a table by its links.

The tables are multiplied one after the other, and a link is summed out with the last cell that it serves. Where
findings ask how many cylinders miss, a *status* for each segment of time is carried along: ``ANY``, not asked;
``NONE`` and ``ONE``, none or exactly one missed so far. With caps on the number that misses,

    chance(number) = several + (one - several) [number <= 1] + (none - one) [number = 0].
"""

from . import contractions
from .axes import findings_of, one_level
from .cells import ANY, NONE, ONE, Cell
from .links import Engine, links_of
from .plan import Plan, product
from .rows import Rows


class Network:
    """The plan for one model, with a machine that works it out.

    ``every_level`` true: it also fits models that lack some of the evidence. ``asked``: keys of observables whose level
    will be asked for. ``held``: {component: paths it is held to for good}; one that is held sound serves nothing.
    ``planning()`` makes the plan, in steps (``gradually``); then ``load`` the numbers of a model and ask for
    ``evidence``, ``marginals`` and ``runs_full``.
    """

    def __init__(self, model, every_level=False, asked=(), held=None):
        self.model = model
        self.sound = {
            index for index in held or () if not any([any(model.components[index].paths[k]) for k in held[index]])
        }
        self.every_level = every_level
        self.asked = asked
        self.plan = Plan()
        self.rows = Rows(model)
        self.findings = findings_of(model)
        self.axis_of = {}  # (use, size) -> axis, used again from cell to cell
        self.constants = {}  # what its numbers follow from -> (array, the function that gives them)
        self.weights = []  # (array, the components whose path weights it holds, one after the other)
        self.shapes = {}  # the axes of a cell -> a number
        self.acts = {}  # see ``Cell.acts``
        self.cells_alike = {}  # what cells have in common -> the arrays that they share
        self.known, self.places, self._levels = {}, {}, {}  # coefficients, places and levels by what they follow from

    def planning(self):
        """Make the plan, in steps (``gradually``)."""
        self._find_segments()
        yield from self._find_cells()
        self.engine = Engine(self)
        self.links = links_of(self)
        for cell in self.cells:
            cell.find_links()
        yield
        self.carried = self.fixed((self.status_axis,), [0.0 if ONE in status else 1.0 for status in self.statuses])
        self.open = []
        for cell in self._in_good_order():
            self._take(cell)
            yield
        self.share = self.plan.given((self.status_axis,))
        self.plan.times(self.carried, self.share, ())
        self.machine = contractions.machine(self.plan)

    # What the evidence is on

    def _find_segments(self):
        self.segments = []
        for segments, _, _ in self.model.counts:
            for segment in segments:
                if segment not in self.segments:
                    self.segments.append(segment)
        worlds = self._worlds(self.model, self.every_level)
        self.statuses = sorted({status for caps in worlds for status in _statuses_below(caps)})
        self.place_of_status = {status: place for place, status in enumerate(self.statuses)}
        self.status_axis = self.plan.axis(len(self.statuses))

    def _worlds(self, model, fewer=False):
        """The caps that all counts together put on the segments: {caps: share}; a cap of ``ANY`` is none.

        ``fewer`` true: also those that some of the counts alone would put.
        """
        worlds = {(ANY,) * len(self.segments): 1.0}
        for segments, (none, one, several), _ in model.counts:
            after = dict(worlds) if fewer else {}
            for cap, share in ((ANY, several), (ONE, one - several), (NONE, none - one)):
                if not share:
                    continue
                for caps in sorted(worlds):
                    lowered = list(caps)
                    for segment in segments:
                        at = self.segments.index(segment)
                        lowered[at] = min(lowered[at], cap, key=lambda c: (c == ANY, c))
                    key = tuple(lowered)
                    after[key] = after.get(key, 0.0) + worlds[caps] * share
            worlds = after
        return worlds

    def _find_cells(self):
        tied = self._tied()
        by_cell = {None: []}
        for key in self.active:
            by_cell.setdefault(self.model.observables[key].cell, []).append(key)
        self.scaled = []  # keys of which one level alone counts
        self.cells = []
        for number in [None] + list(self.model.engine.numbers):
            if number in by_cell:
                self.cells.append(Cell(self, number, by_cell[number], tied))
                yield

    def _tied(self):
        """Keys that findings name together, {key: all that are tied to it}; finds all keys in a fixed order."""
        self.active, self.counted, tied = [], set(), {}
        named = [(key,) for key in self.asked]
        for segment in self.segments:
            self.counted.update(segment)
            named += [(key,) for key in segment]
        for keys in named + [keys for keys, _, _ in self.model.factors]:
            for key in keys:
                if key not in tied:
                    tied[key] = [key]
                    self.active.append(key)
                one, other = tied[keys[0]], tied[key]
                if one is not other:
                    one.extend(other)
                    for moved in other:
                        tied[moved] = one
        return tied

    def one_level(self, rows, levels):
        """See ``axes.one_level``; worked out once."""
        if (rows, levels) not in self._levels:
            self._levels[(rows, levels)] = one_level(rows, levels)
        return self._levels[(rows, levels)]

    # Arrays

    def pooled(self, use, size):
        """An axis of that size that is used for nothing else at the same time."""
        if (use, size) not in self.axis_of:
            self.axis_of[(use, size)] = self.plan.axis(size)
        return self.axis_of[(use, size)]

    def constant(self, key, axes, numbers):
        """An array whose numbers follow from ``key``; ``numbers(rows)`` gives them."""
        if (key, axes) not in self.constants:
            self.constants[(key, axes)] = (self.plan.given(axes), numbers)
        return self.constants[(key, axes)][0]

    def fixed(self, axes, numbers):
        """An array whose numbers never change."""
        return self.constant(tuple(numbers), axes, lambda rows: numbers)

    def weighing(self, indices, use="path"):
        """An array with the path weights of these components, one after the other, along an axis of that use."""
        paths = sum([len(self.model.components[index].paths) for index in indices])
        array = self.plan.given((self.pooled(use, paths),), True)
        self.weights.append((array, indices))
        return array

    # Carrying

    def _in_good_order(self):
        """The cells in an order in which little is carried: the better of two that are quickly found."""
        self.to_come = {}  # link -> how many cells to come it serves
        for cell in self.cells:
            for link in cell.links:
                self.to_come[link] = self.to_come.get(link, 0) + 1
        return min([self._ordered(neighbours) for neighbours in (False, True)], key=lambda row: row[0])[1]

    def _ordered(self, neighbours):
        """(cost, cells): always the cell that leaves the fewest options open; with ``neighbours`` of what is open."""
        left, open_, cost = dict(self.to_come), [], 0
        remaining, ordered = list(self.cells), []
        while remaining:
            rated = []
            for place, cell in enumerate(remaining if ordered else remaining[:1]):
                met = open_ + [link for link in cell.links if link not in open_]
                apart = neighbours and len(met) == len(open_) + len(cell.links)
                after = product([link.size for link in met if left[link] > (link in cell.links)])
                rated.append((apart, after, place, met))
            _, _, place, met = min(rated, key=lambda row: row[:3])
            cell = remaining.pop(place)
            ordered.append(cell)
            cost += product([link.size for link in met])
            for link in cell.links:
                left[link] -= 1
            open_ = [link for link in met if left[link]]
        return cost, ordered

    def _take(self, cell):
        """Take one more cell."""
        plan, table = self.plan, cell.table()
        if table is None:
            return
        new = [link for link in cell.links if link not in self.open]
        table = cell.weighed(table, new)
        for link in cell.links:
            self.to_come[link] -= 1
        self.open = sorted([link for link in self.open + new if self.to_come[link]])
        links = tuple([link.axis for link in self.open])
        axes = (self.status_axis,) + self.engine.unsteady + links + self.engine.steady
        before, self.carried = self.carried, None
        for rows, chosen in cell.by_status(table):
            moved = before if rows is None else plan.picked(before, rows, plan.axes[before])
            more = plan.times(moved, chosen, axes)
            self.carried = more if self.carried is None else plan.plus(self.carried, more)

    # Numbers

    def load(self, model, weights):
        """Take the numbers of ``model`` (of this one or one that differs in numbers only); ``weights`` of the paths."""
        self.loaded = model
        self.findings = findings_of(model)
        rows = self.rows if model is self.model else Rows(model)
        for array, numbers in self.constants.values():  # in any order
            self.machine.give(array, numbers(rows))
        terms = {}
        for cell in self.cells:
            for axis in cell.axes:
                self.machine.give(axis.evidence, axis.terms(model, terms))
        self._find_scales(rows)
        worlds = self._worlds(model)
        self.machine.give(
            self.share, [sum([worlds[caps] for caps in sorted(worlds) if _fits(s, caps)]) for s in self.statuses]
        )
        self.load_weights(weights)

    def _find_scales(self, rows):
        """What observables of which one level alone counts say: {component that serves them: factor of each path}."""
        model = self.loaded
        self.scale, self.scales = 1.0, {}
        for key in self.scaled:
            observable = model.observables[key]
            found = tuple([row for _, row in self.findings.get(key, ())])
            level, chance = self.one_level(found, observable.levels)
            self.scale *= chance * observable.leak()[level]
            by_kind = rows.by_kind(key)
            for index, generation in observable.served if level + 1 < observable.levels else ():
                component = model.components[index]
                by_state = by_kind.get(component.kind) or rows.of(key, component)
                if by_state:
                    if index not in self.scales:
                        self.scales[index] = [1.0] * len(component.paths)
                    scales = self.scales[index]
                    for path, states in enumerate(component.paths):
                        if by_state[states[generation]]:
                            scales[path] *= by_state[states[generation]][level]

    def load_weights(self, weights):
        """Take other weights of the components' paths alone."""
        self.path_weights = []
        for index, row in enumerate(weights):
            if index in self.scales:
                row = [weight * scale for weight, scale in zip(row, self.scales[index])]
            self.path_weights.append(row)
        known = set()
        for array, indices in self.weights:
            numbers = []
            for index in indices:
                numbers += self.path_weights[index]
            self.machine.give(array, numbers)
            known.update(indices)
        self.free = product([sum(row) for index, row in enumerate(self.path_weights) if index not in known])

    def evidence(self):
        """Probability of the evidence, jointly with what the weights allow."""
        self.inside = max(self.machine.total(), 0.0)
        return self.inside * self.free * self.scale

    def find_slopes(self):
        """What ``marginals`` and ``runs_full`` need, after ``evidence``."""
        self.machine.find_slopes()

    def runs_full(self, key):
        """Posterior probability that an observable that was ``asked`` for is at level 0, after ``find_slopes``.

        The evidence is a sum over the terms of one axis, so that the same slopes give it for other terms.
        """
        [axis] = [
            axis for cell in self.cells for axis in cell.axes if axis.asked is not None and axis.keys[axis.asked] == key
        ]
        slopes = self.machine.slope(axis.evidence)
        full = sum([t * s for t, s in zip(axis.terms_if_full(self.loaded), slopes)])
        return min(max(full / self.inside, 0.0), 1.0)

    def marginals(self):
        """Posterior of the paths of every component, after ``find_slopes``."""
        found = [_normalised(row) for row in self.path_weights]
        for array, indices in self.weights:
            slopes, at = self.machine.slope(array), 0
            for index in indices:
                row = self.path_weights[index]
                found[index] = _normalised([w * s for w, s in zip(row, slopes[at : at + len(row)])])
                at += len(row)
        return found


def _statuses_below(caps):
    """Every status that counts under these caps."""
    found = [()]
    for cap in caps:
        found = [status + (s,) for status in found for s in ((NONE, ONE) if cap == ONE else (cap,))]
    return found


def _fits(status, caps):
    """Whether a status counts under these caps."""
    return all((s == ANY) == (cap == ANY) and (s == ANY or s <= cap) for s, cap in zip(status, caps))


def _normalised(row):
    positive = [max(value, 0.0) for value in row]
    total = sum(positive)
    return [value / total for value in positive]
