"""How tight a fastening can plausibly be: what a slip of the finger, or of the unit, is noticed by.

A span is wide on purpose. It forbids nothing and stands for no figure: the maker's torque for the engine rules.
"""

from . import canonical, measures
from .tongue import joined, phrase

PRACTICE = "common practice, no source"
ESTIMATE = "estimate, from memory"

# Threads of spark plugs by size and seat.
THREADS = (
    ("m8", "M8"),
    ("m10", "M10"),
    ("m12", "M12"),
    ("m14", "M14, flat seat"),
    ("m14_cone", "M14, tapered seat"),
    ("m18", "M18, flat seat"),
    ("m18_cone", "M18, tapered seat"),
)

# Fastening: (lowest, highest) in newton metres, and where these figures come from. Plug threads clean and dry, from
# aluminium heads to cast iron. Of a coil's screw the usual 6 lbf·ft (8.1 N·m) is common practice, the ends an estimate.
SPANS = {
    "plug": (7.0, 50.0, PRACTICE),
    "m8": (7.0, 12.0, PRACTICE),
    "m10": (9.0, 18.0, PRACTICE),
    "m12": (12.0, 28.0, PRACTICE),
    "m14": (18.0, 40.0, PRACTICE),
    "m14_cone": (9.0, 28.0, PRACTICE),
    "m18": (30.0, 50.0, PRACTICE),
    "m18_cone": (18.0, 42.0, PRACTICE),
    "coil": (3.0, 16.0, ESTIMATE),
    "injector": (4.0, 35.0, ESTIMATE),
    "runner": (5.0, 40.0, ESTIMATE),
    "cap": (1.0, 10.0, ESTIMATE),
}

# What holds a part, or what must come off for work on it. Of what is not named here nothing is judged.
_HELD_BY = {
    "coil": "coil",
    "boot": "coil",
    "coil_connector": "coil",
    "plug": "plug",
    "injector": "injector",
    "runner": "runner",
    "cap": "cap",
    "rotor": "cap",
}


def doubt(body):
    """What speaks against the torque of a ``repair``; None where nothing does.

    ``{"text", "low", "high", "origin", "instead"}``: the span in N·m; ``instead``: units in which the same number
    would be plausible, as ``[{"unit", "text"}]``.
    """
    torque = body.get("torque")
    held_by, thread = _fastening(body)
    if not torque or torque.get("si") is None or held_by is None:
        return None
    low, high, origin = SPANS[thread or held_by]
    if low <= torque["si"] <= high:
        return None
    values = dict(_in_words(held_by, thread, torque["unit"]), torque=measures.show(torque))
    return {
        "text": phrase(
            "{torque} is above what {what} takes: {low} to {high}, a rough span, not the maker's figure.", **values
        )
        if torque["si"] > high
        else phrase(
            "{torque} is below what {what} takes: {low} to {high}, a rough span, not the maker's figure.", **values
        ),
        "low": low,
        "high": high,
        "origin": phrase(origin),
        "instead": _instead(torque, low, high),
    }


def span(body, unit):
    """What is plausible for the work of a ``repair``, before its torque is told: ``{"text", "origin"}``, or None."""
    held_by, thread = _fastening(body)
    if held_by is None:
        return None
    words = _in_words(held_by, thread, unit)
    return {
        "text": phrase("Plausible for {what}: {low} to {high}. A rough span, not the maker's figure.", **words),
        "origin": phrase(SPANS[thread or held_by][2]),
    }


def _fastening(body):
    """(what holds the part, its thread): keys of ``SPANS``, or None."""
    held_by = _HELD_BY.get((body.get("place") or body.get("component") or "").partition("@")[0].partition(".")[0])
    thread = body.get("thread") if held_by == "plug" else None
    return held_by, thread if thread in SPANS else None


def _in_words(held_by, thread, unit):
    low, high, _ = SPANS[thread or held_by]
    unit = measures.chosen(unit)
    ends = [canonical.number(float(canonical.fixed(measures.from_si(end, unit), 1))) for end in (low, high)]
    return {"what": _what(held_by, thread), "low": ends[0], "high": joined(ends[1], unit)}


def wanted(body):
    """Whether the torque of a ``repair`` is to be kept: a part that is screwed in was fitted."""
    return body["work"] == "replaced" and (body.get("place") or "").partition(".")[0] in ("coil", "plug", "injector")


# What was not written down at the repair is told later as the answer to a question of the case.
PREFIX = "torque/"
NOT_MEASURED = "not_measured"


def question(repair_id):
    """The question to which the torque of a repair is the answer."""
    return PREFIX + repair_id


def of(entry, answer):
    """(torque, where it was read) of a ``repair``, as ``answer`` (an ``answered`` entry, or None) told it since.

    (None, "") where neither says one.
    """
    if answer:
        told = measures.parse_quantity(answer["body"]["answer"], "torque")
        return (None if "message" in told else told), answer["body"].get("note") or ""
    return entry["body"].get("torque"), entry["body"].get("torque_source") or ""


def answer_text(body):
    """The answer to such a question in words; None where the question is none of these."""
    if not body["question"].startswith(PREFIX):
        return None
    if body["answer"] == NOT_MEASURED:
        return phrase("Torque not measured")
    return phrase("torque {torque}", torque=body["answer"])


def _instead(torque, low, high):
    """The same number read in the other units: a figure is easily copied with the wrong one."""
    number = measures.from_si(torque["si"], torque["unit"])
    found = []
    for row in measures.UNITS["torque"]:
        si = measures.to_si(number, row["unit"])
        if row["unit"] != torque["unit"] and low <= si <= high:
            found.append({"unit": row["unit"], "text": joined(torque["typed"], row["unit"])})
    return found


def _what(held_by, thread):
    if thread in dict(THREADS):
        return phrase("a spark plug ({thread})", thread=phrase(dict(THREADS)[thread]))
    return {
        "plug": phrase("a spark plug"),
        "coil": phrase("a coil's screw"),
        "injector": phrase("an injector's screw"),
        "runner": phrase("a screw of the intake"),
        "cap": phrase("a screw of the distributor"),
    }[held_by]
