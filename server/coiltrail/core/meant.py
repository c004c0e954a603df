"""Readings of a check that can hardly be meant, and findings beside readings that say the opposite: slips of the
finger, or of the unit.

A span is wide on purpose: broken parts read oddly, and a question at every one of them would soon be answered unread.
It forbids nothing.
"""

from . import canonical, checks, grading, measures
from .tongue import joined, phrase

ESTIMATE = "estimate, from memory"

# Check: (what is read, in words; lowest and highest that can be meant; lowest and highest of what is mostly read, from
# which a slip is guessed), in SI. All of them estimates, from memory. Nothing at all (0) is always let pass: a dead
# cylinder and a dead supply read so.
SPANS = {
    "compression": ("the compression of an engine", 20e3, 2500e3, 600e3, 2000e3),
    "compression_wet": ("the compression of an engine", 20e3, 2500e3, 600e3, 2000e3),
    "leak_down": ("a leakage", 0.005, 1.0, 0.02, 1.0),
    "fuel_pressure": ("the pressure of fuel", 5e3, 40e6, 200e3, 20e6),
    "injector_balance": ("the fall of the pressure at one pulse of an injector", 500.0, 500e3, 5e3, 300e3),
    "coil_primary": ("the resistance of a primary winding", 0.02, 1e3, 0.2, 5.0),
    "coil_secondary": ("the resistance of a secondary winding", 50.0, 1e7, 2e3, 3e4),
    "boot_resistance": ("the resistance of a boot or lead", 0.01, 1e7, 200.0, 3e4),
    "injector_resistance": ("the resistance of an injector", 0.1, 1e5, 1.0, 20.0),
    "plug_gap": ("the gap of a spark plug", 0.1e-3, 3e-3, 0.4e-3, 1.5e-3),
    "coil_supply": ("a voltage in a car of 12 volts", 0.01, 18.0, 9.0, 15.5),
    "voltage": ("a voltage in a car of 12 volts", 3.0, 18.0, 9.0, 15.5),
}
SPEED = ("the speed of a running engine", 200.0, 8000.0, 450.0, 3500.0)  # revolutions a minute. Estimate
SPEEDS = ("rpm_before", "rpm_during")

_SHIFTS = (10.0, 0.1, 100.0, 0.01, 0.001)  # by a digit too many, too few, or a point that was not typed


def doubts(body):
    """What speaks against the readings of a ``check``: a list, empty where nothing does.

    ``{"field", "text", "low", "high", "origin", "instead"}``: the span in SI or revolutions a minute; ``instead``:
    what may have been meant, as ``[{"value", "text"}]``, ``value`` being of the kind that the field holds.
    """
    found = []
    reading = body.get("reading")
    span = SPANS.get(body.get("check"))
    if span and reading and reading.get("si") is not None and measures.BY_UNIT.get(reading.get("unit")):
        if _odd(reading["si"], span):
            found.append(_doubt("reading", reading["si"], span, reading["unit"], _read_otherwise(body, reading, span)))
    for name in SPEEDS:
        speed = body.get(name)
        if isinstance(speed, (int, float)) and _odd(speed, SPEED):
            found.append(_doubt(name, speed, SPEED, "rpm", _speed_otherwise(speed)))
    return found


def contradiction(case, body):
    """What speaks against the finding of a ``check`` beside what was read in it: as ``doubts``, one at most.

    Only where one of them says that it is well and the other that it is not: how bad it is stays the mechanic's to say.
    """
    check, given = body.get("check"), body.get("finding")
    read, why = grading.grade(case, {"id": "", "body": body})
    known = checks.findings_of(check) if check in checks.BY_KEY else ()
    if given not in known or read not in known or checks.went_well(check, given) == checks.went_well(check, read):
        return []
    words = {"why": why, "read": checks.finding_label(check, read), "given": checks.finding_label(check, given)}
    return [
        {
            "field": "finding",
            "text": phrase("{why} That is “{read}”; you tapped “{given}”.", **words),
            "origin": "",
            "shown": words["given"],
            "instead": [{"value": read, "text": words["read"]}],
        }
    ]


def _odd(value, span):
    return value != 0 and not span[1] <= value <= span[2]


def _usual(value, span):
    return span[3] <= value <= span[4]


def _doubt(field, value, span, unit, instead):
    words = {
        "figure": _shown(value, unit),
        "what": phrase(span[0]),
        "low": _shown(span[1], unit),
        "high": _shown(span[2], unit),
    }
    return {
        "field": field,
        "text": phrase("{figure} is far above {what}, which is at most about {high}.", **words)
        if value > span[2]
        else phrase("{figure} is far below {what}, which is at least about {low}.", **words),
        "low": span[1],
        "high": span[2],
        "origin": phrase(ESTIMATE),
        "instead": instead,
    }


def _shown(value, unit):
    return joined(_figure(value if unit == "rpm" else measures.from_si(value, unit)), unit)


def _figure(number):
    """To three digits or so: a bound of a rough span has no more, and a figure typed is given back as it was."""
    rounded = float(canonical.fixed(number, 0 if abs(number) >= 100 else 3))
    return canonical.number(rounded)


def _read_otherwise(body, reading, span):
    """The same digits with the point elsewhere, and the same number in another unit of the check."""
    number = measures.from_si(reading["si"], reading["unit"])
    tried = [(number * shift, reading["unit"]) for shift in _SHIFTS]
    for row in measures.UNITS[checks.BY_KEY[body["check"]]["dimension"]]:
        if row["unit"] != reading["unit"]:
            tried.append((number, row["unit"]))
    found = []
    for other, unit in tried:
        si = measures.to_si(other, unit)
        if _usual(si, span):
            typed = _figure(other)
            value = {"si": measures.to_si(float(typed), unit), "typed": typed, "unit": unit}
            found.append({"value": value, "text": joined(typed, unit)})
    return found


def _speed_otherwise(speed):
    speeds = [float(canonical.fixed(speed * shift, 0)) for shift in _SHIFTS]
    return [{"value": one, "text": _shown(one, "rpm")} for one in speeds if _usual(one, SPEED)]
