"""Cylinders, banks, firing order, and which coil position feeds which cylinders.

A *layout* says how the cylinders stand (in line, V, flat), a *numbering* how they are counted over the
banks, an *ignition arrangement* which coil positions there are and whom each one fires. Nothing else in
the core knows the arrangement.
"""

from .tongue import phrase

MOST_CYLINDERS = 12

LAYOUTS = (("inline", "In line"), ("vee", "V"), ("flat", "Flat"))
NUMBERINGS = (
    ("along", "One bank after the other (1-2-3, 4-5-6)"),
    ("across", "Across the banks (1-3-5, 2-4-6)"),
)
ORIENTATIONS = (("crosswise", "Crosswise in the bay"), ("lengthways", "Lengthways in the bay"))
IGNITIONS = (
    ("coil_on_plug", "A coil on every plug"),
    ("coil_near_plug", "A coil and a short lead for every plug"),
    ("waste_spark", "A coil for every two cylinders (waste spark)"),
    ("distributor", "One coil with a distributor"),
)

# Most frequent firing orders. Origin: common practice, no source. The maker's order comes first:
# the mechanic can type it over.
USUAL_FIRING_ORDER = {
    ("inline", 1): (1,),
    ("inline", 2): (1, 2),
    ("inline", 3): (1, 2, 3),
    ("inline", 4): (1, 3, 4, 2),
    ("inline", 5): (1, 2, 4, 5, 3),
    ("inline", 6): (1, 5, 3, 6, 2, 4),
    ("inline", 8): (1, 6, 2, 5, 8, 3, 7, 4),
    ("vee", 6): (1, 2, 3, 4, 5, 6),
    ("vee", 8): (1, 8, 4, 3, 6, 5, 7, 2),
    ("flat", 4): (1, 3, 2, 4),
    ("flat", 6): (1, 6, 2, 4, 3, 5),
}


class Engine:
    """One engine as laid out: ``cylinders``, ``banks``, ``firing_order``, ``coils``.

    ``banks`` is a tuple of tuples of cylinder numbers, front to back. ``coils`` is a tuple of tuples:
    ``coils[k]`` holds the cylinders that coil position ``k + 1`` fires. Raises ValueError with a message
    for the mechanic when the layout cannot be.
    """

    def __init__(self, cylinders, layout="inline", ignition="coil_on_plug", numbering=None, firing_order=None):
        problems = layout_problems(cylinders, layout, ignition, firing_order)
        if problems:
            raise ValueError(problems[0]["message"])
        self.cylinders = cylinders
        self.layout = layout
        self.ignition = ignition
        self.numbering = numbering or ("across" if layout == "vee" else "along")
        self.banks = _banks(cylinders, layout, self.numbering)
        self.firing_order = tuple(firing_order or usual_firing_order(cylinders, layout))
        self.coils = _coils(self.firing_order, cylinders, ignition)

    @property
    def numbers(self):
        """Cylinder numbers in counting order."""
        return range(1, self.cylinders + 1)

    def coil_of(self, cylinder):
        """The coil position (1, 2, ...) that fires ``cylinder``."""
        for index, fired in enumerate(self.coils):
            if cylinder in fired:
                return index + 1
        raise ValueError(phrase("cylinder {cylinder} is not on this engine", cylinder=cylinder))

    def bank_of(self, cylinder):
        """The bank (1 or 2) in which ``cylinder`` stands."""
        for index, bank in enumerate(self.banks):
            if cylinder in bank:
                return index + 1
        raise ValueError(phrase("cylinder {cylinder} is not on this engine", cylinder=cylinder))

    @property
    def supplies(self):
        """Cylinders by coil supply: a supply for each bank, or one for all where a coil fires across the banks."""
        for fired in self.coils:
            if len({self.bank_of(cylinder) for cylinder in fired}) > 1:
                return (tuple(self.numbers),)
        return self.banks

    def supply_of(self, cylinder):
        """The coil supply (1 or 2) that feeds the coil of ``cylinder``."""
        return [cylinder in fed for fed in self.supplies].index(True) + 1

    def neighbours(self):
        """Pairs of cylinders that stand next to each other in a bank and share a stretch of gasket."""
        return [(bank[i], bank[i + 1]) for bank in self.banks for i in range(len(bank) - 1)]

    @property
    def boots_move_with_coil(self):
        """Whether the boot sits on the coil itself and comes away with it."""
        return self.ignition == "coil_on_plug"

    def positions(self, kind):
        """How many places an engine like this has for a part of ``kind``."""
        return len(self.coils) if kind == "coil" else self.cylinders

    def served_by(self, kind, position):
        """Cylinders that a part of ``kind`` serves when it sits at ``position``; none where there is no such place."""
        if not 1 <= position <= self.positions(kind):
            return ()
        return self.coils[position - 1] if kind == "coil" else (position,)

    def as_dict(self):
        """The engine as plain data for a page that draws it."""
        return {
            "cylinders": self.cylinders,
            "layout": self.layout,
            "ignition": self.ignition,
            "numbering": self.numbering,
            "banks": [list(bank) for bank in self.banks],
            "firing_order": list(self.firing_order),
            "coils": [list(fired) for fired in self.coils],
        }


