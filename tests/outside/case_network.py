"""A Bayesian network of a case, drawn with pyAgrum from the log and the published meaning of the tables.

Written a second time, for the tests: it takes the order of the entries and the layout of the engine from the fold,
the numbers from ``evidence.py`` and ``faults.py`` (and from ``code_memory.py`` which codes speak by their absence), and
shares no other code with the diagnosis. A noisy maximum (Henrion 1989; Diez 1993) is a chain of nodes, each the larger
of the one before it and what one component contributes, so that no table grows with the number of components.
"""

import itertools
import math

import pyagrum as gum

from coiltrail.core import code_memory, codes, evidence, faults
from tests.outside.case_history import PARTS, History, places_serving

LEVELS = 4


class CaseNetwork:
    """The network of one folded case: ``net``, and ``likelihoods``, node -> chance of the findings by its value.

    ``states``: (component, generation) -> node. A component is (kind, where, times mended), ``where`` being the id of
    a part or the place of what is none. ``free``: the (kind, where) that can fail, all others being held good;
    everything where None.
    """

    def __init__(self, case, free: set[tuple[str, str]] | None = None):
        self.net = gum.BayesNet()
        self.likelihoods: dict[str, list[float]] = {}
        self.states: dict[tuple, str] = {}
        self.engine = case.engine
        self.free = free
        self.history = History(case.engine, case.case, dict(case.counted), len(case.log))
        self._made: dict[tuple, str] = {}
        self._read(case)

    def posterior(self) -> tuple[dict[tuple, list[float]], float]:
        """({(component, generation): probability of each state}, probability of the evidence)."""
        inference = self._inference()
        inference.makeInference()
        found = {key: list(inference.posterior(node).toarray()) for key, node in self.states.items()}
        return found, inference.evidenceProbability()

    def size(self) -> int:
        """How many numbers the tables of the junction tree hold: what the inference costs."""
        tree = self._inference().junctionTree()
        cliques = [[self.net.variable(node).domainSize() for node in tree.clique(n)] for n in tree.nodes()]
        return sum(math.prod(sizes) for sizes in cliques)

    def _inference(self) -> gum.LazyPropagation:
        inference = gum.LazyPropagation(self.net)
        inference.setEvidence(self.likelihoods)
        inference.setTargets(set(self.states.values()))
        return inference

    # Nodes

    def _node(self, size: int, parents: list[str], table) -> str:
        """A node with ``table``: a function from the parents' values to the shares of its own values."""
        name = f"n{self.net.size()}"
        self.net.add(gum.RangeVariable(name, name, 0, size - 1))
        for parent in parents:
            self.net.addArc(parent, name)
        sizes = [self.net.variable(parent).domainSize() for parent in parents]
        # In one list, in which the node's own values run fastest and those of the last parent slowest.
        rows = (table(*reversed(values)) for values in itertools.product(*map(range, reversed(sizes))))
        self.net.cpt(name).fillWith(list(itertools.chain.from_iterable(rows)))
        return name

    def _once(self, key: tuple, make) -> str:
        if key not in self._made:
            self._made[key] = make()
        return self._made[key]

    def _tell(self, node: str | None, chances) -> None:
        if node is None:  # a level that is always the lowest: the finding tells nothing
            return
        held = self.likelihoods.setdefault(node, [1.0] * self.net.variable(node).domainSize())
        self.likelihoods[node] = [a * b for a, b in zip(held, chances, strict=True)]

    def _state(self, kind: str, where: str, moment: int) -> str | None:
        """The state of what served at ``where`` (a place) at ``moment``; None where that is held good."""
        now = self.history.moments[moment]
        if kind in PARTS:
            thing = now.seats[kind, int(where)]
            component = (kind, thing.id, now.part_mended.get(thing, 0))
            fresh, generation = ("mended" if component[2] else thing.fresh), 0
        else:
            name = kind + ("@" + where if where else "")
            component = (kind, where, now.place_mended.get(name, 0))
            fresh = "mended" if component[2] else None
            generation = now.pressed.get(name, 0) if kind == "coil_connector" else 0
        if self.free is not None and component[:2] not in self.free:
            return None
        return self._generation(component, fresh, generation)

    def _generation(self, component: tuple, fresh: str | None, generation: int) -> str:
        declared = faults.BY_KIND[component[0]]["states"]
        names = [state["state"] for state in declared]

        def first():
            return self._node(len(names), [], lambda: _prior(declared, fresh))

        def again():
            before = self._generation(component, fresh, generation - 1)
            return self._node(len(names), [before], lambda was: _pressed_on(names, was))

        key = (component, generation)
        if key not in self.states:
            self.states[key] = again() if generation else first()
        return self.states[key]

    def _largest(self, levels: int, leak, sources) -> str:
        """The largest of the leak and of what each source gives: (node, shares of the levels by its value).

        None where it is always the lowest level.
        """
        node = None
        for source, rows in sources:
            rows = [row or [1.0] + [0.0] * (levels - 1) for row in rows]
            if node is None:
                node = self._node(levels, [source], lambda value, rows=rows: _larger(leak, rows[value]))
            else:
                node = self._node(
                    levels,
                    [node, source],
                    lambda held, value, rows=rows: _larger([float(m == held) for m in range(levels)], rows[value]),
                )
        return node or (self._node(levels, [], lambda: leak) if leak[0] < 1.0 else None)

    def _maximum(self, nodes: list[str | None]) -> str | None:
        """The largest of some nodes of one size, without noise."""
        held = None
        for node in nodes:
            if node is None or held is None:
                held = node or held
                continue
            size = self.net.variable(node).domainSize()
            held = self._node(size, [held, node], lambda a, b, size=size: [float(m == max(a, b)) for m in range(size)])
        return held

    # What serves what

    def _serving(self, cylinder: int, moment: int):
        """(kind, node) of everything whose fault can make the cylinder miss, the engine's own components first."""
        for kind in sorted(faults.BY_KIND, key=lambda k: faults.BY_KIND[k]["belongs"] not in ("engine", "distributor")):
            belongs = faults.BY_KIND[kind]["belongs"]
            if belongs == "distributor" and self.engine.ignition != "distributor":
                continue
            where = [str(self._position(kind, cylinder))] if kind in PARTS else self._places(kind, cylinder)
            for place in where:
                state = self._state(kind, place, moment)
                if state:
                    yield kind, state

    def _places(self, kind: str, cylinder: int):
        return list(places_serving(self.engine, kind, cylinder))

    def _position(self, kind: str, cylinder: int) -> int:
        if kind != "coil":
            return cylinder
        return next(k for k, fired in enumerate(self.engine.coils, 1) if cylinder in fired)

    def _runs(self, cylinder: int, moment: int, condition: str) -> str:
        """How the cylinder runs in the stretch of ``moment`` under a condition."""
        stretch = self.history.moments[moment].stretch[cylinder]
        return self._once(("runs", cylinder, stretch, condition), lambda: self._new_runs(cylinder, moment, condition))

    def _new_runs(self, cylinder: int, moment: int, condition: str) -> str:
        sources, mechanisms = [], {}
        for kind, node in self._serving(cylinder, moment):
            profiles = [state["profile"] for state in faults.BY_KIND[kind]["states"]]
            if faults.BY_KIND[kind]["belongs"] == "engine":
                # Engine-wide faults that act alike act through one mechanism, once.
                [profile] = profiles[1:]
                if profile:
                    mechanisms.setdefault(profile, []).append(node)
            else:
                sources.append((node, [_shares(p, condition) if p else None for p in profiles]))
        acting = [(self._any_of(nodes), [None, _shares(profile, condition)]) for profile, nodes in mechanisms.items()]
        return self._largest(LEVELS, [1.0, 0.0, 0.0, 0.0], acting + sources)

    def _any_of(self, nodes: list[str]) -> str:
        return self._once(("any", *nodes), lambda: self._maximum(nodes))

    def _sign(self, sign: str, nodes) -> str:
        """A sign, drawn anew: the largest of its leak and what the components (kind, node) give."""
        declared = evidence.SIGNS[sign]
        sources = []
        for kind, node in nodes:
            states = [state["state"] for state in faults.BY_KIND[kind]["states"]]
            rows = [declared["sources"].get((kind, state)) for state in states]
            if any(rows):
                sources.append((node, rows))
        return self._largest(declared["levels"], declared["leak"], sources)

    def _whole(self, moment: int):
        """(kind, node) of everything that belongs to the engine as a whole."""
        for kind, node in self._serving(1, moment):
            if faults.BY_KIND[kind]["belongs"] in ("engine", "distributor"):
                yield kind, node

    def _missing(self, moment: int, condition: str) -> str:
        """How many cylinders miss in the segment of ``moment``: none, one, several (2)."""
        runs = [self._runs(cylinder, moment, condition) for cylinder in self.engine.numbers]
        runs = [node for node in runs if node]

        def count():
            if not runs:
                return None
            held = self._node(3, [runs[0]], lambda level: [float(n == (level > 0)) for n in range(3)])
            for node in runs[1:]:
                held = self._node(
                    3, [held, node], lambda before, level: [float(n == min(2, before + (level > 0))) for n in range(3)]
                )
            return held

        return self._once(("missing", *runs), count)

    # What the log says

    def _read(self, case) -> None:
        latest, benched = {}, {}
        for moment, entry in case.counted:
            if entry["kind"] == "part_fate":
                benched[entry["body"]["part"]] = (moment, entry["body"])
            elif entry["kind"] == "check":
                latest[self._subject(entry["body"], moment)] = (moment, entry["body"])
            elif entry["kind"] == "complaint":
                self._complaint(entry["body"], moment)
            elif entry["kind"] == "road_test":
                self._road_test(entry["body"], moment)
        for moment, body in latest.values():
            self._check(body, moment)
        for moment, body in benched.values():
            self._bench(body, moment)
        self._codes(case)
        # A connector is known by what it was before it was pressed on anew, also where nothing was found since.
        for moment in range(len(self.history.moments)):
            for position in range(1, len(self.engine.coils) + 1):
                self._state("coil_connector", str(position), moment)

    def _subject(self, body: dict, moment: int) -> tuple:
        """Of a check made again on the same thing in the same stretch and condition only the last counts."""
        now = self.history.moments[moment]
        cylinders = self._cylinders(body)
        if body["check"] == "rpm_effect":
            cylinders = list(self.engine.numbers)
        if cylinders:
            stretch = tuple(now.stretch[c] for c in cylinders)
        else:
            kinds = {kind for sign, _ in self._signs_of(body["check"]) for kind, _ in evidence.SIGNS[sign]["sources"]}
            stretch = tuple(sorted(item for item in now.place_mended.items() if item[0].partition("@")[0] in kinds))
        return body["check"], body.get("place"), body.get("cylinder"), stretch, tuple(body.get("conditions") or ())

    def _signs_of(self, check: str) -> list[tuple[str, dict[str, int]]]:
        """(sign, its level by finding) of all that a check shows."""
        more = [(sign, levels) for name, sign, levels in evidence.MORE_SIGNS if name == check]
        return more + [shown for name, shown in evidence.CHECK_SIGNS.items() if name == check]

    def _cylinders(self, body: dict) -> list[int]:
        if body.get("cylinder"):
            return [body["cylinder"]]
        if not body.get("place"):
            return []
        kind, _, position = body["place"].partition(".")
        return list(self.engine.coils[int(position) - 1]) if kind == "coil" else [int(position)]

    def _check(self, body: dict, moment: int) -> None:
        check, finding = body["check"], body["finding"]
        cylinders = self._cylinders(body)
        position = int(body["place"].partition(".")[2]) if body.get("place") else None
        if check in evidence.RUNNING:
            conditions = body.get("conditions") or ()
            condition = ("load" if "load" in conditions else "idle") + ("+wet" if "wet" in conditions else "")
            self._tell(self._runs(cylinders[0], moment, condition), evidence.RUNNING[check][finding])
        elif check == "rpm_effect":
            self._tell(self._missing(moment, "load"), evidence.COUNTED[finding])
        for sign, levels in self._signs_of(check):
            # A reading of the whole engine, or of a coil for several cylinders, sees what belongs to any of them.
            serving = {pair: None for c in cylinders or self.engine.numbers for pair in self._serving(c, moment)}
            if finding in levels:
                self._shows(self._sign(sign, serving), levels[finding])
        for (looked, kind), rows in evidence.LOOKS.items():
            state = self._state(kind, str(position), moment) if looked == check else None
            if state:
                self._look(state, kind, rows, finding)

    def _bench(self, body: dict, moment: int) -> None:
        """A part on the bench, off the engine; ``moment`` is after it was taken off."""
        seats = [(m, seat, thing) for m in range(moment) for seat, thing in self.history.moments[m].seats.items()]
        m, (kind, position), _ = [row for row in seats if row[2].id == body["part"]][-1]
        state = self._state(kind, str(position), m)
        results = evidence.BENCH[kind]
        if state and body.get("bench") in results:
            self._tell(state, [results[body["bench"]][told["state"]] for told in faults.BY_KIND[kind]["states"]])

    def _look(self, node: str, kind: str, rows: dict, finding: str) -> None:
        states = [state["state"] for state in faults.BY_KIND[kind]["states"]]
        if finding in rows:
            self._tell(node, [rows[finding][state] for state in states])
        elif len(rows) == 1:  # the one defect that the look would have shown was not there
            [shown] = rows.values()
            self._tell(node, [1.0 - shown[state] for state in states])

    def _shows(self, node: str | None, level: int) -> None:
        if node:
            self._tell(node, [float(m == level) for m in range(self.net.variable(node).domainSize())])

    def _complaint(self, body: dict, moment: int) -> None:
        missing = set(body.get("symptoms") or ()) & set(evidence.SYMPTOMS_OF_MISSING)
        if not missing and body.get("lamp") not in ("flashing", "flashed"):
            return
        when = set(body.get("circumstances") or ())
        partly = "always" not in when
        wet = partly and "wet" in when
        self._tell(self._missing(moment, "drive+wet" if wet else "drive"), evidence.COUNTED["complaint"])
        opposites = [("drive", wet), ("load", partly and "idle" in when and "load" not in when)]
        opposites.append(("idle", partly and "load" in when and "idle" not in when))
        for condition, named in opposites:
            if named:
                self._tell(self._missing(moment, condition), evidence.COUNTED["not_then"])

    def _road_test(self, body: dict, moment: int) -> None:
        condition = "drive+wet" if "wet" in (body.get("conditions") or ()) else "drive"
        self._tell(self._missing(moment, condition), evidence.COUNTED["felt_" + body["felt"]])
        for row in body.get("counts") or ():
            few = row["count"] <= 3 or row["count"] < 0.05 * max(other["count"] for other in body["counts"])
            grade = "none" if few else "some" if row["count"] < 50 else "many"
            self._tell(self._runs(row["cylinder"], moment, condition), evidence.RUNNING["misfire_counts"][grade])
        counted = [row["cylinder"] for row in body.get("counts") or ()]
        for cylinder in set(body.get("missed") or ()) - set(counted) if body["felt"] != "none" else ():
            self._tell(self._runs(cylinder, moment, condition), evidence.MISFIRE_CODE)

    # Codes

    def _codes(self, case) -> None:
        """A code speaks of the time since codes were last cleared, or since a complete reading without it."""
        cleared, driven, known, absent, own_doing, permanent = 0, True, set(), {}, set(), set()
        for moment, entry in case.counted:
            body = entry["body"]
            if entry["kind"] == "codes_cleared":
                cleared, driven, known, absent, own_doing = moment, False, set(), {}, set()
            elif entry["kind"] == "road_test":
                driven = True
            elif entry["kind"] == "check" and body["check"] == "drop":
                own_doing |= self._set_by(body)
            elif entry["kind"] == "codes_read":
                statuses = {}
                for row in body["codes"]:
                    for subject in self._subjects(row["code"]):
                        statuses.setdefault(subject, set()).add(row["status"])
                named = any(kind == "misfire" for kind, _ in statuses)
                # A multiple misfire code alone stands for cylinders that it does not name.
                unnamed = ("misfire_random", 0) in statuses and not any(kind == "misfire" for kind, _ in statuses)
                for subject in sorted(statuses.keys() | self._expected()):
                    if subject not in statuses and unnamed and subject[0] == "misfire":
                        continue
                    start = absent.get(subject, cleared)
                    if subject in known | own_doing:
                        continue
                    if statuses.get(subject) == {"permanent"}:
                        # It outlives clearing, so it speaks of all the time there was, and only once.
                        if subject not in permanent:
                            permanent.add(subject)
                            self._code(subject, True, 0, moment, self._frame(body, subject))
                    elif subject in statuses:
                        known.add(subject)
                        self._code(subject, True, start, moment, self._frame(body, subject))
                    elif subject[0] == "misfire" and ("misfire_random", 0) in statuses and not named:
                        pass  # the code for several cylinders stands in the place of theirs
                    elif body.get("complete") and driven and subject in self._expected():
                        absent[subject] = moment
                        self._code(subject, False, start, moment)

    def _set_by(self, body: dict) -> set:
        """Codes that a drop test set by unplugging."""
        [cylinder] = self._cylinders(body)
        if body.get("disabled") == "coil":
            coil = self._position("coil", cylinder)
            return {("misfire", c) for c in self.engine.coils[coil - 1]} | {
                ("misfire_random", 0),
                ("coil_circuit", coil),
            }
        if body.get("disabled") == "injector":
            return {("misfire", cylinder), ("misfire_random", 0), ("injector_circuit", cylinder)}
        return set()

    def _subjects(self, code: str):
        kind, number = codes.kind_of(code), codes.cylinder_of(code)
        if kind in ("misfire", "injector_circuit", "coil_circuit"):
            most = len(self.engine.coils) if kind == "coil_circuit" else self.engine.cylinders
            return [(kind, number)] if number <= most else []
        if kind == "misfire_random":
            return [(kind, 0)]
        return [(sign, 0) for sign, kinds in evidence.ENGINE_CODES if kind in kinds]

    def _expected(self) -> set:
        """Codes whose absence from a complete reading says something."""
        numbers = {"misfire": self.engine.numbers, "injector_circuit": self.engine.numbers}
        numbers["coil_circuit"] = range(1, len(self.engine.coils) + 1)
        return {(kind, number) for kind in code_memory.ABSENCE_SPEAKS for number in numbers.get(kind, [0])}

    def _frame(self, body: dict, subject: tuple) -> str:
        """When a code was set: at idle or under load as its freeze frame shows, else on the drive."""
        frame = body.get("freeze_frame")
        if not frame or subject not in self._subjects(frame["code"]):
            return "drive"
        return "idle" if frame["rpm"] < 1100 else "load" if frame["rpm"] >= 1800 else "drive"

    def _code(self, subject: tuple, present: bool, start: int, moment: int, when: str = "drive") -> None:
        kind, number = subject
        chances = {"misfire": evidence.MISFIRE_CODE, "misfire_random": evidence.COUNTED["random_code"]}.get(kind)
        if chances and not present:
            chances = [1.0 - p for p in chances]
        if kind == "misfire":
            runs = [self._runs(number, m, when) for m in self._stretches([number], start, moment)]
            self._tell(self._maximum([*runs, self._sign("false_code", self._whole(moment))]), chances)
        elif kind == "misfire_random":
            segments = self._stretches(self.engine.numbers, start, moment)
            self._tell(self._maximum([self._missing(m, when) for m in segments]), chances)
        elif kind in ("coil_circuit", "injector_circuit"):
            sign = "circuit_code" if kind == "coil_circuit" else "injector_code"
            cylinders = self.engine.coils[number - 1] if kind == "coil_circuit" else [number]
            spans = self._stretches(cylinders, start, moment)
            signs = [self._sign(sign, list(self._serving(cylinders[0], m))) for m in spans]
            self._shows(self._maximum(signs), int(present))
        else:
            self._shows(self._sign(kind, self._whole(moment)), int(present))

    def _stretches(self, cylinders, start: int, moment: int) -> list[int]:
        """One moment of each stretch (of all these cylinders together) from ``start`` to ``moment``."""
        found = {}
        for m in range(start, moment + 1):
            found.setdefault(tuple(self.history.moments[m].stretch[c] for c in cylinders), m)
        return list(found.values())


