"""Which thing sat where, moment by moment: a second reading of a log's moves and repairs, written for the tests.

It follows the rules of the case log's design and shares no code with ``core.parts``. It understands what the
generated cases hold: moves that are complete (nothing goes to an unknown place), repairs, and a spare on trial.
"""

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, field

from coiltrail.core.engine import Engine

PARTS = ("coil", "boot", "plug", "injector")


@dataclass(eq=False)
class Thing:
    """A part, by identity. ``fresh``: "new" where it was fitted as new. ``id``: as the case log names it."""

    kind: str
    id: str = ""
    fresh: str | None = None
    mended: int = 0


@dataclass
class Moment:
    """The car as it stood when one entry was recorded."""

    seats: dict[tuple[str, int], Thing]
    part_mended: dict[Thing, int]  # how often each part was mended so far
    place_mended: dict[str, int]  # "coil_connector@3" -> how often it was mended so far
    pressed: dict[str, int]  # "coil_connector@3" -> how often it was pressed on anew since it was last mended
    stretch: dict[int, int]  # cylinder -> how often what serves it changed so far


@dataclass
class History:
    """The moments of a log: ``moments[k]`` is the car when entry ``k`` was recorded, the last one the car now."""

    engine: Engine
    case: str
    counted: dict[int, dict]  # moment -> entry that counts
    length: int
    moments: list[Moment] = field(default_factory=list)

    def __post_init__(self):
        engine = self.engine
        places = {kind: len(engine.coils) if kind == "coil" else engine.cylinders for kind in PARTS}
        seats = {(kind, n): Thing(kind) for kind in PARTS for n in range(1, places[kind] + 1)}
        now = Moment(seats, {}, {}, {}, dict.fromkeys(engine.numbers, 0))
        arrived = False
        for moment in range(self.length):
            entry = self.counted.get(moment)
            before = entry is not None and "before_arrival" in (entry.get("when") or {})
            if not arrived and entry is not None and not before:
                arrived = True
                self._name_by_arrival(now)
            self.moments.append(_copy(now))
            if entry is not None:
                self._act(now, entry)
        if not arrived:
            self._name_by_arrival(now)
        self.moments.append(now)

    def _name_by_arrival(self, now: Moment) -> None:
        for (kind, position), thing in now.seats.items():
            thing.id = f"{self.case}.{kind}.{position}"

    def _act(self, now: Moment, entry: dict) -> None:
        body = entry["body"]
        if entry["kind"] == "parts_moved":
            coming = {}
            leaving = set()
            for row in body["moves"]:
                leaving.add(_seat(row["from"]))
                mover = now.seats.get(_seat(row["from"])) or Thing("coil", row.get("part", ""))
                coming[_seat(row["to"])] = mover
            if self.engine.ignition == "coil_on_plug" and not body.get("boot_stays"):
                self._boots_along(now, entry, coming, leaving)
            self._seat_anew(now, coming, leaving)
        elif entry["kind"] == "repair" and body["work"] == "replaced":
            kind, position = _seat(body["place"])
            fresh = None if body.get("use") == "used" else "new"
            coming = {(kind, position): Thing(kind, entry["id"], fresh)}
            if kind == "coil" and self.engine.ignition == "coil_on_plug":
                coming["boot", position] = Thing("boot", f"{entry['id']}.boot.{position}", fresh)
            self._seat_anew(now, coming, set(coming))
        elif entry["kind"] == "repair" and body.get("place"):
            kind, position = _seat(body["place"])
            thing = now.seats[kind, position]
            now.part_mended[thing] = now.part_mended.get(thing, 0) + 1
            self._touched(now, {(kind, position)})
        elif entry["kind"] == "repair":
            name = body["component"]
            now.place_mended[name] = now.place_mended.get(name, 0) + 1
            now.pressed.pop(name, None)
            kind, _, where = name.partition("@")
            for cylinder in self.engine.numbers:
                if where in places_serving(self.engine, kind, cylinder):
                    now.stretch[cylinder] += 1

    def _boots_along(self, now: Moment, entry: dict, coming: dict, leaving: set) -> None:
        for row in entry["body"]["moves"]:
            from_, to = _seat(row["from"]), _seat(row["to"])
            if "coil" not in (from_[0], to[0]):
                continue
            if from_[1]:
                leaving.add(("boot", from_[1]))
            if to[1]:
                own = Thing("boot", f"{entry['id']}.boot.{to[1]}")  # a coil brought along brings its own boot
                coming["boot", to[1]] = now.seats["boot", from_[1]] if from_[1] else own

    def _seat_anew(self, now: Moment, coming: dict, leaving: set) -> None:
        for seat in leaving:
            now.seats.pop(seat, None)
        now.seats.update({seat: thing for seat, thing in coming.items() if seat[1]})
        self._touched(now, {seat for seat in leaving | set(coming) if seat[1]})

    def _touched(self, now: Moment, seats: set) -> None:
        cylinders = set()
        # What sits under a coil is reached when that coil comes off its connector.
        under = ("coil", "boot", "plug") if self.engine.ignition == "coil_on_plug" else ("coil",)
        for name in {f"coil_connector@{position}" for kind, position in seats if kind in under}:
            now.pressed[name] = now.pressed.get(name, 0) + 1
        for kind, position in seats:
            cylinders.update(self.engine.coils[position - 1] if kind == "coil" else [position])
        for cylinder in cylinders:
            now.stretch[cylinder] += 1


def places_serving(engine: Engine, kind: str, cylinder: int) -> Iterator[str]:
    """The places of components of ``kind`` (one that is no part) whose fault can make ``cylinder`` miss."""
    position = next(k for k, fired in enumerate(engine.coils, 1) if cylinder in fired)
    bank = next(k for k, bank in enumerate(engine.banks, 1) if cylinder in bank)
    if kind in ("coil_connector", "coil_wiring"):
        yield str(position)
    elif kind == "coil_supply":
        # A coil has one supply, so where one fires across the banks there is one for all.
        across = any(len({c in engine.banks[0] for c in fired}) > 1 for fired in engine.coils)
        yield "1" if across else str(bank)
    elif kind == "gasket":
        for cylinders in engine.banks:
            for first, second in itertools.pairwise(cylinders):
                if cylinder in (first, second):
                    yield f"{first}-{second}"
    elif kind in ("injector_circuit", "compression", "runner", "unlisted"):
        yield str(cylinder)
    else:
        yield ""


def _seat(place: str) -> tuple[str, int]:
    kind, _, position = place.partition(".")
    return (kind, int(position)) if position else (place, 0)


def _copy(now: Moment) -> Moment:
    return Moment(dict(now.seats), dict(now.part_mended), dict(now.place_mended), dict(now.pressed), dict(now.stretch))
