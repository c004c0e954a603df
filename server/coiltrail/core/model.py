"""The inference model of one case: components, what they contribute to, and the evidence on it.

A component has *paths* instead of states: one state for each of its generations, where a generation ends
when its connector is taken off and pressed on again. Most components have a single generation.

An *observable* is the largest of what every component that serves it contributes: how cylinder c runs in
its stretch s under a condition (levels 0 to 3), or a sign (a circuit code, a weak spark). A *factor* is a
likelihood of the largest of one or more observables; a *look* is a likelihood of one component's state; a
*count* is a likelihood of how many cylinders miss in one or more segments of time.
"""

from . import evidence, faults
from .tongue import phrase

OF_A_CYLINDER = ("boot", "plug", "injector") + tuple(
    kind["kind"] for kind in faults.KINDS if kind["belongs"] == "cylinder"
)


class Component:
    """One thing that can be at fault: ``name``, ``kind``, ``part`` (id or None), ``paths`` and ``weights``.

    ``paths``: list of tuples, the index of the state in each generation. ``weights``: prior of each path.
    ``adds_up`` false: with others of its profile at fault it acts through one mechanism (two air leaks make
    one lean engine), so that they contribute once together.
    """

    def __init__(self, name, kind, label, fresh=None, part=None, reseats=(), learned=None):
        self.name = name
        self.kind = kind
        self.label = label
        self.part = part
        self.reseats = list(reseats)
        self.states = faults.BY_KIND[kind]["states"]
        self.adds_up = faults.BY_KIND[kind]["belongs"] != "engine"
        self.prior = faults.prior(kind, fresh, learned)
        self.paths = [(index,) for index in range(len(self.prior))]
        self.weights = list(self.prior)
        for _ in self.reseats:
            self._reseat()

    def generation(self, moment):
        """Which generation stands at ``moment``."""
        return len([m for m in self.reseats if m < moment])

    def _reseat(self):
        paths, weights = [], []
        for path, weight in zip(self.paths, self.weights):
            mends = faults.RESEAT_MENDS.get(self.states[path[-1]]["state"], 0.0)
            paths.append(path + (path[-1],))
            weights.append(weight * (1.0 - mends))
            if mends:
                paths.append(path + (0,))
                weights.append(weight * mends)
        self.paths, self.weights = paths, weights


class Observable:
    """The largest of what the components in ``served`` (index, generation) contribute, each once.

    ``cell``: the cylinder whose block it belongs to, or None for the engine as a whole. ``condition`` for
    how a cylinder runs, ``sign`` for a sign (an entry of evidence.SIGNS); ``leaks`` false: without its leak.
    """

    def __init__(self, key, cell, levels, served, condition=None, sign=None, leaks=True):
        self.key = key
        self.cell = cell
        self.levels = levels
        self.served = served
        self.condition = condition
        self.sign = sign
        self.leaks = leaks

    def cumulative(self, component, state):
        """P(contribution <= level) for each level, of a component in that state; None if it contributes nothing."""
        if self.sign is None:
            profile = component.states[state]["profile"]
            return faults.cumulative(profile, self.condition) if profile else None
        shares = self.sign["sources"].get((component.kind, component.states[state]["state"]))
        return faults.running_sum(shares) if shares else None

    def leak(self):
        """P(nothing but the leak gives more than this level)."""
        return faults.running_sum(self.sign["leak"]) if self.sign and self.leaks else (1.0,) * self.levels