def layout_problems(cylinders, layout="inline", ignition="coil_on_plug", firing_order=None):
    """What makes such an engine impossible: a list of ``{"field", "message"}``, empty if nothing does."""
    if not _whole(cylinders) or not 1 <= cylinders <= MOST_CYLINDERS:
        return [
            _problem(
                "engine.cylinders", phrase("Cylinders: give a whole number from 1 to {most}.", most=MOST_CYLINDERS)
            )
        ]
    for field, value, choices in (("layout", layout, LAYOUTS), ("ignition", ignition, IGNITIONS)):
        if value not in [known for known, _ in choices]:
            labels = ", ".join(label for _, label in choices)
            return [
                _problem(
                    "engine." + field,
                    phrase(
                        "{field}: choose one of: {labels}.", field=phrase(field[0].upper() + field[1:]), labels=labels
                    ),
                )
            ]
    if layout != "inline" and cylinders % 2:
        return [
            _problem(
                "engine.layout",
                phrase("A V or flat engine has an even number of cylinders; choose in line or change it."),
            )
        ]
    if ignition == "waste_spark" and cylinders % 2:
        return [
            _problem(
                "engine.ignition",
                phrase("Waste spark pairs the cylinders, so their number must be even; choose another arrangement."),
            )
        ]
    if firing_order and not _permutation(firing_order, cylinders):
        return [
            _problem(
                "engine.firing_order",
                phrase(
                    "Firing order: name each cylinder from 1 to {cylinders} exactly once, for example {order}.",
                    cylinders=cylinders,
                    order="-".join(str(c) for c in usual_firing_order(cylinders, layout)),
                ),
            )
        ]
    return []


def _whole(value):
    # True and False are whole numbers to one runtime and not to the other.
    return isinstance(value, int) and not isinstance(value, bool)


def _permutation(firing_order, cylinders):
    return (
        isinstance(firing_order, (list, tuple))
        and all(_whole(number) for number in firing_order)
        and sorted(firing_order) == list(range(1, cylinders + 1))
    )


def usual_firing_order(cylinders, layout):
    """The firing order met most often on such an engine; plain counting order where none is known."""
    return USUAL_FIRING_ORDER.get((layout, cylinders)) or tuple(range(1, cylinders + 1))


def _banks(cylinders, layout, numbering):
    if layout == "inline":
        return (tuple(range(1, cylinders + 1)),)
    half = cylinders // 2
    if numbering == "across":
        return (tuple(range(1, cylinders + 1, 2)), tuple(range(2, cylinders + 1, 2)))
    return (tuple(range(1, half + 1)), tuple(range(half + 1, cylinders + 1)))


def _coils(firing_order, cylinders, ignition):
    if ignition == "distributor":
        return (tuple(range(1, cylinders + 1)),)
    if ignition == "waste_spark":
        # Waste spark fires the two cylinders that stand half a cycle apart.
        half = cylinders // 2
        pairs = [tuple(sorted((firing_order[k], firing_order[k + half]))) for k in range(half)]
        return tuple(sorted(pairs))
    return tuple((c,) for c in range(1, cylinders + 1))


def _problem(field, message):
    return {"field": field, "message": message}
