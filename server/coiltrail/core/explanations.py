"""The leading explanations, and why: which sets of faults account for the findings, and what speaks for each.

An explanation is a set of suspects at fault while the other suspects are sound; everything that is no suspect
is summed out. Its weight is exact, and so is the remainder: one minus the weights listed.
"""

import math

from . import casefile, checks, faults, grading, readings, seen, strength, whereabouts
from .gradually import finish
from .tongue import phrase

MOST_SUSPECTS = 8
LEAST_SUSPICION = 0.015  # a component below this is summed out, not named
MOST_TRIED = 32  # sets of faults weighed for one list


class Diagnosis:
    """The posterior of one folded case, with what screens ask of it.

    ``later`` true: nothing is known until the steps of ``diagnosing()`` are run.
    """

    def __init__(self, case, later=False):
        self.case = case
        self.model = readings.model_of(case)
        self.posterior = whereabouts.posterior_of(case, self.model)
        if not later:
            finish(self.diagnosing())

    def diagnosing(self):
        """Work everything out, in steps (``gradually``)."""
        self.set_aside = []
        self.heard = None  # ids of the entries whose evidence counts; all when None
        self._standing = {}  # component -> what ``standing`` found
        yield from self.posterior.solving()
        if not self.posterior.evidence > 0.0:
            yield from self._setting_aside()
        self.marginals = yield from self.posterior.marginal_steps()
        self.suspects = self._suspects()
        self.running = self._cylinders()
        self.listed, self.rest = yield from self._explaining()

    def _setting_aside(self):
        """Leave out, in the log's order, each entry that cannot be true together with those before it."""
        taken = set()
        speaking = [entry for _, group in self._groups() for entry in group]
        for entry in [None] + speaking:
            tried = taken | {entry["id"]} if entry else taken
            model = readings.model_of(self.case, tried)
            solved = whereabouts.posterior_of(self.case, model, tried)
            yield from solved.solving()
            if solved.evidence > 0.0:
                taken, self.model, self.posterior = tried, model, solved
                self.heard = taken
            else:
                self.set_aside.append(entry)

    def contradictions(self):
        """What cannot both be, as ``readings.contradictions``, and what was set aside since it cannot be at all."""
        told = [
            {
                "text": phrase(
                    "{found}: by our tables this cannot be true together with what was found before it; "
                    "it is left out. Strike what is wrong.",
                    found=casefile.row_text(entry, self.case.engine),
                ),
                "entries": [entry["id"]],
            }
            for entry in self.set_aside
        ]
        return readings.contradictions(self.case) + told

    def fault(self, index):
        """Probability that component ``index`` is at fault now."""
        component = self.model.components[index]
        return sum(p for p, path in zip(self.marginals[index], component.paths) if path[-1] != 0)

    def ever(self, index):
        """Probability that component ``index`` is or was at fault (a connector may have become good when reseated)."""
        component = self.model.components[index]
        return sum(p for p, path in zip(self.marginals[index], component.paths) if path[0] != 0)

    def standing(self, index):
        """(place, cylinders) where the component is now; (None, []) when it is off the engine or was mended since."""
        if index not in self._standing:
            self._standing[index] = self._found_standing(index)
        return self._standing[index]

    def _found_standing(self, index):
        component = self.model.components[index]
        if not self.model.stands(index):
            return None, []
        if component.part is not None:
            place = self.case.trails.get(component.part).place
            if "." not in place:
                return None, []
            kind, _, position = place.partition(".")
            return place, list(self.case.engine.served_by(kind, int(position)))
        end = len(self.case.log)
        served = [c for c in self.case.engine.numbers if index in [i for i, _ in self.model.serving(c, end)]]
        return None, served

    def components(self):
        """Every component with its states' probabilities, the most suspect first."""
        rows = []
        for index, component in enumerate(self.model.components):
            place, cylinders = self.standing(index)
            sums = [0.0] * len(component.states)
            for p, path in zip(self.marginals[index], component.paths):
                sums[path[-1]] += p
            rows.append(
                {
                    "component": component.name,
                    "kind": component.kind,
                    "kind_label": phrase(faults.BY_KIND[component.kind]["label"]),
                    "label": component.label,
                    "part": component.part,
                    "place": place,
                    "cylinders": cylinders,
                    "states": [
                        {"state": state["state"], "label": phrase(state["label"]), "p": p}
                        for state, p in zip(component.states, sums)
                    ],
                    "fault": self.fault(index),
                    "prior": 1.0 - component.prior[0],
                }
            )
        # Rounded, so that two that are alike stand by their names.
        return sorted(rows, key=lambda row: (-billionths(row["fault"]), row["component"]))

    def _cylinders(self):
        end = len(self.case.log)
        rows = []
        for cylinder in self.case.engine.numbers:
            serving = [i for i, _ in self.model.serving(cylinder, end)]
            local = [i for i in serving if len(self.standing(i)[1]) < max(2, self.case.engine.cylinders)]
            full = self.posterior.runs_full(cylinder)
            rows.append(
                {
                    "cylinder": cylinder,
                    "misses": 1.0 - full,
                    "suspicion": max([self.fault(i) for i in local] or [0.0]),
                }
            )
        return rows

    def cylinders(self):
        """For each cylinder as the engine stands now: how likely it misses, and its worst suspect."""
        return self.running

    def _suspects(self):
        rows = []
        for index, component in enumerate(self.model.components):
            ever = self.ever(index)
            if ever >= LEAST_SUSPICION and ever > 1.2 * (1.0 - component.prior[0]):
                rows.append((-billionths(ever), component.name, index))
        return [index for _, _, index in sorted(rows)[:MOST_SUSPECTS]]

    def named(self):
        """Names of the components that a repair is likely about: the suspects, and what a look found not well."""
        found = list(self.suspects)
        checked = {entry["id"]: entry for _, entry in self.case.of_kind("check")}
        for index, _, _, entry in self.model.looks:
            if index in found or entry not in checked:
                continue
            finding = grading.finding_of(self.case, checked[entry])
            if not checks.went_well(checked[entry]["body"]["check"], finding):
                found.append(index)
        return [self.model.components[index].name for index in found]

    def weight(self, blamed, solved=None):
        """Joint probability of the evidence with exactly these suspects at fault and the other suspects sound.

        ``solved``: the posterior whose evidence counts; that of all findings where it is not given.
        """
        solved = solved or self.posterior
        clamped = {}
        for index in self.suspects:
            paths = self.model.components[index].paths
            clamped[index] = [k for k, path in enumerate(paths) if (path[0] != 0) == (index in blamed)]
        return solved.jointly(clamped)

    def _explaining(self):
        total = self.posterior.evidence
        weighed = {}
        for index in self.suspects:
            weighed[(index,)] = self.weight((index,)) / total
            yield
        widened = None
        # Widen the heaviest set until widening gives no heavier one: more at fault at once only where it pays.
        while weighed:
            best = min(weighed, key=lambda blamed: (-weighed[blamed], blamed))
            if best == widened or len(weighed) >= MOST_TRIED:
                break
            widened = best
            for index in self.suspects:
                wider = tuple(sorted(set(best) | {index}))
                if wider not in weighed:
                    weighed[wider] = self.weight(wider) / total
                    yield
        ranked = sorted(weighed, key=lambda blamed: (-weighed[blamed], blamed))
        listed = [(blamed, weighed[blamed]) for blamed in ranked if weighed[blamed] >= 0.01][:8]
        return listed, max(0.0, 1.0 - sum(p for _, p in listed))

    def explanations(self):
        """The listed explanations as plain data."""
        return [
            {
                "index": number,
                "faults": [self._fault_row(index) for index in blamed],
                "label": phrase(", and ").join(self.label(index) for index in blamed),
                "cause": phrase(", and ").join(self.cause(index) for index in blamed),
                "p": p,
                "entries": self._entries_on(blamed),
            }
            for number, (blamed, p) in enumerate(self.listed)
        ]

    def label(self, index):
        """A component at fault in words, with its likeliest fault."""
        state, gone = self._likeliest(index)
        return _at_fault(self.case, self.model.components[index], state, gone)

    def cause(self, index):
        """The same by the damage that was seen at it, where there is any: "Spark plug 5: insulator cracked"."""
        component = self.model.components[index]
        state, gone = self._likeliest(index)
        return _at_fault(self.case, component, state, gone, seen.words(seen.at(self.case, component.name)))

    def _likeliest(self, index):
        """The likeliest fault of a component: its state, and whether pressing it on again ended it."""
        component = self.model.components[index]
        best = max(
            (k for k, path in enumerate(component.paths) if path[0] != 0), key=lambda k: (self.marginals[index][k], -k)
        )
        path = component.paths[best]
        return component.states[path[0]]["state"], path[-1] == 0

    def now_at(self, index):
        """ " (now at 1)" for a part that is not where it came; else nothing."""
        return _now_at(self.case, self.model.components[index])

    def _fault_row(self, index):
        component = self.model.components[index]
        state, gone = self._likeliest(index)
        return {
            "component": component.name,
            "kind": component.kind,
            "label": component.label,
            "part": component.part,
            "state": state,
            "gone": gone,
        }

    def _entries_on(self, blamed):
        """Entries whose evidence touches one of these components, in the log's order."""
        touched = set()
        for keys, _, entry in self.model.factors:
            for key in keys:
                if any(index in blamed for index, _ in self.model.observables[key].served):
                    touched.add(entry)
        for segments, _, entry in self.model.counts:
            signs = [self.model.observables[key] for segment in segments for key in segment]
            if any(o.sign and index in blamed for o in signs for index, _ in o.served):
                touched.add(entry)
        for index, _, _, entry in self.model.looks:
            if index in blamed:
                touched.add(entry)
        return [entry["id"] for entry in self.case.log if entry["id"] in touched]

    def why(self, number):
        """Weights of evidence, in decibans, for explanation ``number`` against its best rival.

        A rival leaves something of the explanation out: one that blames the same and more would not say why.
        Taken one after the other in the log's order, so that prior and rows add up to the log odds
        (Good 1950). Findings of one check taken in a row, with nothing moved or repaired between, are one row. In
        steps (``gradually``).
        """
        if not 0 <= number < len(self.listed):
            raise ValueError(
                phrase("There is no explanation {number}; ask again, the list has changed.", number=number)
            )
        blamed = self.listed[number][0]
        rivals = [other for other, _ in self.listed if not set(blamed) <= set(other)]
        rival = rivals[0] if rivals else ()
        solved = whereabouts.posterior_of(self.case, self.model, self.heard, every_level=True)
        yield from solved.solving()

        def odds(only):
            solved.given(lambda model: model.limited_to(only))
            ours, theirs = self.weight(blamed, solved), self.weight(rival, solved)
            return decibans(ours / max(theirs, 1e-300))

        taken = set()
        before = odds(taken)
        prior = before
        rows = []
        for changed, group in self._groups():
            taken = taken | {entry["id"] for entry in group}
            after = odds(taken)
            rows.append(
                {
                    "entry": group[0]["id"],
                    "entries": [entry["id"] for entry in group],
                    "text": _row_text(self.case.engine, changed, group),
                    "decibans": after - before,
                    "words": strength.words(after - before),
                    "odds": strength.odds(after - before),
                }
            )
            before = after
            yield
        return {
            "label": phrase(", and ").join(self.label(index) for index in blamed),
            "rival": phrase(", and ").join(self.label(index) for index in rival) or phrase("something else"),
            "prior": prior,
            "prior_words": strength.words(prior),
            "prior_odds": strength.odds(prior),
            "rows": rows,
            "total": before,
            "total_words": strength.ahead(before),
            "total_odds": strength.odds(before),
            "scale": strength.scale(),
        }

    def _groups(self):
        """Entries that are evidence, in order, as (what was moved or repaired just before, entries).

        A run of findings of one check is one group.
        """
        speaking = {entry for _, _, entry in self.model.factors}
        speaking |= {entry for _, _, entry in self.model.counts} | {entry for _, _, _, entry in self.model.looks}
        groups, changed = [], []
        for _, entry in self.case.counted:
            if entry["kind"] in ("parts_moved", "repair"):
                changed.append(entry)
            if entry["id"] not in speaking:
                continue
            last = groups[-1][1][-1] if groups else None
            same = last and last["kind"] == entry["kind"] == "check" and last["body"]["check"] == entry["body"]["check"]
            if same and not changed:
                groups[-1][1].append(entry)
            else:
                groups.append((changed, [entry]))
            changed = []
        return groups


