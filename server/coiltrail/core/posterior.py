"""Exact inference over all faults at once.

The likelihood of a case has the product form of a noisy maximum (Henrion 1989; Diez 1993): how a cylinder
runs, and every sign, is the largest of independent contributions, so that

    P(largest <= m) = product over components of P(contribution <= m | state).

The computation, with nothing cut off and nothing sampled:

1. Evidence on an observable is rewritten as a signed sum of such products (a finite difference of its
   likelihood), cylinder by cylinder: the cylinder's *terms*.
2. Components that serve one cylinder only are summed out inside each term.
3. Components of the engine as a whole that act alike are counted, not told apart: a *whole* is such a count
   with its weight.
4. A finding that asks only whether any cylinder misses is a signed sum of two *worlds*, one in which all run full.
5. For each whole and world the cylinders are taken one after the other, carrying the paths of the components that
   link them (a moved part, a gasket, a shared coil) and how many cylinders miss where a finding needs the number.
6. One pass forwards and one backwards give every marginal.
"""

from .gradually import finish


class Posterior:
    """The posterior of a ``model.Model``. ``clamped``: {component index: allowed path indices}.

    ``evidence``: probability of the evidence (with ``clamped``: jointly with it). ``marginals()``: posterior of
    the paths of every component. ``later`` true: nothing is known until the steps of ``solving()`` are run.
    """

    def __init__(self, model, clamped=None, cache=None, later=False):
        self.model = model
        self.weights = _path_weights(model, clamped or {})
        self.cache = cache if cache is not None else {}
        if not later:
            finish(self.solving())

    def solving(self):
        """Work out the evidence, in steps (``gradually``)."""
        self._sort_components()
        yield from self._plan()
        yield from self._forwards()

    # What serves what

    def _sort_components(self):
        model = self.model
        active = set()
        for keys, _, _ in model.factors:
            active.update(keys)
        for segments, _, _ in model.counts:
            for segment in segments:
                active.update(segment)
        self.active = sorted(active)
        serves = {}
        for key in self.active:
            for index, generation in model.observables[key].served:
                serves.setdefault(index, []).append((key, generation))
        numbers = len(model.engine.numbers)
        self.whole, self.free, linking = [], [], {}
        for index in range(len(model.components)):
            cells = {model.observables[key].cell for key, _ in serves.get(index, ())}
            if not cells:
                self.free.append(index)
            elif not model.components[index].adds_up or None in cells or len(cells) == numbers > 2:
                self.whole.append(index)
            elif len(cells) > 1:
                linking.setdefault(tuple(serves[index]), []).append(index)
        self.links = [
            _Link(model, self.weights, linking[served], served) for served in sorted(linking, key=lambda s: linking[s])
        ]

    def _plan(self):
        """Everything that does not depend on what is carried: cells, their order, the wholes, the transitions."""
        model = self.model
        self.told_apart = [count for count in model.counts if count[1][1] != count[1][2]]
        self.segments = _segments(self.told_apart)
        self.worlds = _worlds(model)
        in_cell = [key for key in self.active if model.observables[key].cell is not None]
        self.rows, self.classes = _wholes(model, self.weights, self.whole, in_cell, self.active)
        row_keys = tuple(counted for counted, _, _ in self.rows)
        wholes = (self.cache.setdefault(row_keys, len(self.cache)), self.rows, self.classes)
        shared = set(self.whole)
        for link in self.links:
            shared.update(link.indices)
        cells = [
            _Cell(model, cylinder, [k for k in in_cell if model.observables[k].cell == cylinder], shared, self.segments)
            for cylinder in model.engine.numbers
        ]
        cells = [cell for cell in cells if cell.axes]
        for cell in cells:
            cell.find_links(self.links)
        self.cells = _in_good_order(cells, self.links)
        seen = set()
        frontier, states = [], [((), (0,) * len(self.segments))]
        for position, cell in enumerate(self.cells):
            fresh = [number for number in cell.links if number not in seen]
            seen.update(fresh)
            later = set()
            for other in self.cells[position + 1 :]:
                later.update(other.links)
            cell.prepare(self.links, self.weights, fresh, wholes, self.worlds, self.cache)
            kept = [number for number in frontier + fresh if number in later]
            states = cell.connect(states, frontier, fresh, kept, self.links)
            frontier = kept
            yield
        self.last_states = states

    def _forwards(self):
        """Carry the likelihood through the cells; every carried value is a list, one number for each row."""
        chances = [_count_chance(self.told_apart, self.segments, counts) for _, counts in self.last_states]
        self.alphas, self.finals = [], []
        self.by_row = [0.0] * len(self.rows)
        for world, (share, _) in enumerate(self.worlds):
            alpha = [[1.0] * len(self.rows)]
            carried = [alpha]
            for cell in self.cells:
                alpha = cell.forwards(alpha, world)
                carried.append(alpha)
                yield
            self.alphas.append(carried)
            final = [share * chance for chance in chances]
            self.finals.append([[value * weight for _, weight, _ in self.rows] for value in final])
            for values, value in zip(alpha, final):
                self.by_row = [total + x * value for total, x in zip(self.by_row, values)]
        self.scale = 1.0
        for index in self.free:
            self.scale *= sum(self.weights[index])
        self.inside = max(sum([row[1] * value for row, value in zip(self.rows, self.by_row)]), 0.0)
        self.evidence = self.inside * self.scale

    # Marginals

    def marginals(self):
        """Posterior of the paths of every component: a list of lists, in the model's order."""
        return finish(self.marginal_steps())

    def marginal_steps(self):
        """The same, in steps (``gradually``)."""
        if not self.evidence > 0.0:
            raise ValueError("These findings cannot all be true together; strike the one that is wrong.")
        unnormalised = [list(w) for w in self.weights]
        self._whole_marginals(unnormalised)
        betas = list(self.finals)
        for position in range(len(self.cells) - 1, -1, -1):
            cell = self.cells[position]
            # What is outside the cell, by table: worlds that leave the cell alike share one.
            outside = {}
            for world, beta in enumerate(betas):
                context = cell.context(self.alphas[world][position], beta)
                held = outside.get(cell.table_of[world])
                outside[cell.table_of[world]] = _added(held, context) if held else context
                betas[world] = cell.backwards(beta, world)
                yield
            cell.local_marginals(outside, self.weights, unnormalised)
            for number, sums in cell.link_marginals(outside):
                self.links[number].spread(sums, unnormalised)
            yield
        return [_normalised(row) for row in unnormalised]

    def _whole_marginals(self, unnormalised):
        for index in self.whole:
            unnormalised[index] = [0.0] * len(self.weights[index])
        for (_, _, parts), value in zip(self.rows, self.by_row):
            slot = 0
            for index in self.whole:
                for path in range(len(self.weights[index])):
                    unnormalised[index][path] += parts[slot] * value
                    slot += 1