class Model:
    """Components of a folded case and the evidence put on them."""

    def __init__(self, case):
        self.case = case
        self.engine = case.engine
        self.learned = faults.learned_priors(case.opened)
        self.components = []
        self.observables = {}
        self.factors = []  # (observable keys, chance by the largest level, entry id)
        self.looks = []  # (component index, generation, {state: chance}, entry id)
        self.counts = []  # (list of segments, chances for none, one, several; entry id)
        self.end = len(case.log)
        self._by_part = {}  # part id -> list of (since moment, component index)
        self._by_place = {}  # (kind, where) -> list of (since moment, component index)
        self._serving = {}  # (cylinder, moment) -> what ``serving`` found
        self._build()

    # Components

    def _build(self):
        trails = self.case.trails
        for part, name in trails.with_names():
            fresh = "new" if part.noted.get("use", "new" if part.fitted_by else None) == "new" else None
            self._add_part(part, name, fresh)
        for kind in faults.KINDS:
            for where in self._places(kind["belongs"]):
                self._add_place(kind, where)
        # Places whose part is not known get one of unknown past, before anything counts the components: at any time,
        # so that a component has the same index whichever entries' evidence is taken.
        for cylinder in self.engine.numbers:
            for moment in [0] + [m + 1 for m in trails.changes[cylinder]]:
                self.serving(cylinder, moment)

    def _add_part(self, part, name, fresh):
        """The part as it came, and once more for each time it was mended or cleaned: what it is like from then on."""
        for number, begin in enumerate([-1] + [m + 1 for m in part.mended]):
            self._by_part.setdefault(part.id, []).append((begin, len(self.components)))
            now = name if number == 0 else "%s/mended%s" % (name, number if number > 1 else "")
            label = _mended(self._part_label(part), number, len(part.mended))
            self.components.append(
                Component(now, part.kind, label, "mended" if number else fresh, part.id, (), self.learned)
            )

    def stands(self, index):
        """Whether a component is what a part or place is now, not what it was before it was mended."""
        component = self.components[index]
        if component.part is not None:
            return self._by_part[component.part][-1][1] == index
        for rows in self._by_place.values():  # in any order
            if any(i == index for _, i in rows):
                return rows[-1][1] == index
        return False

    def _part_label(self, part):
        """A part in words; short while it is where it came."""
        if part.came_at and part.place == "%s.%d" % (part.kind, part.came_at):
            lead = part.kind == "boot" and not self.engine.boots_move_with_coil
            return "%s %d" % (phrase("lead" if lead else faults.BY_KIND[part.kind]["label"]), part.came_at)
        return self.case.trails.describe(part)

    def _places(self, belongs):
        engine = self.engine
        if belongs == "coil_place":
            return [str(n) for n in range(1, len(engine.coils) + 1)]
        if belongs == "cylinder":
            return [str(c) for c in engine.numbers]
        if belongs == "neighbours":
            return ["%d-%d" % pair for pair in engine.neighbours()]
        if belongs == "bank":
            return [str(b + 1) for b in range(len(engine.supplies))]
        if belongs == "engine" or (belongs == "distributor" and engine.ignition == "distributor"):
            return [""]
        return []

    def _add_place(self, kind, where):
        name = kind["kind"] + ("@" + where if where else "")
        label = phrase(kind["label"])
        if kind["belongs"] == "bank":
            if len(self.engine.supplies) > 1:
                label = phrase("{supply} of bank {bank}", supply=label, bank=where)
        elif where:
            label += " " + where.replace("-", phrase(" and "))
        trails = self.case.trails
        begins = [-1] + [m + 1 for m in trails.mended.get(name, ())]
        reseats = trails.reseated.get(name, ()) if kind["kind"] == "coil_connector" else ()
        for index, begin in enumerate(begins):
            end = begins[index + 1] if index + 1 < len(begins) else self.end + 1
            component = Component(
                name if index == 0 else "%s/%d" % (name, index + 1),
                kind["kind"],
                _mended(label, index, len(begins) - 1),
                "mended" if index else None,
                None,
                [m for m in reseats if begin <= m < end],
                self.learned,
            )
            self._by_place.setdefault((kind["kind"], where), []).append((begin, len(self.components)))
            self.components.append(component)

    def at(self, kind, where, moment):
        """(index, generation) of the component of ``kind`` at that place at ``moment``.

        Where no entry says which part sits in a place, one of unknown past is assumed there.
        """
        if kind in ("coil", "boot", "plug", "injector"):
            part_id = self.case.trails.occupant("%s.%s" % (kind, where), moment)
            if part_id is not None:
                return _latest(self._by_part[part_id], moment), 0
            if (kind, where) not in self._by_place:
                self._by_place[(kind, where)] = [(-1, len(self.components))]
                part = phrase("the " + faults.BY_KIND[kind]["label"])
                label = phrase("{part} at {place}, not known which", part=part, place=where)
                self.components.append(Component("%s@%s?" % (kind, where), kind, label, None, None, (), self.learned))
        standing = _latest(self._by_place[(kind, where)], moment)
        return standing, self.components[standing].generation(moment)

    def serving(self, cylinder, moment):
        """Everything whose fault can make ``cylinder`` miss at ``moment``, as (index, generation)."""
        if (cylinder, moment) not in self._serving:
            self._serving[(cylinder, moment)] = self._found_serving(cylinder, moment)
        return self._serving[(cylinder, moment)]

    def _found_serving(self, cylinder, moment):
        coil = str(self.engine.coil_of(cylinder))
        here = str(cylinder)
        places = [("coil", coil), ("coil_connector", coil), ("coil_wiring", coil)]
        places += [("boot", here), ("plug", here), ("injector", here), ("injector_circuit", here)]
        places += [("compression", here), ("runner", here), ("unlisted", here)]
        places += [("gasket", "%d-%d" % pair) for pair in self.engine.neighbours() if cylinder in pair]
        places.append(("coil_supply", str(self.engine.supply_of(cylinder))))
        return [self.at(kind, where, moment) for kind, where in places] + self._whole(moment)

    def _whole(self, moment):
        return [
            self.at(kind["kind"], "", moment)
            for kind in faults.KINDS
            if kind["belongs"] == "engine"
            or (kind["belongs"] == "distributor" and self.engine.ignition == "distributor")
        ]

    # Evidence

    def limited_to(self, entries):
        """This model with the evidence of these entries (ids) alone."""
        return Limited(self, entries)

    def running_now(self, cylinder):
        """Key of how a cylinder runs at idle as the engine stands now."""
        return self._runs(cylinder, self.end, "idle")

    def runs(self, cylinder, moment, condition, chances, entry):
        """A finding on how ``cylinder`` runs: ``chances`` of it by level 0 to 3."""
        self.factors.append(((self._runs(cylinder, moment, condition),), chances, entry))

    def runs_over(self, cylinder, start, moment, condition, chances, besides, entry):
        """A finding on the worst the cylinder ran from ``start`` to ``moment``, or on the sign ``besides``."""
        keys = [self._runs(cylinder, m, condition) for m in self._stretches(cylinder, start, moment)]
        keys.append(self._sign(besides, cylinder, moment, entry))
        self.factors.append((tuple(keys), chances, entry))

    def sign(self, sign, where, moment, level, entry):
        """The sign showed exactly ``level`` at a position (or on the engine: ``where`` None)."""
        across = self._sign_across(sign, where, moment, entry)
        if across and not level:
            # It stays away only where every cylinder's own share of it does.
            self.factors += [((key,), (1.0, 0.0), entry) for key in across]
            return
        if across:
            # One that has two levels shows where what serves any of the cylinders makes it show.
            self.counts.append(([across], (0.0, 1.0, 1.0), entry))
            return
        key = self._sign(sign, where, moment, entry)
        levels = self.observables[key].levels
        self.factors.append(((key,), tuple(1.0 if m == level else 0.0 for m in range(levels)), entry))

    def sign_over(self, sign, where, start, moment, level, entry):
        """The sign showed ``level`` at its largest from ``start`` to ``moment``."""
        seen = {}
        for m in range(start, moment + 1):
            seen.setdefault(self._sign_stretch(sign, where, m), m)
        keys = [self._sign(sign, where, m, entry) for m in sorted(seen.values())]
        levels = self.observables[keys[0]].levels
        self.factors.append((tuple(keys), tuple(1.0 if m == level else 0.0 for m in range(levels)), entry))

    def look(self, kind, position, moment, by_state, entry):
        """A look at one component: chance of what was seen by its state."""
        index, generation = self.at(kind, str(position), moment)
        self.looks.append((index, generation, by_state, entry))

    def look_at_part(self, part, moment, by_state, entry):
        """A look at a part, wherever it is, also off the engine."""
        self.looks.append((_latest(self._by_part[part.id], moment), 0, by_state, entry))

    def counted(self, moments, condition, chances, entry):
        """How many cylinders miss: chances for none, one, several; on the most over the segments named."""
        segments = [
            tuple(self._runs(cylinder, moment, condition) for cylinder in self.engine.numbers) for moment in moments
        ]
        self.counts.append((sorted(set(segments)), chances, entry))

    def segments(self, start, moment):
        """One moment for each span from ``start`` to ``moment`` in which nothing was moved or mended."""
        seen = {}
        for m in range(start, moment + 1):
            stretches = tuple(self.case.trails.stretch(c, m) for c in self.engine.numbers)
            seen.setdefault(stretches, m)
        return sorted(seen.values())

    def _stretches(self, cylinder, start, moment):
        seen = {}
        for m in range(start, moment + 1):
            seen.setdefault(self.case.trails.stretch(cylinder, m), m)
        return sorted(seen.values())

    def _runs(self, cylinder, moment, condition):
        key = ("runs", cylinder, self.case.trails.stretch(cylinder, moment), condition)
        if key not in self.observables:
            self.observables[key] = Observable(
                key, cylinder, faults.LEVELS, self.serving(cylinder, moment), condition=condition
            )
        return key

    def _first_cylinder(self, sign, where):
        return where if sign in evidence.CYLINDER_SIGNS else self.engine.coils[where - 1][0]

    def _sign_stretch(self, sign, where, moment):
        """Changes so far to what serves the place of a sign: a cylinder, or a coil position with all it fires."""
        cylinders = (where,) if sign in evidence.CYLINDER_SIGNS else self.engine.coils[where - 1]
        return sum([self.case.trails.stretch(cylinder, moment) for cylinder in cylinders])

    def _sign(self, sign, where, moment, entry):
        # Every reading draws its signs anew: a code that stayed away once may come the next time.
        declared = evidence.SIGNS[sign]
        if where is None:
            key = (sign, 0, moment, entry)
            serving, cell = self._whole(moment), None
        else:
            cell = self._first_cylinder(sign, where)
            key = (sign, where, self._sign_stretch(sign, where, moment), entry)
            serving = self.serving(cell, moment)
        return self._observed(key, cell, serving, declared)

    def _sign_across(self, sign, where, moment, entry):
        """Keys of a sign that one reading takes over several cylinders, such as smoke in the whole intake.

        One key a cylinder; what serves more than one of them, and the leak, is with the first. Empty for other signs.
        """
        declared = evidence.SIGNS[sign]
        own = [kind for kind, _ in declared["sources"] if kind in OF_A_CYLINDER]
        if not own or sign in evidence.CYLINDER_SIGNS:
            return ()
        cylinders = self.engine.numbers if where is None else self.engine.coils[where - 1]
        if where is not None and len(cylinders) == 1:
            return ()
        keys = []
        for cylinder in cylinders:
            serving = self.serving(cylinder, moment)
            if keys:
                serving = [(i, g) for i, g in serving if self.components[i].kind in own]
            key = (sign + "/also" if keys else sign, cylinder, self.case.trails.stretch(cylinder, moment), entry)
            keys.append(self._observed(key, cylinder, serving, declared, not keys))
        return tuple(keys)

    def _observed(self, key, cell, serving, sign, leaks=True):
        """The key of a sign, put among the observables."""
        if key not in self.observables:
            wanted = [kind for kind, _ in sign["sources"]]
            served = [(i, g) for i, g in serving if self.components[i].kind in wanted]
            self.observables[key] = Observable(key, cell, sign["levels"], served, sign=sign, leaks=leaks)
        return key


class Limited:
    """A model with the evidence of some entries alone (``Model.limited_to``)."""

    def __init__(self, model, entries):
        self.engine = model.engine
        self.components = model.components
        self.observables = model.observables
        self.factors = [row for row in model.factors if row[-1] in entries]
        self.looks = [row for row in model.looks if row[-1] in entries]
        self.counts = [row for row in model.counts if row[-1] in entries]


def _latest(rows, moment):
    """What stands at ``moment`` of a list of (since moment, component index)."""
    return [index for since, index in rows if since <= moment][-1]


def _mended(label, number, times):
    """``label``, and what sets apart a part or place after its ``number``-th mending of ``times``."""
    if number < times:
        again = phrase("{part}, before it was mended again", part=label)
        return again if number else phrase("{part}, before it was mended", part=label)
    return phrase("{part}, mended", part=label) if number else label
