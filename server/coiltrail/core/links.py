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
    Ordered so that what serves all axes of its cells, and most cells, comes last.
    """

    def __init__(self, network, serving, members, place):
        self.network = network
        self.members = members
        self.serving = serving
        steady = all(len(on) == sum([len(axis.keys) for axis in cell.axes]) for cell, on in serving)
        self.turn = (steady, len(serving), place)
        self.joins = []  # for each member: for each option so far and each of its paths, the option that they make
        self.options = [()]
        self._acts = [()]
        for index in members:
            self._join(index)
        self.size = len(self.options)
        self.axis = network.plan.axis(self.size)

    def __lt__(self, other):
        return self.turn < other.turn

    def _join(self, index):
        rows, component = self.network.rows, self.network.model.components[index]
        serves = [
            (generation, rows.of(cell.axes[axis].keys[at], component))
            for cell, on in self.serving
            for axis, at, generation in on
        ]
        options, acts, place, made = [], [], {}, []
        for option, act in zip(self.options, self._acts):
            for path, states in enumerate(component.paths):
                does = tuple([rows.number(by_state[states[g]]) for g, by_state in serves])
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
        components = self.network.model.components
        same = [[(components[index].kind, components[index].paths[path]) for index, path in o] for o in self.options]

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

        key = (axis.shape, on, tuple([tuple(option) for option in same]))
        return self.network.constant(key, (slot, axis.place), numbers)


class Engine:
    """The engine-wide faults that bear on how cylinders run, as one link: which of the groups that act alike are there.

    Faults that act through one mechanism contribute once together. ``members``: the components; ``axes``: the one
    axis of the link, or none.
    """

    def __init__(self, network):
        self.network = network
        acting, order = {}, []
        components, rows = network.model.components, network.rows
        for cell in network.cells[1:]:
            for index in cell.order:
                if not components[index].adds_up:
                    if index not in acting:
                        acting[index] = []
                        order.append(index)
                    for axis, at, _ in cell.here[index]:
                        row = rows.of(cell.axes[axis].keys[at], components[index])[-1]
                        acting[index].append((cell.number, axis, at, rows.number(row)))
        self.members = set(order)
        self.groups, place = [], {}
        for index in order:
            alike = tuple(acting[index])
            if alike not in place:
                place[alike] = len(self.groups)
                self.groups.append([])
            self.groups[place[alike]].append(index)
        self.axes = (network.plan.axis(1 << len(self.groups)),) if self.groups else ()

    def weight(self, whole):
        """The array with the weight of each choice of groups, by the places of the signs that they give.

        A group is there when any of its faults is: all that they may do, less none of them.
        """
        plan, network = self.network.plan, self.network
        two, bit = network.pooled("sound or all", 2), []
        table, places = None, tuple([axis.place for axis in whole.axes])
        for number, members in enumerate(self.groups):
            paths = [path for index in members for path in network.model.components[index].paths]
            sound = [value for states in paths for value in (0.0 if states[-1] else 1.0, 1.0)]
            first = network.fixed((network.pooled("path", len(paths)), two), sound)
            both = whole.effects_of(members, first)
            bit.append(network.pooled("there %d" % number, 2))
            split = network.fixed((two, bit[-1]), [1.0, -1.0, 0.0, 1.0])
            there = plan.times(split, both, (bit[-1],) + places)
            table = there if table is None else plan.times(table, there, tuple(bit) + places)
        return plan.picked(table, (0,), self.axes + places)

    def effect(self, cell, axis):
        """What each choice of groups contributes to an axis of a cylinder, each mechanism once: an array, or None."""
        components, rows = self.network.model.components, self.network.rows
        classes = {}  # (place of the observable in the axis, what it gives) -> (groups, a component)
        for number, members in enumerate(self.groups if cell.number is not None else ()):
            for at, _ in cell.on(axis, members[0]):
                row = rows.number(rows.of(axis.keys[at], components[members[0]])[-1])
                mask, first = classes.get((at, row), (0, members[0]))
                classes[(at, row)] = (mask | 1 << len(self.groups) - 1 - number, first)
        if not classes:
            return None
        acting = [(at, classes[(at, row)]) for at, row in sorted(classes)]

        def numbers(rows):
            given = [
                (at, mask, rows.of(axis.keys[at], rows.model.components[index])[-1]) for at, (mask, index) in acting
            ]
            found = []
            for choice in range(1 << len(self.groups)):
                found += axis.row([(at, row) for at, mask, row in given if choice & mask])
            return found

        same = tuple([(at, mask, components[index].kind) for at, (mask, index) in acting])
        return self.network.constant((axis.shape, same), self.axes + (axis.place,), numbers)