class _Link:
    """Components that serve the same observables of more than one cylinder, such as a moved coil with its boot.

    ``options``: what they can contribute together, as (weight, {observable key: cumulative}); joint paths
    that contribute alike are one option, its ``members`` being (paths, weight).
    """

    def __init__(self, model, weights, indices, served):
        self.indices = indices
        found = {}
        for paths in _joint_paths(indices, weights):
            weight = 1.0
            cumulatives = {}
            for index, path in zip(indices, paths):
                weight *= weights[index][path]
                component = model.components[index]
                for key, generation in served:
                    row = model.observables[key].cumulative(component, component.paths[path][generation])
                    if row:
                        held = cumulatives.get(key)
                        cumulatives[key] = tuple([a * b for a, b in zip(held, row)]) if held else row
            acting = tuple(sorted(cumulatives.items()))
            found.setdefault(acting, []).append((paths, weight))
        ordered = sorted(found)
        self.members = [found[acting] for acting in ordered]
        self.options = [(sum([w for _, w in found[acting]]), dict(acting)) for acting in ordered]

    def spread(self, totals, unnormalised):
        """Write the weight of each component's paths from the weight of each option."""
        for slot, index in enumerate(self.indices):
            sums = [0.0] * len(unnormalised[index])
            for total, members, (weight, _) in zip(totals, self.members, self.options):
                for paths, share in members:
                    sums[paths[slot]] += total * share / weight
            unnormalised[index] = sums