def _row_text(engine, changed, group):
    found = casefile.round_text(group)
    if not changed:
        return found
    done = "; ".join(casefile.row_text(entry, engine) for entry in changed)
    return phrase("After \u201c{done}\u201d: {found}", done=done, found=found)


def _at_fault(case, component, state, gone, damage=""):
    """A component at fault in words; ``damage``: what was seen at it, which pressing it on again does not end."""
    labels = {each["state"]: each["label"] for each in component.states}
    told = damage if damage and not gone else labels[state] and phrase(labels[state])
    words = "%s: %s" % (component.label, told) if told else component.label
    if gone and damage:
        words = "%s (%s)" % (words, damage)
    if gone:
        words = phrase("{fault}, gone since it was pressed on again", fault=words)
    words += _now_at(case, component)
    return words[0].upper() + words[1:]


def _now_at(case, component):
    part = case.trails.get(component.part)
    if part is None or "." not in part.place or part.place == "%s.%s" % (part.kind, part.came_at):
        return ""
    return " " + phrase("(now at {place})", place=part.place.partition(".")[2])


def billionths(p):
    """A probability as a whole number of billionths: two that are alike but for rounding are equal."""
    return int(p * 1e9 + 0.5)


def decibans(odds):
    """Ten times the decimal logarithm of odds (Good 1950)."""
    return 10.0 * math.log(max(odds, 1e-300)) / math.log(10.0)
