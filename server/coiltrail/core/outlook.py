"""What a check or a swap would show in each world, by the same model that weighs findings once they are made.

A finding that is only thought of goes through ``readings.take_check`` like a recorded one, and a swap through the
fold like a recorded move, so that nothing about evidence is said a second time here. Two things are simplified:
in each world only its own faults act, each in its states as the posterior has them on the whole.
"""

from . import casefile, checks, readings
from .model import Model

THOUGHT = "thought"  # id of an entry that is not recorded


class Outlook:
    """Chances of findings in the worlds of a diagnosis."""

    def __init__(self, diagnosis, worlds):
        self.diagnosis = diagnosis
        self.case = diagnosis.case
        self.worlds = worlds
        self.model = Model(self.case)
        self.mixes = {index: _mix(diagnosis, index) for index in worlds.faults}
        self.known = _known_levels(diagnosis.model)

    def of_check(self, check, place=None, cylinder=None):
        """What a check would find: a list of ``(finding, [its chance in each world])``."""
        body = {"check": check}
        if place:
            body["place"] = place
        if cylinder:
            body["cylinder"] = cylinder
        rows = []
        for finding in checks.findings_of(check):
            body["finding"] = finding
            rows.append((finding, self._chances(self.case, self.model, body, self.mixes, self.known)))
        sums = [max(sum(row), 1e-12) for row in zip(*[chances for _, chances in rows])]
        return [(finding, [p / total for p, total in zip(chances, sums)]) for finding, chances in rows]

    def of_swap(self, kind, one, other):
        """Where the miss would be after a swap: [("follows" | "stays" | "gone" | "both", chances)]."""
        case = casefile.fold(self.case.log + [self._thought_move(kind, one, other)])
        model = Model(case)
        mixes = {index: _carried(mix, model.components[index]) for index, mix in sorted(self.mixes.items())}
        here = self._misses(case, model, mixes, case.engine.served_by(kind, one))
        there = self._misses(case, model, mixes, case.engine.served_by(kind, other))
        return [
            ("follows", [(1.0 - a) * b for a, b in zip(here, there)]),
            ("stays", [a * (1.0 - b) for a, b in zip(here, there)]),
            ("gone", [(1.0 - a) * (1.0 - b) for a, b in zip(here, there)]),
            ("both", [a * b for a, b in zip(here, there)]),
        ]

    def _misses(self, case, model, mixes, cylinders):
        """Chance in each world that a drop test shows any of the cylinders not to pull its full weight."""
        clean = [1.0] * len(self.worlds.sets)
        for cylinder in cylinders:
            body = {"check": "drop", "cylinder": cylinder, "finding": "full"}
            clean = [a * b for a, b in zip(clean, self._chances(case, model, body, mixes, {}))]
        return [1.0 - p for p in clean]

    def _chances(self, case, model, body, mixes, known):
        model.factors, model.looks, model.counts = [], [], []
        readings.take_check(model, case, len(case.log), {"id": THOUGHT, "kind": "check", "body": body})
        return [_chance(model, blamed, mixes, known) for blamed in self.worlds.sets]

    def _thought_move(self, kind, one, other):
        places = "%s.%d" % (kind, one), "%s.%d" % (kind, other)
        latest = max(max(e["at"][0], (e.get("when") or {}).get("ms", 0)) for e in self.case.log)
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


def _mix(diagnosis, index):
    """The paths of a component at fault now, with their shares: a list of (share, path)."""
    rows = [(p, path) for p, path in zip(diagnosis.marginals[index], diagnosis.model.components[index].paths)]
    faulty = [(p, path) for p, path in rows if path[-1] != 0]
    total = sum([p for p, _ in faulty])
    return [(p / total, path) for p, path in faulty] if total > 0 else []


def _carried(mix, component):
    """The same shares over the paths of ``component``, which may have grown by connectors seated anew."""
    if not mix:
        return []
    length = len(mix[0][1])
    rows = []
    for share, path in mix:
        grown = [(w, p) for w, p in zip(component.weights, component.paths) if p[:length] == path]
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


def _chance(model, blamed, mixes, known):
    """Chance of the evidence on ``model`` if exactly these components are at fault."""
    chance = 1.0
    for keys, chances, _ in model.factors:
        shares = _shares(model, keys, blamed, mixes)
        held = known.get(keys[0]) if len(keys) == 1 else None
        if held:
            before = sum([s * h for s, h in zip(shares, held)])
            if before > 1e-12:
                shares = [s * h / before for s, h in zip(shares, held)]
        chance *= sum([s * c for s, c in zip(shares, chances)])
    for index, generation, by_state, _ in model.looks:
        if index in blamed:
            states = model.components[index].states
            chance *= sum([w * by_state.get(states[path[generation]]["state"], 1.0) for w, path in mixes[index]])
        else:
            chance *= by_state.get("good", 1.0)
    for segments, chances, _ in model.counts:
        chance *= _count_chance([_shares(model, (key,), blamed, mixes)[0] for key in segments[0]], chances)
    return chance


def _shares(model, keys, blamed, mixes):
    """Probability of each level of the largest over ``keys``."""
    cumulative = [1.0] * model.observables[keys[0]].levels
    for key in keys:
        cumulative = [a * b for a, b in zip(cumulative, model.observables[key].leak())]
    for index in blamed:
        component = model.components[index]
        rows = [0.0] * len(cumulative)
        for share, path in mixes[index]:
            product = [share] * len(cumulative)
            for key in keys:
                for served, generation in model.observables[key].served:
                    if served == index:
                        row = model.observables[key].cumulative(component, path[generation])
                        if row:
                            product = [a * b for a, b in zip(product, row)]
            rows = [a + b for a, b in zip(rows, product)]
        cumulative = [a * b for a, b in zip(cumulative, rows)]
    return [b - a for a, b in zip([0.0] + cumulative, cumulative)]


def _count_chance(clean, chances):
    """Chance of a finding on how many cylinders miss, given the chance of each to run clean."""
    none, one = 1.0, 0.0
    for p in clean:
        none, one = none * p, one * p + none * (1.0 - p)
    return chances[0] * none + chances[1] * one + chances[2] * (1.0 - none - one)
