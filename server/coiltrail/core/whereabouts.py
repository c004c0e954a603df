"""Where a part that nobody saw go may be: the posterior averaged over the places that are left for it.

Each way it may have gone is the case with that question answered so. Before any finding all of them are equally
likely; the findings then say which of them agrees with how the engine runs.
"""

from . import readings
from .posterior import Posterior
from .tongue import phrase

MOST_WAYS = 16  # with more parts out of sight than make so many ways, the last of them stay where nobody knows


def ways(case):
    """The folded case once for each way in which parts out of sight may have gone; itself where there is none."""
    found = [()]
    for question, part, places in case.trails.unseen:
        if case.trails.get(part).place == "unknown" and len(found) * len(places) <= MOST_WAYS:
            found = [answers + ((question, place),) for answers in found for place in places]
    return [_answered(case, answers) for answers in found] if len(found) > 1 else [case]


def _answered(case, answers):
    latest = max([max(e["at"][0], (e.get("when") or {}).get("ms", 0)) for e in case.log])
    told = []
    for number, (question, place) in enumerate(answers):
        told.append(
            {
                "id": "thought/%d" % number,
                "case": case.case,
                "kind": "answered",
                "at": [latest + 1 + number, 0],
                "when": None,
                "device": "",
                "n": number,
                "by": "",
                "body": {"question": question, "answer": place},
            }
        )
    return case.with_thought(told)


def posterior_of(case, model, only=None, every_level=False):
    """The posterior of a case in terms of its ``model``, yet to be solved; ``only``: see ``readings.model_of``."""
    cases = ways(case)
    if len(cases) == 1:
        return Posterior(model, later=True, every_level=every_level, running=True)
    each = [Posterior(readings.model_of(c, only), later=True, every_level=every_level, running=True) for c in cases]
    return Average(model, each)


class Average:
    """A ``Posterior`` in terms of ``model``, averaged over posteriors of models that differ in where parts went."""

    def __init__(self, model, each):
        self.model = model
        self.each = [_Told(model, solved) for solved in each]

    def solving(self):
        """Work out the evidence, in steps (``gradually``)."""
        for told in self.each:
            yield from told.solved.solving()
        self.evidence = sum([told.solved.evidence for told in self.each]) / len(self.each)
        self.limit = max([told.solved.limit for told in self.each])

    def marginal_steps(self):
        """Posterior of the paths of every component of ``model``, in steps (``gradually``)."""
        if not self.evidence > 0.0:
            raise ValueError(phrase("These findings cannot all be true together; strike the one that is wrong."))
        total = None
        for told in self.each:
            told.share = told.solved.evidence / (self.evidence * len(self.each))
            if told.share > 0.0:
                rows = yield from told.marginals()
                rows = [[told.share * p for p in row] for row in rows]
                total = [[a + b for a, b in zip(x, y)] for x, y in zip(total, rows)] if total else rows
        return total

    def runs_full(self, cylinder):
        """Probability that a cylinder runs full at idle now, after ``marginal_steps``."""
        return sum([told.share * told.solved.runs_full(cylinder) for told in self.each if told.share > 0.0])

    def jointly(self, clamped):
        """Probability of the evidence jointly with what ``clamped`` allows."""
        return sum([told.jointly(clamped) for told in self.each]) / len(self.each)

    def given(self, change):
        """From now on answer for what ``change`` makes of each model."""
        for told in self.each:
            told.solved.given(change)


class _Told:
    """One of the posteriors, told in terms of ``model``: components by their names, paths by how they begin and end."""

    def __init__(self, model, solved):
        self.model = model
        self.solved = solved
        index_of = {component.name: index for index, component in enumerate(solved.model.components)}
        self.index_of = [index_of.get(component.name) for component in model.components]

    def _path_of(self):
        """Of each component of ``model``: which of its paths each path solved for is (some may have been left out)."""
        theirs = self.solved.model.components
        return [
            _paths_alike(component, theirs[index]) if index is not None else None
            for component, index in zip(self.model.components, self.index_of)
        ]

    def marginals(self):
        own = yield from self.solved.marginal_steps()
        path_of = self._path_of()
        found = []
        for component, index, paths in zip(self.model.components, self.index_of, path_of):
            row = [0.0] * len(component.paths)
            if index is None:
                row = [weight / sum(component.weights) for weight in component.weights]
            else:
                for path, p in zip(paths, own[index]):
                    row[path] += p
            found.append(row)
        return found

    def jointly(self, clamped):
        held, share, path_of = {}, 1.0, self._path_of()
        for index in sorted(clamped):
            if self.index_of[index] is None:
                weights = self.model.components[index].weights
                share *= sum([weights[path] for path in clamped[index]]) / sum(weights)
            else:
                paths = path_of[index]
                held[self.index_of[index]] = [k for k, path in enumerate(paths) if path in clamped[index]]
        return share * self.solved.jointly(held)


def _paths_alike(ours, theirs):
    """For each path of ``theirs`` the path of ``ours`` that begins and ends alike."""
    found = []
    for path in theirs.paths:
        alike = [k for k, own in enumerate(ours.paths) if (own[0], own[-1]) == (path[0], path[-1])]
        begun = [k for k, own in enumerate(ours.paths) if own[0] == path[0]]
        found.append((alike + begun)[0])
    return found
