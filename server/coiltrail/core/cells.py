"""One cylinder, or the engine as a whole, in the sums of products that a case's evidence comes to (``network``).

The evidence on a cell is a signed sum over the levels of its observables. Those that findings tie together are an
*axis* (``axes``), and between axes the coefficients multiply. An observable of which one level alone counts is no axis:
what serves it is weighed by that level.
"""

from .axes import Axis, subsets
from .plan import product

ANY, NONE, ONE = 2, 0, 1  # how many missed in a segment of time, see ``network``


class Cell:
    """``axes``, of which ``running`` are about how the cylinder runs; ``links``: those that serve it, in their order.

    ``shape``: the same in cells whose axes are alike. ``here``: {component: what it serves of the cell}.

    What a component serves is a tuple of (axis, place of the observable in the axis, generation).
    """

    def __init__(self, network, number, keys, tied):
        self.network = network
        self.plan = network.plan
        self.number = number
        self.axes = []
        for key in keys:
            if tied[key][0] == key:
                if len(tied[key]) == 1 and self._has_one_level(key):
                    network.scaled.append(key)
                else:
                    self.axes.append(Axis(network, tied[key], len(self.axes)))
        shapes = tuple([(axis.shape, axis.asked is None, len(axis.counted)) for axis in self.axes])
        self.shape = network.shapes.setdefault(shapes, len(network.shapes))
        self.running = len([axis for axis in self.axes if "runs" in [key[0] for key in axis.keys]])
        self._find_serving()

    def _has_one_level(self, key):
        """Whether one level of an observable alone counts, whatever is left out of what was found on it."""
        network = self.network
        if key in network.asked or key in network.counted:
            return False
        observable = network.model.observables[key]
        rows = tuple([row for _, row in network.findings.get(key, ())])
        if network.every_level and any(network.one_level((row,), observable.levels) is None for row in rows):
            return False
        return network.one_level(rows, observable.levels) is not None and not self._is_served_together(key, observable)

    def _is_served_together(self, key, observable):
        """Whether faults serve it that contribute once together."""
        components = self.network.model.components
        for index, _ in observable.served if self.number is not None else ():
            if not components[index].adds_up and self.network.rows.of(key, components[index]):
                return True
        return False

    def _find_serving(self):
        components, rows = self.network.model.components, self.network.rows
        self.order, self.here = [], {}
        for number, axis in enumerate(self.axes):
            for at, observable in enumerate(axis.observables):
                by_kind = rows.by_kind(observable.key)
                for index, generation in observable.served:
                    kind = components[index].kind
                    if kind not in by_kind:
                        rows.of(observable.key, components[index])
                    if by_kind[kind] and index not in self.network.sound:
                        if index not in self.here:
                            self.here[index] = ()
                            self.order.append(index)
                        self.here[index] += ((number, at, generation),)

    def find_links(self):
        """What links serve it, once the network knows them; what remains is ``local``."""
        network = self.network
        of, engine, components = network.link_of, network.engine.members, network.model.components
        self.links = sorted({of[index] for index in self.order if index in of})
        self.local = [index for index in self.order if index not in of and index not in engine]
        self.slots = [network.pooled("slot %d" % k, link.size) for k, link in enumerate(self.links)]
        roles = []
        for index in self.order:
            role = self.links.index(of[index]) if index in of else engine.get(index, -1)
            roles.append((components[index].kind, len(components[index].paths), role, self.here[index]))
        self.alike = (self.number is None, self.shape, tuple(roles), tuple([link.alike for link in self.links]))

    def acts(self, index):
        """What a component does to what it serves here: of each a number by state, the same where it does the same."""
        component, here = self.network.model.components[index], self.here[index]
        known, same = self.network.acts, (self.shape, component.kind, here)
        if same not in known:
            rows = self.network.rows
            known[same] = [
                [rows.number(row) for row in rows.of(self.axes[axis].keys[at], component)] for axis, at, _ in here
            ]
        return known[same]

    # Tables

    def table(self):
        """The array of what the evidence on this cell comes to, by what counted observables do, and by its links."""
        cleans = [axis.clean for axis in self.axes if axis.clean is not None]
        engine = self.network.engine
        order = cleans + [axis.place for axis in self.axes] + list(engine.unsteady) + self.slots + list(engine.steady)
        known = self.network.cells_alike
        if self.alike not in known:
            factors = [self._factor(axis, order) for axis in self.axes]
            known[self.alike] = (self.effects_of(self.local), factors, self._in_good_order(factors))
        effects, factors, numbers = known[self.alike]
        table = self._own(effects, order)
        for axis in self.axes:
            if axis.asked is not None:
                table = self._product(table, axis.evidence, order)
        for number in numbers:
            axis, factor = self.axes[number], factors[number]
            if axis.asked is None:
                factor = self._product(factor, axis.evidence, order)
            table = self._product(table, factor, [a for a in order if a != axis.place])
        return table

    def weighed(self, table, links):
        """The table with the weights of some of its links in it."""
        weights, axes = None, ()
        for link, slot in zip(self.links, self.slots):
            if link in links:
                axes += (slot,)
                weight = link.weight(slot)
                weights = weight if weights is None else self.plan.times(weights, weight, axes)
        return table if weights is None else self.plan.times(table, weights, self.plan.axes[table])

    def _product(self, first, second, order):
        """The product of two arrays with its axes in that order; what is not in it is summed out."""
        first = self.network.fixed((), (1.0,)) if first is None else first
        axes = self.plan.axes
        return self.plan.times(first, second, [a for a in order if a in axes[first] or a in axes[second]])

    def _in_good_order(self, factors):
        """Numbers of the axes, always the one next whose product is the smallest."""
        sizes, numbers = self.plan.sizes, []
        held = {axis.place for axis in self.axes} | {
            axis.clean for axis in self.axes if axis.asked is not None and axis.clean is not None
        }
        remaining = list(range(len(self.axes)))
        while remaining:
            rated = []
            for number in remaining:
                axis = self.axes[number]
                joined = (
                    held | set(self.plan.axes[factors[number]]) | ({axis.clean} if axis.clean is not None else set())
                )
                rated.append((product([sizes[a] for a in joined]), number, joined))  # in any order
            _, number, joined = min(rated, key=lambda row: row[:2])
            remaining.remove(number)
            numbers.append(number)
            held = joined - {self.axes[number].place}
        return numbers

    def _own(self, effects, order):
        """The array by places of what serves this cell alone comes to; of the engine, with the engine-wide faults."""
        table = self.mixed(self.local, effects) if self.local else None
        if self.number is None and self.network.engine.axes:
            table = self._product(table, self.network.engine.weight(self), order)
        return table

    def mixed(self, indices, effects):
        """The product over components of what they come to in this cell, by places; ``effects``: see ``effects_of``."""
        weights = self.network.weighing(indices)
        axes = self.plan.axes[effects]
        counts = [len(self.network.model.components[index].paths) for index in indices]
        return self.plan.mixed(self.plan.times(weights, effects, axes), counts)

    def effects_of(self, indices, effects=None):
        """What each path of some components contributes to the cell: an array by paths and places; None of none.

        ``effects``: an array by paths to begin with.
        """
        paths = sum([len(self.network.model.components[index].paths) for index in indices])
        axes = self.plan.axes[effects] if effects is not None else (self.network.pooled("path", paths),)
        for axis in self.axes if indices else ():
            effect = self._effect(axis, indices, axes[0])
            axes += (axis.place,)
            effects = effect if effects is None else self.plan.times(effects, effect, axes)
        return effects

    def _effect(self, axis, indices, paths):
        """The array of what each path of some components contributes to an axis."""
        serving = [(index, self.on(axis, index)) for index in indices]
        components = self.network.model.components
        same = tuple([(components[index].kind, len(components[index].paths), on) for index, on in serving])

        def numbers(rows):
            found = []
            for index, on in serving:
                component = rows.model.components[index]
                given = [(at, generation, rows.of(axis.keys[at], component)) for at, generation in on]
                for states in component.paths:
                    acting = [(at, by_state[states[g]]) for at, g, by_state in given if by_state[states[g]]]
                    found += axis.row(acting)
            return found

        return self.network.constant((axis.shape, same), (paths, axis.place), numbers)

    def on(self, axis, index):
        """What a component serves of an axis, as (place of the observable in it, generation)."""
        return tuple([(at, generation) for number, at, generation in self.here.get(index, ()) if number == axis.number])

    def _factor(self, axis, order):
        """What the links contribute to an axis."""
        factor = self.network.engine.effect(self, axis)
        for link, slot in reversed(list(zip(self.links, self.slots))):
            on = self.on(axis, link.members[0])
            if on:
                effect = link.effect(axis, on, slot)
                factor = effect if factor is None else self._product(factor, effect, order)
        return self.network.fixed((axis.place,), (1.0,) * len(axis.places)) if factor is None else factor

    # How many miss

    def by_status(self, table):
        """How the table is carried on: a list of (places of the statuses before or None for the same, array by status).

        A counted observable runs any way where nobody asks, full where none missed before or it is not the one that
        does; what misses is what runs any way less what runs full.
        """
        network, plan = self.network, self.plan
        there = [axis for axis in network.engine.axes if axis in plan.axes[table]]
        axes = tuple([axis for axis in there if axis in network.engine.unsteady])
        axes += tuple([link.axis for link in self.links])
        axes += tuple([axis for axis in there if axis in network.engine.steady])
        counted = [(axis, bit) for axis in self.axes for bit in range(len(axis.counted))]
        if not counted:
            return [(None, plan.picked(table, (0,), axes))]
        axes = (network.status_axis,) + axes
        segments = [
            [k for k, segment in enumerate(network.segments) if axis.keys[axis.counted[bit]] in segment]
            for axis, bit in counted
        ]
        one = any(ONE in status for status in network.statuses)
        found = []
        for missing in subsets(range(len(counted))) if one else [()]:
            before = [self._before(status, [segments[k] for k in missing]) for status in network.statuses]
            if max(before) < 0:
                continue
            chosen = None
            for full in subsets(missing):
                rows = []
                for status, source in zip(network.statuses, before):
                    held = [
                        k in full or (k not in missing and any(status[s] != ANY for s in segments[k]))
                        for k in range(len(counted))
                    ]
                    rows.append(self._row(counted, held) if source >= 0 else -1)
                part = plan.picked(table, rows, axes)
                chosen = part if chosen is None else plan.plus(chosen, part, (-1.0) ** len(full))
            found.append((before if missing else None, chosen))
        return found

    def _before(self, status, missing):
        """The place of the status from which that status comes where these observables (by segments) miss; -1: none."""
        network, before = self.network, list(status)
        for segments in missing:
            asked = [s for s in segments if status[s] != ANY]
            if not asked or any(status[s] != ONE for s in asked):
                return -1
            for s in asked:
                before[s] = NONE
        return network.place_of_status.get(tuple(before), -1)

    def _row(self, counted, held):
        """The row of the table where these counted observables are held full."""
        row = 0
        for axis in self.axes:
            if axis.counted:
                bits = [1 << bit for (of, bit), full in zip(counted, held) if of is axis and full]
                row = row * (1 << len(axis.counted)) + sum(bits)
        return row
