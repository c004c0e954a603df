"""What components contribute to observables, by state, worked out once for each kind."""


class Rows:
    """The rows of one ``model``."""

    def __init__(self, model):
        self.model = model
        self._known = {}  # (sign or "runs", condition) -> {kind of component: what ``of`` gives}
        self._numbers = {}

    def by_kind(self, key):
        """What is known so far of what each kind of component contributes to an observable: {kind: see ``of``}."""
        same = (key[0], self.model.observables[key].condition)
        if same not in self._known:
            self._known[same] = {}
        return self._known[same]

    def of(self, key, component):
        """P(contribution <= level) of a component in each state, None for a state that contributes nothing.

        An empty list for one that contributes nothing in any state.
        """
        by_kind = self.by_kind(key)
        if component.kind not in by_kind:
            observable = self.model.observables[key]
            found = [observable.cumulative(component, state) for state in range(len(component.states))]
            by_kind[component.kind] = found if any(found) else []
        return by_kind[component.kind]

    def number(self, row):
        """A number that two rows share where they are the same; 0 for none."""
        return self._numbers.setdefault(row, len(self._numbers) + 1) if row else 0
