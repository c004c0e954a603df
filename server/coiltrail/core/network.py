"""The sums of products that a case's evidence comes to, as a plan of contractions.

A *variable* is what more than one cylinder depends on: what the parts do that link them (a moved coil with its boot, a
gasket, a shared supply), or whether any of the engine-wide faults that act alike is there. A *cell* is one cylinder, or
the engine as a whole (signs that belong to no cylinder). Within a cell the evidence is a signed sum over the levels of
its observables, its *axes*; components that serve only this cell are summed out inside.

The cells are taken one after the other, carrying the variables that link them and, where findings ask how many
cylinders miss, a *status* for each segment of time: ``ANY``, not asked; ``NONE`` and ``ONE``, none or exactly one
missed so far. With caps on the number that misses,

    chance(number) = several + (one - several) [number <= 1] + (none - one) [number = 0].
"""

from . import contractions
from .contractions import product

ANY, NONE, ONE = 2, 0, 1


class Network:
    """The plan for one model, with a machine that works it out.

    ``every_level`` true: it also fits models that lack some of the evidence. ``asked``: keys of observables whose level
    will be asked for. ``planning()`` makes the plan, in steps (``gradually``); then ``load`` the numbers of a model and
    ask for ``evidence``, ``marginals`` and ``runs_full``.
    """

    def __init__(self, model, every_level=False, asked=()):
        self.model = model
        self.every_level = every_level
        self.asked = asked
        self.plan = contractions.Plan()
        self.axis_of = {}  # (use, size) -> axis, used again from cell to cell
        self.constants = {}  # what its numbers follow from -> (array, the function that gives them)
        self.weights_of = {}  # component -> array
        self.known = {}  # coefficients by what they follow from
        self.cells = []
        self.variables = []

    def planning(self):
        """Make the plan, in steps (``gradually``)."""
        self._find_segments()
        self._find_cells()
        yield
        self._find_serving()
        self._find_variables()
        for cell in self.cells:
            cell.find_serving()
        yield
        alphas, frontier = yield from self._engine_as_a_whole()
        ordered = self._in_good_order(self.cells[1:])
        for position, cell in enumerate(ordered):
            later = set()
            for other in ordered[position + 1 :]:
                later.update(other.variables)
            alphas, frontier = self._carry(cell, alphas, frontier, later)
            yield
        self._finish(alphas)
        self.machine = contractions.machine(self.plan)

    # What serves what

    def _group(self, model):
        """Sort the findings by the cell that they are on."""
        self.findings = {}
        for keys, row, _ in model.factors:
            self.findings.setdefault(model.observables[keys[0]].cell, []).append((keys, row))

    def coefficients(self, levels, factors, clean):
        """See ``_coefficients``; worked out once for cells alike."""
        same = (levels, factors, clean)
        if same not in self.known:
            self.known[same] = _coefficients(levels, factors, clean)
        return self.known[same]

    def _find_cells(self):
        model = self.model
        self._group(model)
        active = set(self.asked)
        for keys, _, _ in model.factors:
            active.update(keys)
        for segment in self.segments:
            active.update(segment)
        self.active = sorted(active)
        for number in [None] + list(model.engine.numbers):
            keys = [key for key in self.active if model.observables[key].cell == number]
            if keys or number is None:
                self.cells.append(_Cell(self, number, keys))

    def _find_serving(self):
        """Where each component contributes anything: an observable of one level alone is a factor of its weights."""
        model, rows = self.model, _Rows(self.model)
        levels = {key: levels for cell in self.cells for key, levels in zip(cell.keys, cell.levels)}
        self.serves = {}  # component -> [(key, generation)]
        self.scaled_by = {}  # component -> [(key, generation, level)]
        for key in self.active:
            for index, generation in model.observables[key].served:
                component = model.components[index]
                if not any(rows.of(key, component)):
                    continue
                if len(levels[key]) == 1 and (component.adds_up or key[1] == 0):
                    self.scaled_by.setdefault(index, []).append((key, generation, levels[key][0]))
                else:
                    self.serves.setdefault(index, []).append((key, generation))

    def _find_segments(self):
        self.segments = []
        for segments, _, _ in self.model.counts:
            for segment in segments:
                if segment not in self.segments:
                    self.segments.append(segment)
        self.worlds = self._worlds(self.model)

    def _worlds(self, model):
        """The caps that all counts together put on the segments: {caps: share}; a cap of ``ANY`` is none."""
        worlds = {(ANY,) * len(self.segments): 1.0}
        for segments, (none, one, several), _ in model.counts:
            after = {}
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

    # Variables

    def _find_variables(self):
        """Parts that link cells, together where they serve the same observables; engine-wide faults that act alike."""
        model, rows = self.model, _Rows(self.model)
        linking, alike = {}, {}
        for index in sorted(self.serves):
            serves = self.serves[index]
            cells = {model.observables[key].cell for key, _ in serves}
            if not model.components[index].adds_up and cells != {None}:
                row = [(key, rows.of(key, model.components[index])[-1]) for key, _ in serves if key[1]]
                alike.setdefault(tuple(row), []).append(index)
            elif len(cells) > 1:
                linking.setdefault(tuple(serves), []).append(index)
        self.variables = [_Link(self, linking[serves]) for serves in sorted(linking)]
        self.variables += [_Alike(self, alike[acting]) for acting in sorted(alike)]
        self.variable_of = {index: variable for variable in self.variables for index in variable.members}

    def weights(self, index, position=0):
        """The array with the weights of a component's paths; one for each ``position`` among those multiplied."""
        if index not in self.weights_of:
            axis = self.pooled(("path", position), len(self.model.components[index].paths))
            self.weights_of[index] = self.plan.given((axis,), True)
        return self.weights_of[index]

    def pooled(self, use, size):
        """An axis of that size that is used for nothing else at the same time."""
        if (use, size) not in self.axis_of:
            self.axis_of[(use, size)] = self.plan.axis(size)
        return self.axis_of[(use, size)]

    def constant(self, key, axes, numbers):
        """An array whose numbers follow from ``key``; ``numbers(model, rows)`` gives them."""
        if (key, axes) not in self.constants:
            self.constants[(key, axes)] = (self.plan.given(axes), numbers)
        return self.constants[(key, axes)][0]

    def fixed(self, axes, numbers):
        """An array whose numbers never change."""
        return self.constant(tuple(numbers), axes, lambda model, rows: numbers)

    # Carrying

    def _engine_as_a_whole(self):
        """What the signs of the engine as a whole come to, and the weight of the faults that act alike."""
        cell = self.cells[0]
        factors = cell.factors()
        for variable in self.variables:
            if variable.any_is_enough:
                factors.append(self._together(cell, variable))
        yield
        table = cell.eliminate(factors)
        seen = [variable for variable in self.variables if variable.axis in self.plan.axes[table]]
        starts = sorted({tuple([cap if cap == ANY else NONE for cap in caps]) for caps in self.worlds})
        return {status: table for status in starts}, seen

    def _together(self, cell, variable):
        """Weight of none, and of any, of the faults that act alike, by the levels of the signs they give."""
        plan = self.plan
        none = any_ = None
        for index in variable.members:
            weights = self.weights(index)
            path = plan.axes[weights]
            sound = [1.0 if states[-1] == 0 else 0.0 for states in self.model.components[index].paths]
            signs, axes = cell.contribution(index)
            good = plan.times(weights, self.fixed(path, sound), path)
            both = plan.times(weights, signs, axes)
            good = plan.times(good, signs, axes)
            none = cell.multiplied(none, good)
            any_ = cell.multiplied(any_, both)
        axes = (variable.axis,) + plan.axes[none]
        there = plan.times(self.fixed((variable.axis,), [0.0, 1.0]), any_, axes)
        return plan.plus(there, plan.times(self.fixed((variable.axis,), [1.0, -1.0]), none, axes))

    def _carry(self, cell, alphas, frontier, later):
        """Take one more cell: what is carried after it, by status, and the variables that it depends on."""
        plan = self.plan
        table = cell.eliminate(cell.factors())
        done = [variable for variable in frontier + cell.variables if variable not in later]
        for variable in sorted(set(done), key=lambda v: v.axis):
            if not variable.any_is_enough:
                table = cell.multiplied(table, variable.weight())
        kept = [variable for variable in frontier if variable in later]
        kept += [variable for variable in cell.variables if variable in later and variable not in frontier]
        axes = tuple([variable.axis for variable in kept])
        after, tables = {}, {}
        for status in sorted(alphas):
            for choice, becomes in cell.choices(status):
                if not self._wanted(becomes):
                    continue
                if choice not in tables:
                    tables[choice] = cell.chosen(table, choice)
                carried = plan.times(alphas[status], tables[choice], axes)
                after[becomes] = plan.plus(after[becomes], carried) if becomes in after else carried
        return after, kept

    def _wanted(self, status):
        return any(self._fits(status, caps) for caps in self.worlds)

    def _fits(self, status, caps):
        """Whether a status counts under these caps."""
        return all((s == ANY) == (cap == ANY) and (s == ANY or s <= cap) for s, cap in zip(status, caps))

    def _finish(self, alphas):
        self.finals = []
        total = self.fixed((), [0.0])
        for status in sorted(alphas):
            share = self.plan.given(())
            self.finals.append((status, share))
            total = self.plan.plus(total, self.plan.times(alphas[status], share, ()))

    def _in_good_order(self, cells):
        """Order the cells so that little is carried: always the cell that leaves the fewest options open."""
        remaining, ordered, open_ = list(cells), [], set()
        while remaining:
            rated = []
            for cell in remaining:
                later = set()
                for other in remaining:
                    if other is not cell:
                        later.update(other.variables)
                sizes = [variable.size for variable in open_ | set(cell.variables) if variable in later]  # in any order
                rated.append((product(sizes), cell.number))
            number = min(rated)[1]
            [best] = [cell for cell in remaining if cell.number == number]
            remaining.remove(best)
            open_.update(best.variables)
            ordered.append(best)
        return ordered

    # Numbers

    def load(self, model, weights):
        """Take the numbers of ``model`` (of this one or one that differs in numbers only); ``weights`` of the paths."""
        self.loaded = model
        self._group(model)
        rows = _Rows(model)
        for array, numbers in self.constants.values():  # in any order
            self.machine.give(array, numbers(model, rows))
        terms = {}
        for cell in self.cells:
            self.machine.give(cell.evidence, cell.terms(model, terms))
        self.scales = {}
        for index in self.scaled_by:  # in any order
            component = model.components[index]
            self.scales[index] = [1.0] * len(component.paths)
            for key, generation, level in self.scaled_by[index]:
                by_state = rows.of(key, component)
                for path, states in enumerate(component.paths):
                    if by_state[states[generation]]:
                        self.scales[index][path] *= by_state[states[generation]][level]
        worlds = self._worlds(model)
        for status, share in self.finals:
            fitting = [worlds[caps] for caps in sorted(worlds) if self._fits(status, caps)]
            self.machine.give(share, [sum(fitting)])
        self.load_weights(weights)

    def load_weights(self, weights):
        """Take other weights of the components' paths alone."""
        self.free = 1.0
        self.path_weights = []
        for index, row in enumerate(weights):
            if index in self.scales:
                row = [weight * scale for weight, scale in zip(row, self.scales[index])]
            self.path_weights.append(row)
            if index not in self.weights_of:
                self.free *= sum(row)
            else:
                self.machine.give(self.weights_of[index], row)

    def evidence(self):
        """Probability of the evidence, jointly with what the weights allow."""
        self.inside = max(self.machine.total(), 0.0)
        return self.inside * self.free

    def find_slopes(self):
        """What ``marginals`` and ``runs_full`` need, after ``evidence``."""
        self.machine.find_slopes()

    def runs_full(self, key):
        """Posterior probability that an observable that was ``asked`` for is at level 0, after ``find_slopes``.

        The evidence is a sum over the terms of one cell, so that the same slopes give it for other terms.
        """
        [cell] = [cell for cell in self.cells if key in cell.keys]
        slopes = self.machine.slope(cell.evidence)
        full = sum([t * s for t, s in zip(cell.terms_if_full(self.loaded, key), slopes)])
        return min(max(full / self.inside, 0.0), 1.0)

    def marginals(self):
        """Posterior of the paths of every component, after ``find_slopes``."""
        found = []
        for index, row in enumerate(self.path_weights):
            slopes = [1.0] * len(row)
            if index in self.weights_of:
                slopes = self.machine.slope(self.weights_of[index])
            found.append(_normalised([w * s for w, s in zip(row, slopes)]))
        return found


