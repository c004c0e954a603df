"""Moves in words: which part went from where to where."""

from . import entries, plaintext
from .tongue import phrase

# What is to be done, what was done, and the part where it sits; a lead is a boot that does not ride on its coil.
SWAP = {
    "coil": "Swap the coils of cylinders {one} and {other}",
    "boot": "Swap the boots of cylinders {one} and {other}",
    "lead": "Swap the leads of cylinders {one} and {other}",
    "plug": "Swap the spark plugs of cylinders {one} and {other}",
    "injector": "Swap the injectors of cylinders {one} and {other}",
    "shared": "Swap coils {one} and {other}",
}
SWAPPED = {
    "coil": "Coils of cylinders {one} and {other} swapped",
    "boot": "Boots of cylinders {one} and {other} swapped",
    "lead": "Leads of cylinders {one} and {other} swapped",
    "plug": "Spark plugs of cylinders {one} and {other} swapped",
    "injector": "Injectors of cylinders {one} and {other} swapped",
    "shared": "Coils {one} and {other} swapped",
}
PART = {
    "coil": "coil of cylinder {n}",
    "boot": "boot of cylinder {n}",
    "lead": "lead of cylinder {n}",
    "plug": "spark plug of cylinder {n}",
    "injector": "injector of cylinder {n}",
    "shared": "coil {n}",
}


def swap(engine, kind, one, other):
    """The title of a step: two parts of a kind, at positions ``one`` and ``other``, change places."""
    return phrase(SWAP[_sort(engine, kind)], one=one, other=other)


def told(engine, moves):
    """Moves as they were made, in a line. ``engine``: None where it is not known, so that a coil may serve several."""
    if len(moves) == 2 and moves[0]["from"] == moves[1]["to"] and moves[0]["to"] == moves[1]["from"]:
        (kind, one), (_, other) = entries.split_place(moves[0]["from"]), entries.split_place(moves[0]["to"])
        if kind:
            return phrase(SWAPPED[_sort(engine, kind)], one=one, other=other)
    return plaintext.sentence(", ".join([_move(engine, move["from"], move["to"]) for move in moves]))


def _move(engine, from_, to):
    (kind, _), (to_kind, position) = entries.split_place(from_), entries.split_place(to)
    if kind is None and to_kind is None:
        return phrase("a part from one place not known to another")
    if kind is None:
        came = "put in from off the engine: {what}" if from_ == "off" else "put in from a place not known: {what}"
        return phrase(came, what=_part(engine, to))
    what = _part(engine, from_)
    if to_kind is None:
        return phrase("{what} taken off the engine" if to == "off" else "{what} to a place not known", what=what)
    if _sort(engine, to_kind) == "shared":
        return phrase("{what} to the place of coil {n}", what=what, n=position)
    return phrase("{what} to cylinder {n}", what=what, n=position)


def _part(engine, place):
    kind, position = entries.split_place(place)
    return phrase(PART[_sort(engine, kind)], n=position)


def _sort(engine, kind):
    """The kind of part as it is called: a lead, or a coil that is not numbered as one cylinder is."""
    if kind == "coil" and (engine is None or len(engine.coils) < engine.cylinders):
        return "shared"
    return "lead" if kind == "boot" and engine is not None and not engine.boots_move_with_coil else kind