def _larger(a, b) -> list[float]:
    """Distribution of the larger of two independent levels."""
    shares = [0.0] * len(a)
    for (i, p), (j, q) in itertools.product(enumerate(a), enumerate(b)):
        shares[max(i, j)] += p * q
    return shares


def _shares(profile: str, condition: str) -> list[float]:
    """Shares of the levels that one fault of this profile gives under a condition."""
    rows = faults.PROFILES[profile]
    base, _, weather = condition.partition("+")
    if weather and "wet" in rows:
        return list(rows["wet"])
    if base != "drive":
        return list(rows[base])
    # Driven means idle and load: each level is reached at least as often as in the worse of the two.
    at_least = [max(sum(rows["idle"][m:]), sum(rows["load"][m:])) for m in range(LEVELS)] + [0.0]
    return [at_least[m] - at_least[m + 1] for m in range(LEVELS)]


def _prior(states: list[dict], fresh: str | None) -> list[float]:
    usual = [state["prior"] for state in states[1:]]
    if fresh:
        bad = faults.NEW_PART_BAD if fresh == "new" else faults.MENDED_BAD
        usual = [bad * share / sum(usual) for share in usual]
    return [1.0 - sum(usual), *usual]


def _pressed_on(names: list[str], was: int) -> list[float]:
    """What a connector is like after it was taken off and pressed on again."""
    mends = faults.RESEAT_MENDS.get(names[was], 0.0)
    shares = [mends] + [0.0] * (len(names) - 1)
    shares[was] += 1.0 - mends
    return shares
