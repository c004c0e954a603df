"""What several cells of a case's evidence depend on (``network``): parts that link them, and engine-wide faults."""


def links_of(network):
    """Links from the components that serve several cells, together where they serve the same; tells ``link_of``."""
    serves, order = {}, []
    for cell in network.cells:
        for index in cell.order:
            if index not in network.engine.members:
                if index not in serves:
                    serves[index] = ()
                    order.append(index)
                serves[index] += ((cell, cell.here[index]),)
    together, found = {}, []
    for index in order:
        if len(serves[index]) > 1:
            same = tuple([(cell.number or 0, on) for cell, on in serves[index]])
            if same not in together:
                together[same] = []
                found.append((serves[index], together[same]))
            together[same].append(index)
    links = [Link(network, serving, members, place) for place, (serving, members) in enumerate(found)]
    network.link_of = {index: link for link in links for index in link.members}
    return links


class Link:
    """What parts do together that serve the same observables of more than one cell: ``size`` options along ``axis``.

    An option is a set of paths that contribute alike; ``options``: of each the (component, path) that contribute.
    ``alike``: what links have in common whose options contribute the same. In their order, what bears on its cells
    however they run, and on most cells, comes last: it then lies side by side.
    """

    def __init__(self, network, serving, members, place):
        self.network = network
        self.members = members
        self.serving = serving
        steady = all(len({axis for axis, _, _ in on}) >= cell.running for cell, on in serving)
        self.turn = (steady, len(serving), place)
        self.joins = []  # for each member: for each option so far and each of its paths, the option that they make
        self.options = [()]
        self._acts = [()]
        for index in members:
            self._join(index)
        components = network.model.components
        self.alike = tuple(
            [
                tuple([(components[index].kind, components[index].paths[path]) for index, path in o])
                for o in self.options
            ]
        )
        self.size = len(self.options)
        self.axis = network.plan.axis(self.size)

    def __lt__(self, other):
        return self.turn < other.turn

    def _join(self, index):
        component = self.network.model.components[index]
        serves = []
        for cell, on in self.serving:
            serves += [(generation, by_state) for (_, _, generation), by_state in zip(on, cell.acts(index))]
        options, acts, place, made = [], [], {}, []
        for option, act in zip(self.options, self._acts):
            for path, states in enumerate(component.paths):
                does = tuple([by_state[states[g]] for g, by_state in serves])
                more = tuple(sorted(act + (does,))) if any(does) else act
                if more not in place:
                    place[more] = len(acts)
                    acts.append(more)
                    options.append(option + ((index, path),) if any(does) else option)
                made.append(place[more])
        self.options, self._acts = options, acts
        self.joins.append(made)

    def weight(self, slot):
        """The array with the weight of each option, along that axis."""
        plan, network, table = self.network.plan, self.network, None
        for number, (index, made) in enumerate(zip(self.members, self.joins)):
            weights = network.weighing([index], "path %d" % number)
            axes = plan.axes[weights]
            if table is not None:
                axes = plan.axes[table] + axes
                weights = plan.times(table, weights, axes)
            size = max(made) + 1
            axis = slot if number + 1 == len(self.members) else network.pooled("joined %d" % number, size)
            if made == list(range(size)):
                table = plan.picked(weights, (0,), (axis,))
            else:
                joins = [1.0 if option == k else 0.0 for option in made for k in range(size)]
                table = plan.times(weights, network.fixed(axes + (axis,), joins), (axis,))
        return table

    def effect(self, axis, on, slot):
        """What each option, along ``slot``, contributes to an axis, of which it serves ``on``: an array."""

        def numbers(rows):
            found = []
            for option in self.options:
                acting = []
                for index, path in option:
                    component = rows.model.components[index]
                    states = component.paths[path]
                    given = [(at, rows.of(axis.keys[at], component)[states[g]]) for at, g in on]
                    acting += [(at, row) for at, row in given if row]
                found += axis.row(acting)
            return found

        return self.network.constant((axis.shape, on, self.alike), (slot, axis.place), numbers)


class Engine:
    """The engine-wide faults that bear on how cylinders run; those that act through one mechanism contribute once.

    ``groups``: the faults that act alike; of each an axis in ``axes`` by whether any of them is there, ``steady`` of
    those that bear on the cylinders however they run. ``members``: {component: its group}.
    """

    def __init__(self, network):
        self.network = network
        acting, order = {}, []
        components = network.model.components
        for cell in network.cells[1:]:
            for index in cell.order:
                if not components[index].adds_up:
                    if index not in acting:
                        acting[index] = []
                        order.append(index)
                    acting[index] += [
                        (cell.number, axis, at, by_state[-1])
                        for (axis, at, _), by_state in zip(cell.here[index], cell.acts(index))
                    ]
        alike = {}
        for index in order:
            alike.setdefault(tuple(acting[index]), []).append(index)
        everywhere = sum([cell.running for cell in network.cells])
        rated = [(len({act[:2] for act in acts}) >= everywhere, alike[acts]) for acts in sorted(alike)]
        self.groups = [members for _, members in sorted(rated)]
        self.members = {index: number for number, members in enumerate(self.groups) for index in members}
        self.axes = tuple([network.plan.axis(2) for _ in self.groups])
        self.steady = self.axes[len([steady for steady, _ in rated if not steady]) :]
        self.unsteady = self.axes[: len(self.axes) - len(self.steady)]

    def weight(self, whole):
        """The array with the weight of each choice of groups, by the places of the signs that they give.

        A group is there when any of its faults is: all that they may do, less none of them.
        """
        plan, network = self.network.plan, self.network
        two, table = network.pooled("sound or all", 2), None
        places = tuple([axis.place for axis in whole.axes])
        for number, members in enumerate(self.groups):
            paths = [path for index in members for path in network.model.components[index].paths]
            sound = [value for states in paths for value in (0.0 if states[-1] else 1.0, 1.0)]
            effects = whole.effects_of(members, network.fixed((network.pooled("path", len(paths)), two), sound))
            split = network.fixed((two, self.axes[number]), [1.0, -1.0, 0.0, 1.0])
            there = plan.times(split, whole.mixed(members, effects), (self.axes[number],) + places)
            table = there if table is None else plan.times(table, there, self.axes[: number + 1] + places)
        return table

    def effect(self, cell, axis):
        """What each choice of the groups that act on an axis of a cylinder contributes, a mechanism once; or None."""
        components, rows = self.network.model.components, self.network.rows
        acting = [number for number, members in enumerate(self.groups) if cell.number and cell.on(axis, members[0])]
        if not acting:
            return None
        mechanisms = {}  # (place of the observable in the axis, what it gives) -> [groups, a component]
        for bit, number in enumerate(reversed(acting)):
            index = self.groups[number][0]
            for at, _ in cell.on(axis, index):
                row = rows.number(rows.of(axis.keys[at], components[index])[-1])
                mechanism = mechanisms.setdefault((at, row), [0, index])
                mechanism[0] |= 1 << bit
        found = [(at, mechanisms[(at, row)][0], mechanisms[(at, row)][1]) for at, row in sorted(mechanisms)]

        def numbers(rows):
            given = [(at, mask, rows.of(axis.keys[at], rows.model.components[i])[-1]) for at, mask, i in found]
            row = []
            for choice in range(1 << len(acting)):
                row += axis.row([(at, by_level) for at, mask, by_level in given if choice & mask])
            return row

        same = tuple([(at, mask, components[index].kind) for at, mask, index in found])
        axes = tuple([self.axes[number] for number in acting]) + (axis.place,)
        return self.network.constant((axis.shape, same), axes, numbers)