class _Cell:
    """One cylinder: its observables (axes), its terms, and what connects it to the others."""

    def __init__(self, model, cylinder, axes, shared, segments):
        self.model = model
        self.cylinder = cylinder
        self.axes = axes
        self.observables = [model.observables[key] for key in axes]
        self.serves = {}  # component -> list of (axis, generation)
        for axis, observable in enumerate(self.observables):
            for index, generation in observable.served:
                self.serves.setdefault(index, []).append((axis, generation))
        self.local = [i for i in sorted(self.serves) if i not in shared]
        self.shared = [i for i in sorted(self.serves) if i in shared]
        counted = sorted({key for segment in segments for key in segment if key in axes})
        self.counted = [axes.index(key) for key in counted]
        self.bits = _bit_vectors(len(counted))
        # For each segment, which of this cell's counted observables it counts.
        self.segment_bits = [_first([bit for bit, key in enumerate(counted) if key in segment]) for segment in segments]

    def find_links(self, links):
        """Keep the numbers of the links that serve this cylinder, in the order in which to multiply them in.

        Always all links of the axis that takes the fewest options next: it can then be forgotten.
        """
        serving = [number for number, link in enumerate(links) if link.indices[0] in self.serves]
        seen_by = {number: {axis for axis, _ in self.serves[links[number].indices[0]]} for number in serving}
        self.links = []
        while serving:
            rated = []
            for axis in range(len(self.axes)):
                needed = [number for number in serving if axis in seen_by[number]]
                cost = 1
                for number in needed:
                    cost *= len(links[number].options)
                if needed:
                    rated.append((cost, axis, needed))
            for number in min(rated)[2]:
                self.links.append(number)
                serving.remove(number)

    # Terms

    def prepare(self, links, weights, fresh, wholes, worlds, cache):
        """Sum out the local components; tabulate the cell by whole, missing bits and options of the links.

        A link's weight enters in the cell that meets it first (``fresh``).
        """
        options = []
        for number in self.links:
            options.append(
                [
                    (weight if number in fresh else 1.0, self._by_axis(cumulatives))
                    for weight, cumulatives in links[number].options
                ]
            )
        signature = self._signature(weights, options, wholes[0])
        self.tables, self.table_of = [], []  # tables, and which of them each world takes
        number_of = {}
        for _, clean in worlds:
            axes = tuple([axis for axis, key in enumerate(self.axes) if key in clean])
            if axes not in number_of:
                number_of[axes] = len(self.tables)
                if (signature, axes) not in cache:
                    cache[(signature, axes)] = _Table(self, weights, options, wholes, axes)
                self.tables.append(cache[(signature, axes)])
            self.table_of.append(number_of[axes])

    def _by_axis(self, cumulatives):
        return tuple([(axis, cumulatives[key]) for axis, key in enumerate(self.axes) if key in cumulatives])

    def _signature(self, weights, options, row_set):
        """What two cells must have in common for one table to serve both."""
        place = {key: axis for axis, key in enumerate(self.axes)}
        factors = tuple(
            [
                (tuple([place[key] for key in keys]), chances)
                for keys, chances, _ in self.model.factors
                if keys[0] in place
            ]
        )
        components = tuple(
            [(self.model.components[i].kind, tuple(weights[i]), tuple(self.serves[i])) for i in self.local]
        )
        whole = tuple([(self.model.components[i].kind, tuple(self.serves[i])) for i in self.shared])
        axes = tuple([(o.key[0], o.condition, o.levels) for o in self.observables])
        linked = tuple([tuple(option) for option in options])
        return (axes, tuple(self.counted), factors, components, linked, whole, row_set)

    def terms(self, clean):
        """The evidence as {(missing bits, levels by axis): coefficient}, leaks included.

        ``clean``: axes on which the world has the cylinder run full.
        """
        top = [o.levels - 1 for o in self.observables]
        place = {key: axis for axis, key in enumerate(self.axes)}
        single = [[1.0] * o.levels for o in self.observables]
        for axis in clean:
            single[axis] = [1.0] + [0.0] * (len(single[axis]) - 1)
        limits = {tuple(top): 1.0}
        for keys, chances, _ in self.model.factors:
            if keys[0] not in place:
                continue
            if len(keys) == 1:
                row = single[place[keys[0]]]
                for level in range(len(row)):
                    row[level] *= chances[level]
            else:
                limits = _limited(limits, [place[key] for key in keys], chances)
        found = {}
        for limit in sorted(limits):
            for bits in _bit_vectors(len(self.counted)):
                partial = [((), limits[limit])]
                for axis, row in enumerate(single):
                    missing = bits[self.counted.index(axis)] if axis in self.counted else None
                    steps = _differences(row, limit[axis], missing)
                    partial = [(levels + (level,), c * d) for levels, c in partial for level, d in steps]
                for levels, coefficient in partial:
                    key = (bits, levels)
                    found[key] = found.get(key, 0.0) + coefficient
        leaks = [o.leak() for o in self.observables]
        for key in found:  # in any order
            for axis, level in enumerate(key[1]):
                found[key] *= leaks[axis][level]
        return found

    def contributions(self, index):
        """For each path of a component: for each axis it serves, (axis, cumulative) where it contributes."""
        component = self.model.components[index]
        rows = []
        for path in component.paths:
            row = []
            for axis, generation in self.serves[index]:
                cumulative = self.observables[axis].cumulative(component, path[generation])
                if cumulative:
                    row.append((axis, cumulative))
            rows.append(row)
        return rows

    # Carrying

    def connect(self, states, frontier, fresh, kept, links):
        """Work out which carried state leads to which through this cell; gives the states that leave it."""
        index_of, leaving, moves = {}, [], []
        sizes = [len(links[number].options) for number in self.links]
        fresh_options = _tuples([len(links[number].options) for number in fresh])
        combos = 1
        for size in sizes:
            combos *= size
        for position, (carried, counts) in enumerate(states):
            held = dict(zip(frontier, carried))
            for chosen in fresh_options:
                for number, option in zip(fresh, chosen):
                    held[number] = option
                combo = 0
                for number, size in zip(self.links, sizes):
                    combo = combo * size + held[number]
                kept_options = tuple([held[number] for number in kept])
                for b, bits in enumerate(self.bits):
                    after = tuple(
                        [
                            min(SEVERAL, count + (bits[bit] if bit is not None else 0))
                            for count, bit in zip(counts, self.segment_bits)
                        ]
                    )
                    state = (kept_options, after)
                    if state not in index_of:
                        index_of[state] = len(leaving)
                        leaving.append(state)
                    moves.append((position, b * combos + combo, index_of[state]))
        # The same moves sorted three ways: by where they lead, whence they come, and which value they take.
        self.into = [[] for _ in leaving]
        self.out_of = [[] for _ in states]
        self.through = [[] for _ in range(combos * len(self.bits))]
        for before, at, after in moves:
            self.into[after].append((before, at))
            self.out_of[before].append((after, at))
            self.through[at].append((before, after))
        return leaving

    def forwards(self, alpha, world):
        """The carried values after this cell."""
        values = self.tables[self.table_of[world]].values
        return [_sum_of_products([(alpha[before], values[at]) for before, at in pairs]) for pairs in self.into]

    def backwards(self, beta, world):
        """The values of what follows, before this cell."""
        values = self.tables[self.table_of[world]].values
        return [_sum_of_products([(beta[after], values[at]) for after, at in pairs]) for pairs in self.out_of]

    def context(self, alpha, beta):
        """The weight of everything outside this cell, by missing bits and options of the links."""
        return [_sum_of_products([(alpha[before], beta[after]) for before, after in pairs]) for pairs in self.through]

    def local_marginals(self, outside, weights, unnormalised):
        """Write the posterior weight of each path of the components that serve this cylinder only.

        ``outside``: the context by number of the table.
        """
        for index in self.local:
            unnormalised[index] = [0.0] * len(weights[index])
        for number in sorted(outside):
            table = self.tables[number]
            term_weights = table.term_weights(table.outer_weights(outside[number]))
            for slot, index in enumerate(self.local):
                sums = unnormalised[index]
                for term, weight in enumerate(term_weights):
                    rest = weight * table.without(term, slot)
                    if rest:
                        for path, share in enumerate(table.shares[slot][term]):
                            sums[path] += rest * share

    def link_marginals(self, outside):
        """(number, posterior weight of each option) of the links; every cell of a link gives the same."""
        sizes = self.tables[0].sizes
        combos = len(self.through) // len(self.bits)
        totals = [0.0] * combos
        for number in sorted(outside):
            for at, (context, values) in enumerate(zip(outside[number], self.tables[number].values)):
                totals[at % combos] += sum([a * b for a, b in zip(context, values)])
        found = []
        step = combos
        for number, size in zip(self.links, sizes):
            step //= size
            sums = [0.0] * size
            for combo, total in enumerate(totals):
                sums[combo // step % size] += total
            found.append((number, sums))
        return found


class _Table:
    """A cell's terms with its local components summed out, and its value by whole, bits and link options."""

    def __init__(self, cell, weights, options, wholes, clean):
        self.bits = cell.bits
        self.sizes = [len(rows) for rows in options]
        terms = cell.terms(clean)
        levels = sorted({key[1] for key in terms})
        self.coefficients = [[terms.get((bits, level), 0.0) for level in levels] for bits in self.bits]
        self.shares = []  # by local component, by term: weight of each path
        for index in cell.local:
            contributions = cell.contributions(index)
            self.shares.append([_shares(weights[index], contributions, level) for level in levels])
        self.sums = [[sum(share) for share in by_term] for by_term in self.shares]
        self.inner = [1.0] * len(levels)
        for by_term in self.sums:
            self.inner = [a * b for a, b in zip(self.inner, by_term)]
        self._group(cell, levels)
        self._tabulate(cell, options, wholes)

    def _group(self, cell, levels):
        """Group the terms by the levels that whole and links see."""
        seen = {axis for index in cell.serves if index not in cell.local for axis, _ in cell.serves[index]}
        self.axes = sorted(seen)
        self.groups = sorted({tuple([level[axis] for axis in self.axes]) for level in levels})
        group_of = {group: k for k, group in enumerate(self.groups)}
        self.group = [group_of[tuple([level[axis] for axis in self.axes])] for level in levels]

    def _tabulate(self, cell, options, wholes):
        place = {axis: k for k, axis in enumerate(self.axes)}
        _, rows, classes = wholes
        # By group of terms, what the wholes contribute: one number for each row.
        by_axis = [_whole_values(cell, axis, rows, classes) for axis in self.axes]
        self.by_whole = []
        for group in self.groups:
            product = [1.0] * len(rows)
            for slot, level in enumerate(group):
                if by_axis[slot]:
                    product = [a * b for a, b in zip(product, by_axis[slot][level])]
            self.by_whole.append(product)
        self.starts, self.stages, self.values = [], [], []
        for row in self.coefficients:
            sums = [0.0] * len(self.groups)
            for term, coefficient in enumerate(row):
                sums[self.group[term]] += coefficient * self.inner[term]
            start = [group for group, value in enumerate(sums) if value]
            stages = _stages([self.groups[group] for group in start], place, options)
            self.starts.append(start)
            self.stages.append(stages)
            values = [[sums[group] * value for value in self.by_whole[group]] for group in start]
            self.values.extend(_spread_over_links(values, stages, len(rows)))

    def outer_weights(self, context):
        """Weight of everything outside the cell, by missing bits and group of terms."""
        combos = len(self.values) // len(self.bits)
        found = []
        for b, start in enumerate(self.starts):
            sums = [0.0] * len(self.groups)
            gathered = _gather_from_links(context[b * combos : (b + 1) * combos], self.stages[b], len(start))
            for group, values in zip(start, gathered):
                sums[group] = sum([value * whole for value, whole in zip(values, self.by_whole[group])])
            found.append(sums)
        return found

    def term_weights(self, outer):
        """Weight of each term, its local components left out."""
        return [
            sum(self.coefficients[b][term] * outer[b][self.group[term]] for b in range(len(self.bits)))
            for term in range(len(self.group))
        ]

    def without(self, term, slot):
        """Product of the local components' sums in a term, that of one component left out."""
        product = 1.0
        for other, by_term in enumerate(self.sums):
            if other != slot:
                product *= by_term[term]
        return product


# Small pieces


def _first(found):
    return found[0] if found else None


def _stages(groups, place, options):
    """How to multiply the links in one after the other, forgetting levels that no later link sees.

    A stage is (by option the factor of each group, where each group goes, number of groups that remain).
    """
    stages = []
    for number, rows in enumerate(options):
        later = {axis for following in options[number + 1 :] for _, row in following for axis, _ in row}
        kept = sorted([place[axis] for axis in later])
        factors = []
        for weight, row in rows:
            values = [weight] * len(groups)
            for axis, cumulative in row:
                slot = place[axis]
                values = [value * cumulative[group[slot]] for value, group in zip(values, groups)]
            factors.append(values)
        shorter = [tuple([group[slot] for slot in kept]) for group in groups]
        remaining = sorted(set(shorter))
        index_of = {group: k for k, group in enumerate(remaining)}
        stages.append((factors, [index_of[group] for group in shorter], len(remaining)))
        # What a later stage sees is a group with the forgotten levels left out.
        groups = [_widened(group, kept) for group in remaining]
    return stages


def _widened(group, kept):
    levels = [0] * (kept[-1] + 1 if kept else 0)
    for slot, level in zip(kept, group):
        levels[slot] = level
    return tuple(levels)


def _spread_over_links(values, stages, rows, number=0):
    """Value for each combination of the links' options, from the value of each group (lists by row)."""
    if number == len(stages):
        return [_total(values, rows)]
    factors, goes_to, remain = stages[number]
    found = []
    for row in factors:
        after = [None] * remain
        for value, factor, group in zip(values, row, goes_to):
            held = after[group]
            if held is None:
                after[group] = [x * factor for x in value]
            else:
                after[group] = [a + x * factor for a, x in zip(held, value)]
        found.extend(_spread_over_links(after, stages, rows, number + 1))
    return found


def _gather_from_links(values, stages, groups, number=0):
    """The reverse of spreading: weight of each group, from that of each combination of options (lists by row)."""
    if number == len(stages):
        return [values[0]] * groups
    factors, goes_to, remain = stages[number]
    width = len(values) // len(factors)
    sums = None
    for option, row in enumerate(factors):
        after = _gather_from_links(values[option * width : (option + 1) * width], stages, remain, number + 1)
        if sums is None:
            sums = [[x * factor for x in after[group]] for factor, group in zip(row, goes_to)]
        else:
            sums = [
                [a + x * factor for a, x in zip(held, after[group])] for held, factor, group in zip(sums, row, goes_to)
            ]
    return sums


def _sum_of_products(pairs):
    """Sum over pairs of lists of their products, element by element."""
    first, second = pairs[0]
    total = [a * b for a, b in zip(first, second)]
    for first, second in pairs[1:]:
        total = [t + a * b for t, a, b in zip(total, first, second)]
    return total


def _added(first, second):
    """Two lists of lists added, element by element."""
    return [[a + b for a, b in zip(x, y)] for x, y in zip(first, second)]


def _total(values, rows):
    if not values:
        return [0.0] * rows
    total = values[0]
    for more in values[1:]:
        total = [a + b for a, b in zip(total, more)]
    return total


def _path_weights(model, clamped):
    weights = [list(component.weights) for component in model.components]
    for index, generation, by_state, _ in model.looks:
        component = model.components[index]
        for path, states in enumerate(component.paths):
            weights[index][path] *= by_state.get(component.states[states[generation]]["state"], 1.0)
    for index in clamped:
        for path in range(len(weights[index])):
            if path not in clamped[index]:
                weights[index][path] = 0.0
    return weights


def _segments(counts):
    found = []
    for segments, _, _ in counts:
        for segment in segments:
            if segment not in found:
                found.append(segment)
    return found


def _worlds(model):
    """Findings that ask only whether any cylinder misses, as a signed sum: (share, keys that run full) each.

    The chance of such a finding is ``any`` everywhere, plus (``none`` - ``any``) where all of it runs full.
    """
    chances = {}
    for segments, (none, one, several), _ in model.counts:
        if one == several:
            keys = tuple(sorted({key for segment in segments for key in segment}))
            held = chances.get(keys, (1.0, 1.0))
            chances[keys] = (held[0] * none, held[1] * one)
    worlds = [(1.0, frozenset())]
    for keys in sorted(chances):
        none, some = chances[keys]
        if none == some:
            worlds = [(share * some, clean) for share, clean in worlds]
        else:
            worlds = [(share * some, clean) for share, clean in worlds] + [
                (share * (none - some), clean | set(keys)) for share, clean in worlds
            ]
    return worlds


SEVERAL = 2  # cylinders that miss are counted no further: several is several


def _count_chance(counts_told, segments, counts):
    chance = 1.0
    for counted, chances, _ in counts_told:
        chance *= chances[max([counts[segments.index(segment)] for segment in counted])]
    return chance


def _wholes(model, weights, whole, in_cell, active):
    """Joint states of the engine-wide components, those that act alike only counted.

    Gives (rows, classes). A row is (counts, weight, weights by component and path), counts being ((class,
    number), ...). A class is named by the first (component, path) that acts so; ``classes`` maps it to what
    it contributes, as {observable key: cumulative}.
    """
    engine_wide = [key for key in active if model.observables[key].cell is None]
    named, classes = {}, {}
    table = {((), ()): [1.0]}
    for index in whole:
        component = model.components[index]
        options = []
        for path, states in enumerate(component.paths):
            acting = _acting(model, index, component, states, in_cell)
            class_ = named.setdefault((component.adds_up, acting), (index, path)) if acting else None
            if acting:
                classes[class_] = dict(acting)
            signs = _acting(model, index, component, states, engine_wide)
            options.append((class_, signs, weights[index][path]))
        table = _with_component(table, options, component.adds_up)
    rows = {}
    for counted, signs in sorted(table):
        chance = _signs_chance(model, engine_wide, signs)
        scaled = [value * chance for value in table[(counted, signs)]]
        held = rows.get(counted)
        rows[counted] = [a + b for a, b in zip(held, scaled)] if held else scaled
    return [(counted, rows[counted][0], rows[counted][1:]) for counted in sorted(rows)], classes


def _acting(model, index, component, states, keys):
    found = []
    for key in keys:
        observable = model.observables[key]
        for served, generation in observable.served:
            if served == index:
                cumulative = observable.cumulative(component, states[generation])
                if cumulative:
                    found.append((key, cumulative))
    return tuple(found)


def _with_component(table, options, adds_up):
    after = {}
    for counted, signs in sorted(table):
        sums = table[(counted, signs)]
        for path, (class_, acting, weight) in enumerate(options):
            if not weight:
                continue
            key = (_counted_with(counted, class_, adds_up), tuple(sorted(signs + acting)))
            row = [value * weight for value in sums] + [0.0] * len(options)
            row[len(sums) + path] = sums[0] * weight
            held = after.get(key)
            after[key] = [a + b for a, b in zip(held, row)] if held else row
    return after


def _counted_with(counted, class_, adds_up):
    if class_ is None:
        return counted
    found = dict(counted)
    found[class_] = found.get(class_, 0) + 1 if adds_up else 1
    return tuple(sorted(found.items()))


def _signs_chance(model, keys, signs):
    chance = 1.0
    for key in keys:
        observable = model.observables[key]
        cumulative = list(observable.leak())
        for signed, row in signs:
            if signed == key:
                cumulative = [a * b for a, b in zip(cumulative, row)]
        likelihood = [1.0] * observable.levels
        for keys_, chances, _ in model.factors:
            if keys_ == (key,):
                likelihood = [a * b for a, b in zip(likelihood, chances)]
        before, total = 0.0, 0.0
        for level, value in enumerate(cumulative):
            total += likelihood[level] * (value - before)
            before = value
        chance *= total
    return chance


def _whole_values(cell, axis, rows, classes):
    """What the engine-wide components contribute on one axis: for each level, one number for each row.

    None where none of them contributes anything.
    """
    key = cell.axes[axis]
    held = {}
    by_row = []
    for counts, _, _ in rows:
        alike, acting = set(), []
        for class_, number in counts:
            cumulative = classes[class_].get(key)
            if not cumulative:
                continue
            if not cell.model.components[class_[0]].adds_up:
                if cumulative in alike:
                    continue
                alike.add(cumulative)
            acting.append((cumulative, number))
        acting = tuple(acting)
        if acting not in held:
            held[acting] = _power_product(acting, cell.observables[axis].levels)
        by_row.append(held[acting])
    if list(held) == [()]:  # in any order
        return None
    return [[values[level] for values in by_row] for level in range(cell.observables[axis].levels)]


def _power_product(acting, levels):
    values = [1.0] * levels
    for cumulative, number in acting:
        values = [value * x**number for value, x in zip(values, cumulative)]
    return values


def _in_good_order(cells, links):
    """Order the cells so that little is carried: always the cell that leaves the fewest options open."""
    remaining, ordered, open_links = list(cells), [], set()
    while remaining:
        best = None
        for cell in remaining:
            later = set()
            for other in remaining:
                if other is not cell:
                    later.update(other.links)
            carried = 1
            for number in (open_links | set(cell.links)) & later:  # in any order
                carried *= len(links[number].options)
            rank = (carried, cell.cylinder)
            if best is None or rank < best[0]:
                best = (rank, cell)
        remaining.remove(best[1])
        open_links.update(best[1].links)
        ordered.append(best[1])
    return ordered


def _limited(limits, axes, chances):
    """Multiply in a likelihood of the largest over ``axes``, as a sum over limits on all of them."""
    found = {}
    for level in range(len(chances)):
        step = chances[level] - (chances[level + 1] if level + 1 < len(chances) else 0.0)
        if step:
            for limit in limits:
                lowered = list(limit)
                for axis in axes:
                    lowered[axis] = min(lowered[axis], level)
                key = tuple(lowered)
                found[key] = found.get(key, 0.0) + limits[limit] * step
    return found


def _differences(row, limit, missing):
    """Coefficients of P(level <= m) that give the sum of row[level] over the levels allowed."""
    allowed = [
        row[level] if level <= limit and (missing is None or (level > 0) == (missing > 0)) else 0.0
        for level in range(len(row))
    ]
    steps = []
    for level in range(len(row)):
        step = allowed[level] - (allowed[level + 1] if level + 1 < len(row) else 0.0)
        if step:
            steps.append((level, step))
    return steps


def _bit_vectors(length):
    vectors = [()]
    for _ in range(length):
        vectors = [vector + (bit,) for vector in vectors for bit in (0, 1)]
    return vectors


def _tuples(sizes):
    """All tuples of numbers below the sizes, the last changing fastest."""
    found = [()]
    for size in sizes:
        found = [held + (k,) for held in found for k in range(size)]
    return found


def _joint_paths(indices, weights):
    """All joint paths of some components that have any weight."""
    found = [()]
    for index in indices:
        allowed = [path for path, weight in enumerate(weights[index]) if weight]
        found = [held + (path,) for held in found for path in allowed]
    return found


def _shares(weights, contributions, level):
    shares = []
    for weight, row in zip(weights, contributions):
        for axis, cumulative in row:
            weight *= cumulative[level[axis]]
        shares.append(weight)
    return shares


def _normalised(row):
    positive = [max(value, 0.0) for value in row]
    total = sum(positive)
    return [value / total for value in positive]