class _Variable:
    """``axis`` of a variable and its ``size``; ``members``: the components it stands for."""

    def __init__(self, network, members, size):
        self.network = network
        self.members = members
        self.size = size
        self.axis = network.plan.axis(size)

    def __lt__(self, other):
        return self.axis < other.axis


class _Alike(_Variable):
    """Whether any of some engine-wide faults is there that act through one mechanism."""

    any_is_enough = True

    def __init__(self, network, members):
        _Variable.__init__(self, network, members, 2)


class _Link(_Variable):
    """What parts do together that serve the same observables of more than one cell.

    An option is a set of paths that contribute alike; ``options``: of each the (component, path) that contribute.
    """

    any_is_enough = False

    def __init__(self, network, members):
        self.joins = []  # for each member: for each option so far and each of its paths, the option that they make
        acting = {(): ()}
        for index in members:
            acting = self._join(network, index, acting)
        self.options = [acting[key] for key in sorted(acting)]
        _Variable.__init__(self, network, members, len(self.options))

    def _join(self, network, index, acting):
        component, rows = network.model.components[index], _Rows(network.model)
        joined, made = {}, []
        for key in sorted(acting):
            for path, states in enumerate(component.paths):
                does = tuple([rows.of(k, component)[states[g]] or () for k, g in network.serves[index]])
                more = tuple(sorted(key + (does,))) if any(does) else key
                joined.setdefault(more, acting[key] + (((index, path),) if any(does) else ()))
                made.append(more)
        place = {key: k for k, key in enumerate(sorted(joined))}
        self.joins.append([[1.0 if place[more] == k else 0.0 for k in range(len(place))] for more in made])
        return joined

    def weight(self):
        """The array with the weight of each option."""
        plan, network = self.network.plan, self.network
        table = network.fixed((network.pooled("joined 0", 1),), [1.0])
        for number, (index, joins) in enumerate(zip(self.members, self.joins)):
            weights = network.weights(index, number + 1)
            last = number + 1 == len(self.members)
            axis = self.axis if last else network.pooled("joined %d" % (number + 1), len(joins[0]))
            both = plan.axes[table] + plan.axes[weights]
            table = plan.times(table, weights, both)
            table = plan.times(table, network.fixed(both + (axis,), [x for row in joins for x in row]), (axis,))
        return table


