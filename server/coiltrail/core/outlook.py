"""What a check or a swap would show in each world, by the same model that weighs findings once they are made.

A finding that is only thought of goes through ``readings.take_check`` like a recorded one, and a swap through the
fold like a recorded move, so that nothing about evidence is said a second time here. Three things are simplified:
in each world only its own faults act; each is in its states as the posterior has them on the whole; and the world of
something else makes cylinders miss as the others do on the whole, shows no sign, and stays where it is in a swap.

A world that owes its weight to faults that it does not name would foretell wrongly: what its own faults do not
account for goes to something else.
"""

from . import checks, readings
from .model import Model

THOUGHT = "thought"  # id of an entry that is not recorded


BORNE_BY_OTHERS = 10.0  # how many times its own account a world's weight may be


class Outlook:
    """Chances of findings in the worlds of a diagnosis, and the ``weights`` of the worlds by their own account."""

    def __init__(self, diagnosis, worlds):
        self.case = diagnosis.case
        self.sets = worlds.sets
        self.mixes = {index: _mix(diagnosis, index) for index in worlds.faults}
        self.weights = self._weights(diagnosis.model, worlds)
        self.now = _Scene(self.case, diagnosis.model, self.mixes, worlds.sets, _known_levels(diagnosis.model))

    def _weights(self, model, worlds):
        """The worlds' weights, what is borne by other faults given to the last world, of something else."""
        likelihoods = _Scene(self.case, model, self.mixes, worlds.sets, {}).chances(
            (model.factors, model.looks, model.counts)
        )
        accounts = []
        for blamed, likelihood in zip(worlds.sets, likelihoods):
            for index in blamed:
                good = model.components[index].prior[0]
                likelihood *= (1.0 - good) / good
            accounts.append(likelihood)
        weights = list(worlds.weights)
        best = max(range(len(weights) - 1), key=lambda k: (accounts[k], -k))
        for k in range(len(weights) - 1):
            most = BORNE_BY_OTHERS * weights[best] * accounts[k] / max(accounts[best], 1e-300)
            if weights[k] > most:
                weights[-1] += weights[k] - most
                weights[k] = most
        return weights

    def of_check(self, check, place=None, cylinder=None):
        """What a check would find: a list of ``([findings], [their chance in each world])``.

        Findings that say the same of every fault are one outcome; findings that say nothing are none.
        """
        alike = []  # (what it says, findings)
        for finding in checks.findings_of(check):
            said = self.now.said(check, place, cylinder, finding)
            same = [row for row in alike if row[0] == said]
            if same:
                same[0][1].append(finding)
            elif said[0] or said[1] or said[2]:
                alike.append((said, [finding]))
        rows = []
        for said, _ in alike:
            chances = self.now.chances(said)
            rows.append(self._on_the_whole(chances) if self.now.about_running(said) else chances)
        sums = [max(sum(row), 1e-12) for row in zip(*rows)]
        return [(findings, [p / s for p, s in zip(chances, sums)]) for (_, findings), chances in zip(alike, rows)]

    def of_swap(self, kind, one, other, clean=("drop", "full"), conditions=()):
        """Where the miss would be after a swap: [("follows" | "stays" | "gone" | "both", chances)].

        ``clean``: (check, finding) that shows a cylinder to run clean; ``conditions``: under which it is made.
        """
        case = self.case.with_thought([self._thought_move(kind, one, other)])
        scene = _Scene(case, Model(case), self.mixes, self.sets, {})
        here = scene.misses(case.engine.served_by(kind, one), clean, conditions)
        there = scene.misses(case.engine.served_by(kind, other), clean, conditions)
        here[-1] = max(here)
        return [
            ("follows", [(1.0 - a) * b for a, b in zip(here, there)]),
            ("stays", [a * (1.0 - b) for a, b in zip(here, there)]),
            ("gone", [(1.0 - a) * (1.0 - b) for a, b in zip(here, there)]),
            ("both", [a * b for a, b in zip(here, there)]),
        ]

    def _on_the_whole(self, chances):
        """The chances with the last world's, of something else, set to their mean over the others."""
        weights = self.weights[:-1]
        mean = sum([w * p for w, p in zip(weights, chances)]) / max(sum(weights), 1e-300)
        return chances[:-1] + [mean]

    def _thought_move(self, kind, one, other):
        places = "%s.%d" % (kind, one), "%s.%d" % (kind, other)
        latest = max([max(e["at"][0], (e.get("when") or {}).get("ms", 0)) for e in self.case.log])
        return {
            "id": THOUGHT,
            "case": self.case.case,
            "kind": "parts_moved",
            "at": [latest + 1, 0],
            "when": None,
            "device": "",
            "n": 0,
            "by": "",
            "body": {
                "moves": [{"from": places[0], "to": places[1]}, {"from": places[1], "to": places[0]}],
            },
        }


class _Scene:
    """A case as it stands at its end, or would stand, with the worlds' faults (``sets``) in it.

    ``model``: of the case; its evidence is left aside, and left as it is. ``mixes``: component index -> the paths it
    may have, with their shares. ``known``: observable key -> what is known of its level, as a chance by level.
    """

    def __init__(self, case, model, mixes, sets, known):
        self.case = case
        self.model = model
        self.sets = sets
        self.known = known
        self.mixes = {index: _carried(mixes[index], self.model.components[index]) for index in sorted(mixes)}
        self._by_keys = {}

    def said(self, check, place, cylinder, finding, conditions=()):
        """The evidence that a finding would be: its factors, looks and counts."""
        model, body = self.model, {"check": check, "finding": finding, "conditions": list(conditions)}
        if place:
            body["place"] = place
        if cylinder:
            body["cylinder"] = cylinder
        evidence = model.factors, model.looks, model.counts
        model.factors, model.looks, model.counts = [], [], []
        readings.take_check(model, self.case, len(self.case.log), {"id": THOUGHT, "kind": "check", "body": body})
        said = model.factors, model.looks, model.counts
        model.factors, model.looks, model.counts = evidence
        return said

    def chances(self, said):
        """Chance of some evidence in each world."""
        factors, looks, counts = said
        found = [1.0] * len(self.sets)
        for keys, chances, _ in factors:
            rows = self._levels(keys)
            found = [f * sum([s * c for s, c in zip(row, chances)]) for f, row in zip(found, rows)]
        for index, generation, by_state, _ in looks:
            seen = self._seen(index, generation, by_state)
            sound = by_state.get("good", 1.0)
            found = [f * (seen if index in blamed else sound) for f, blamed in zip(found, self.sets)]
        for segments, chances, _ in counts:
            clean = zip(*[[row[0] for row in self._levels((key,))] for key in segments[0]])
            found = [f * _count_chance(row, chances) for f, row in zip(found, clean)]
        return found

    def about_running(self, said):
        """Whether evidence is about how cylinders run, and not about a sign or the look of a component."""
        factors, _, counts = said
        return bool(counts) or any(not self.model.observables[key].sign for keys, _, _ in factors for key in keys)

    def misses(self, cylinders, clean, conditions):
        """Chance in each world that the check of ``clean`` does not show all the cylinders to run clean."""
        check, finding = clean
        found = [1.0] * len(self.sets)
        for cylinder in cylinders:
            said = self.said(check, None, cylinder, finding, conditions)
            found = [a * b for a, b in zip(found, self.chances(said))]
        return [1.0 - p for p in found]

    def _seen(self, index, generation, by_state):
        """Chance of a look at a component that is at fault."""
        states = self.model.components[index].states
        shares = [w * by_state.get(states[path[generation]]["state"], 1.0) for w, path in self.mixes.get(index, [])]
        return sum(shares) if shares else by_state.get("good", 1.0)

    def _levels(self, keys):
        """Probability of each level of the largest over some observables, by world."""
        if keys not in self._by_keys:
            acting = {}
            for key in keys:
                for index, generation in self.model.observables[key].served:
                    if index in self.mixes:
                        acting.setdefault(index, []).append((key, generation))
            rows = {index: self._contribution(index, acting[index]) for index in sorted(acting)}
            held = self.known.get(keys[0]) if len(keys) == 1 else None
            self._by_keys[keys] = [self._levels_in(blamed, keys, rows, held) for blamed in self.sets]
        return self._by_keys[keys]

    def _contribution(self, index, serves):
        """P(what a faulty component gives to all of these <= level), over its paths."""
        component = self.model.components[index]
        levels = self.model.observables[serves[0][0]].levels
        total = [0.0] * levels
        for share, path in self.mixes[index]:
            row = [share] * levels
            for key, generation in serves:
                cumulative = self.model.observables[key].cumulative(component, path[generation])
                if cumulative:
                    row = [a * b for a, b in zip(row, cumulative)]
            total = [a + b for a, b in zip(total, row)]
        return total

    def _levels_in(self, blamed, keys, rows, held):
        cumulative = [1.0] * self.model.observables[keys[0]].levels
        for key in keys:
            cumulative = [a * b for a, b in zip(cumulative, self.model.observables[key].leak())]
        for index in blamed:
            if index in rows:
                cumulative = [a * b for a, b in zip(cumulative, rows[index])]
        shares = [b - a for a, b in zip([0.0] + cumulative, cumulative)]
        if held:
            before = sum([s * h for s, h in zip(shares, held)])
            if before > 1e-12:
                return [s * h / before for s, h in zip(shares, held)]
        return shares


def _mix(diagnosis, index):
    """The paths of a component that is at fault now, with their shares: a list of (share, path)."""
    rows = [(p, path) for p, path in zip(diagnosis.marginals[index], diagnosis.model.components[index].paths)]
    faulty = [(p, path) for p, path in rows if path[-1] != 0]
    total = sum([p for p, _ in faulty])
    return [(p / total, path) for p, path in faulty] if total > 0 else []


def _carried(mix, component):
    """The same shares over the paths of ``component``, which may have grown by connectors seated anew."""
    rows = []
    for share, path in mix:
        grown = [(w, p) for w, p in zip(component.weights, component.paths) if p[: len(path)] == path]
        total = sum([w for w, _ in grown])
        rows += [(share * w / total, p) for w, p in grown if total > 0]
    return rows


def _known_levels(model):
    """What findings on one observable alone say of its level: {observable key: chance by level}.

    A level is drawn once for a stretch, so that the same question asked again there tells little new.
    """
    known = {}
    for keys, chances, _ in model.factors:
        if len(keys) == 1:
            held = known.get(keys[0])
            known[keys[0]] = [a * b for a, b in zip(held, chances)] if held else list(chances)
    return known


def _count_chance(clean, chances):
    """Chance of a finding on how many cylinders miss, given the chance of each to run clean."""
    none, one = 1.0, 0.0
    for p in clean:
        none, one = none * p, one * p + none * (1.0 - p)
    return chances[0] * none + chances[1] * one + chances[2] * (1.0 - none - one)