class _Cell:
    """One cylinder, or the engine as a whole (``number`` None): its observables and what serves them."""

    def __init__(self, network, number, keys):
        self.network = network
        self.plan = network.plan
        self.number = number
        self.keys = keys
        model = network.model
        self.observables = [model.observables[key] for key in keys]
        place = {key: k for k, key in enumerate(keys)}
        # Of each segment, the observable of this cell that it counts.
        self.counted_by = [[place[key] for key in segment if key in place][:1] for segment in network.segments]
        self.counted = sorted({at for places in self.counted_by for at in places})
        self._find_levels()

    def find_serving(self):
        """What serves this cell, once the network knows its variables."""
        network = self.network
        place = {key: at for at, key in enumerate(self.keys)}
        self.serving = {}  # component -> [(place of the observable, generation)]
        for index in network.serves:  # in any order
            here = [(place[key], generation) for key, generation in network.serves[index] if key in place]
            if here:
                self.serving[index] = here
        self.local = [index for index in sorted(self.serving) if index not in network.variable_of]
        self.variables = sorted({network.variable_of[i] for i in self.serving if i in network.variable_of})

    def _find_levels(self):
        """Which levels the evidence names; an axis has one place for each, and one more for a counted one held full."""
        named = [{0} if key in self.network.asked else set() for key in self.keys]
        if self.network.every_level:
            together = {at for places, _ in self._factors() if len(places) > 1 for at in places}
            for at, observable in enumerate(self.observables):
                named[at].update(range(observable.levels) if at in together else (observable.levels - 1,))
        counts, factors = tuple([o.levels for o in self.observables]), self._factors()
        for clean in self._cleans():
            for levels in self.network.coefficients(counts, factors, clean):  # in any order
                for at, level in enumerate(levels):
                    named[at].add(level)
        self.levels = [tuple(sorted(found)) + ((0,) if at in self.counted else ()) for at, found in enumerate(named)]
        pooled = self.network.pooled
        self.axes = [pooled(("level", at), len(found)) for at, found in enumerate(self.levels)]
        self.clean_axes = {at: pooled(("clean", at), 2) for at in self.counted}
        self.evidence = self.plan.given(self.axes, True)

    def _cleans(self):
        """Every choice of counted observables that are held to run full."""
        found = [()]
        for at in self.counted:
            found += [held + (at,) for held in found]
        return found

    # Evidence

    def terms(self, model, known):
        """The numbers of ``evidence``: coefficients of P(level <= m), the leaks in them.

        ``known``: what was worked out for cells alike.
        """
        leaks, factors = self._leaks(model), self._factors()
        alike = (leaks, factors, tuple(self.levels), tuple(self.counted))
        if alike not in known:
            known[alike] = self._terms(leaks, factors)
        return known[alike]

    def terms_if_full(self, model, key):
        """The terms with one more finding: that the observable is at level 0."""
        leaks = self._leaks(model)
        at = self.keys.index(key)
        full = ((at,), (1.0,) + (0.0,) * (len(leaks[at]) - 1))
        return self._terms(leaks, self._factors() + (full,))

    def _leaks(self, model):
        return tuple([model.observables[key].leak() for key in self.keys])

    def _factors(self):
        """Findings on this cell as (places of observables, chance by the largest level)."""
        place = {key: at for at, key in enumerate(self.keys)}
        return tuple(
            [
                (tuple([place[key] for key in keys]), tuple(row))
                for keys, row in self.network.findings.get(self.number, ())
            ]
        )

    def _terms(self, leaks, factors):
        counts = tuple([len(leak) for leak in leaks])
        found = [0.0] * product([len(levels) for levels in self.levels])
        for clean in self._cleans():
            terms = self.network.coefficients(counts, factors, clean)
            for levels in sorted(terms):
                value, offset = terms[levels], 0
                for at, level in enumerate(levels):
                    value *= leaks[at][level]
                    place = len(self.levels[at]) - 1 if at in clean else self.levels[at].index(level)
                    offset = offset * len(self.levels[at]) + place
                found[offset] += value
        return found

    # Factors

    def factors(self):
        """The arrays whose product, summed over the cell's axes, is its table."""
        table, own = self.evidence, None
        for index in self.local:
            signs, axes = self.contribution(index)
            own = self.multiplied(own, self.plan.times(self.network.weights(index), signs, axes))
        found = [self.multiplied(table, own) if own is not None else table]
        alike = {}  # (axis, what it gives) -> variables of which one is enough
        for variable in self.variables:
            if not variable.any_is_enough:
                found += [self._of_link(variable, at, gen) for at, gen in self.serving[variable.members[0]]]
            elif self.number is not None:
                rows, component = _Rows(self.network.model), self.network.model.components[variable.members[0]]
                for at, _ in self.serving[variable.members[0]]:
                    alike.setdefault((at, rows.of(self.keys[at], component)[-1]), []).append(variable)
        found += [self._of_any(at, alike[(at, row)]) for at, row in sorted(alike)]
        return found + [self._held_full(at) for at in self.counted]

    def _held_full(self, at):
        """Which places of a counted axis belong to running any way, and which to running full."""
        usual = len(self.levels[at]) - 1
        numbers = [1.0] * usual + [0.0] * (usual + 1) + [1.0]
        return self.network.fixed((self.clean_axes[at], self.axes[at]), numbers)

    def contribution(self, index):
        """(array by path and levels of what a component contributes to this cell, those levels' axes)."""
        component = self.network.model.components[index]
        serving = self.serving.get(index, [])
        places = [(at, generation, self._what(at), self.levels[at]) for at, generation in serving]
        path = self.plan.axes[self.network.weights(index)]
        axes = tuple([self.axes[at] for at, _ in serving])

        def numbers(model, rows):
            found = []
            for states in model.components[index].paths:
                row = [1.0]
                for at, generation, _, levels in places:
                    given = rows.of(self.keys[at], model.components[index])[states[generation]]
                    by_level = [given[level] if given else 1.0 for level in levels]
                    row = [a * b for a in row for b in by_level]
                found += row
            return found

        key = (component.kind, len(component.paths), tuple([(g, what, levels) for _, g, what, levels in places]))
        return self.network.constant(key, path + axes, numbers), axes

    def _of_link(self, variable, at, generation):
        """What each option of a link contributes to one axis."""
        levels, key = self.levels[at], self.keys[at]
        components = self.network.model.components
        acting = [
            [(index, components[index].paths[path][generation]) for index, path in option]
            for option in variable.options
        ]

        def numbers(model, rows):
            found = []
            for option in acting:
                row = [1.0] * len(levels)
                for index, state in option:
                    given = rows.of(key, model.components[index])[state]
                    if given:
                        row = [value * given[level] for value, level in zip(row, levels)]
                found += row
            return found

        same = tuple([tuple([(components[index].kind, state) for index, state in option]) for option in acting])
        return self.network.constant((self._what(at), levels, same), (variable.axis, self.axes[at]), numbers)

    def _of_any(self, at, variables):
        """What any of some faults that act alike contributes to one axis, once."""
        index, key, levels = variables[0].members[0], self.keys[at], self.levels[at]
        combinations = 1 << len(variables)

        def numbers(model, rows):
            given = rows.of(key, model.components[index])[-1]
            row = [given[level] for level in levels]
            return [1.0] * len(levels) + row * (combinations - 1)

        same = (self.network.model.components[index].kind, self._what(at), levels, "any")
        axes = tuple([variable.axis for variable in variables]) + (self.axes[at],)
        return self.network.constant(same, axes, numbers)

    def _what(self, at):
        observable = self.observables[at]
        return (observable.key[0], observable.condition or "")

    # Tables

    def multiplied(self, first, second):
        """The product of two arrays over all their axes; ``first`` may be None."""
        if first is None:
            return second
        axes = self.plan.axes
        more = tuple([axis for axis in axes[second] if axis not in axes[first]])
        return self.plan.times(first, second, axes[first] + more)

    def eliminate(self, factors):
        """The cell's table: the product of its factors, summed over its axes."""
        plan = self.plan
        remaining = list(self.axes)
        while remaining:
            axis = min(remaining, key=lambda a: (self._size_without(factors, a), a))
            remaining.remove(axis)
            touched = sorted([f for f in factors if axis in plan.axes[f]], key=self._turn)
            factors = [f for f in factors if f not in touched]
            table = touched[0]
            for factor in touched[1:-1]:
                table = self.multiplied(table, factor)
            last = touched[-1] if len(touched) > 1 else self.network.fixed((), [1.0])
            axes = plan.axes[table] + tuple([a for a in plan.axes[last] if a not in plan.axes[table]])
            factors.insert(0, plan.times(table, last, tuple([a for a in axes if a != axis])))
        table = factors[0]
        for factor in factors[1:]:
            table = self.multiplied(table, factor)
        return table

    def _turn(self, factor):
        """When to multiply a factor in: the table first, what tells running full apart last, else the smaller first."""
        axes = self.plan.axes[factor]
        last = any(axis in self.clean_axes.values() for axis in axes) and len(axes) == 2
        return (last, len(axes) < 3, self.plan.size(factor), factor)

    def _size_without(self, factors, axis):
        found = set()
        for factor in factors:
            if axis in self.plan.axes[factor]:
                found.update(self.plan.axes[factor])
        return product([self.plan.sizes[a] for a in sorted(found)])

    def choices(self, status):
        """What the counted observables may do from a status, as (choice, status after).

        A choice has, for each counted observable, ``ANY`` where nobody asks, ``NONE`` (it runs full) or ``ONE``.
        """
        found = [((), status)]
        for at in self.counted:
            after = []
            for choice, now in found:
                asked = [k for k, places in enumerate(self.counted_by) if at in places and now[k] != ANY]
                if not asked:
                    after.append((choice + (ANY,), now))
                    continue
                after.append((choice + (NONE,), now))
                if all(now[k] == NONE for k in asked):
                    after.append((choice + (ONE,), tuple([ONE if k in asked else s for k, s in enumerate(now)])))
            found = after
        return found

    def chosen(self, table, choice):
        """The table as a choice has it: what misses is what runs any way less what runs full."""
        if not self.counted:
            return table
        row = [1.0]
        for how in choice:
            any_, clean = {ANY: (1.0, 0.0), NONE: (0.0, 1.0), ONE: (1.0, -1.0)}[how]
            row = [value * share for value in row for share in (any_, clean)]
        clean_axes = tuple([self.clean_axes[at] for at in self.counted])
        axes = tuple([axis for axis in self.plan.axes[table] if axis not in clean_axes])
        return self.plan.times(self.network.fixed(clean_axes, row), table, axes)


class _Rows:
    """What components contribute, by state, kept so that it is worked out once for each kind."""

    def __init__(self, model):
        self.model = model
        self.known = {}

    def of(self, key, component):
        """P(contribution <= level) of a component in each state, None for a state that contributes nothing."""
        observable = self.model.observables[key]
        same = (component.kind, key[0], observable.condition)
        if same not in self.known:
            self.known[same] = [observable.cumulative(component, state) for state in range(len(component.states))]
        return self.known[same]


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


def _normalised(row):
    positive = [max(value, 0.0) for value in row]
    total = sum(positive)
    return [value / total for value in positive]
