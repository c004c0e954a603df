"""A car with a hidden fault, and a mechanic who always takes the first step proposed.

The car answers each check as such a fault would mostly show it, not as the tables of the diagnosis say: a coil that
breaks down under load measures well, a plug with a hair crack looks good. What is played is the way to the truth.
"""

from collections import namedtuple
from collections.abc import Iterable
from typing import Any

from coiltrail.core import advice, casefile, checks, costs, explanations, verification
from coiltrail.core.gradually import finish
from demo_fixtures.logbook import Logbook

# ``name``: of the component as it came; ``when``: conditions that must all be there for it to show; ``runs``: how its
# cylinder then runs, "none", "small" or "sometimes"; ``shows``: {check: finding} at its place; ``codes``: set besides.
Fault = namedtuple("Fault", "name when runs shows codes", defaults=(frozenset(), "none", {}, ()))
Played = namedtuple("Played", "steps minutes bought wrong ended fixed")

MOST_STEPS = 30
PARTS = ("coil", "boot", "plug", "injector")
ENDS = ("close", "hand_over", "report")


class Car:
    """The car of one story: ``faults`` not known to the diagnosis, ``log`` what was recorded."""

    def __init__(
        self,
        log: Logbook,
        *faults: Fault,
        conditions: Iterable[str] = ("load",),
        engine_wide: dict[str, str] | None = None,
    ):
        self.log = log
        self.faults = list(faults)
        self.conditions = list(conditions)  # of a drive as it used to miss
        self.engine_wide = engine_wide or {}
        self.stored: set[str] = set()
        self.boots = {f.name: f.name.replace("@", ".") for f in faults if f.name.startswith("boot@")}
        self.bought: list[str] = []
        self.wrong: list[str] = []
        self.set_codes(frozenset(self.conditions))

    # What is wrong where

    def place_of(self, fault: Fault) -> str | None:
        """Where the part at fault sits now; None where it is off the engine, or no part."""
        kind, _, position = fault.name.partition("@")
        if fault.name in self.boots:
            return self.boots[fault.name]
        part = f"{self.log.case}.{kind}.{position}"
        for other in range(1, self.log.engine.positions(kind) + 1) if kind in PARTS else ():
            if self.log.part_at(f"{kind}.{other}") == part:
                return f"{kind}.{other}"
        return None

    def cylinders_of(self, fault: Fault) -> list[int]:
        kind, _, position = fault.name.partition("@")
        engine = self.log.engine
        if kind in PARTS:
            place = self.place_of(fault)
            return list(engine.served_by(kind, int(place.partition(".")[2]))) if place else []
        if kind in ("coil_connector", "coil_wiring"):
            return list(engine.coils[int(position) - 1])
        return [int(number) for number in position.split("-")] if position else list(engine.numbers)

    def acting(self, cylinder: int, conditions: Iterable[str]) -> list[Fault]:
        return [f for f in self.faults if cylinder in self.cylinders_of(f) and f.when <= set(conditions)]

    def runs(self, cylinder: int, conditions: Iterable[str]) -> str:
        found = [fault.runs for fault in self.acting(cylinder, conditions)]
        return min(found, key=("none", "small", "sometimes").index, default="full")

    def set_codes(self, conditions: frozenset[str]) -> None:
        missing = [c for c in self.log.engine.numbers if self.acting(c, conditions)]
        self.stored |= {f"P03{c:02d}" for c in missing} | ({"P0300"} if len(missing) > 1 else set())
        for cylinder in missing:
            self.stored |= {code for fault in self.acting(cylinder, conditions) for code in fault.codes}

    # What the mechanic does

    def take(self, step: dict[str, Any]) -> None:
        """Do a step and record it."""
        kind, body = step["kind"], step["body"]
        if step["act"] == "check":
            self._check(body)
        elif kind == "parts_moved":
            moves = [(move["from"], move["to"]) for move in body["moves"]]
            self._along(moves)
            self.log.move(*moves)
        elif kind == "repair":
            self._repair(body)
        elif kind == "codes_read":
            self.log.codes(*sorted(self.stored))
        elif kind == "codes_cleared":
            self.log.clear()
            self.stored = set()
        elif kind == "road_test":
            self._drive(step["minutes"])
        elif kind == "answered":
            self.log.answer(body["question"], "unknown")
        else:
            raise AssertionError(f"no way to take {step['key']}")

    def _along(self, moves: list[tuple[str, str]]) -> None:
        """Boots go along with their coils."""
        if not self.log.engine.boots_move_with_coil:
            return
        for fault in self.boots:
            places = {here.replace("coil", "boot"): there.replace("coil", "boot") for here, there in moves}
            self.boots[fault] = places.get(self.boots[fault], self.boots[fault])

    def _check(self, body: dict[str, Any]) -> None:
        check = body["check"]
        about = checks.BY_KEY[check]["about"]
        same = self.log.new_id()
        more = {key: body[key] for key in ("conditions",) if body.get(key)}
        if about == "engine":
            self.log.check(check, self._of_engine(check))
        elif body.get("place") or body.get("cylinder"):
            where = {key: body[key] for key in ("place", "cylinder") if body.get(key)}
            number = body.get("cylinder") or int(body["place"].partition(".")[2])
            self.log.check(check, self._found(check, about, number, more), **where, **more)
        else:
            numbers = body.get("cylinders") or list(range(1, self.log.engine.positions(about) + 1))
            if about == "cylinder" and not body.get("cylinders"):
                numbers = list(self.log.engine.numbers)
            for number in numbers:
                where = {"cylinder": number} if about == "cylinder" else {"place": f"{about}.{number}"}
                disabled = {"disabled": "tool"} if check == "drop" else {}
                self.log.check(check, self._found(check, about, number, more), round=same, **where, **disabled, **more)

    def _found(self, check: str, about: str, number: int, more: dict[str, Any]) -> str:
        conditions = more.get("conditions") or ("idle",)
        if check == "drop":
            return self.runs(number, conditions).replace("sometimes", "full")
        if check == "misfire_counts":
            return {"none": "many", "small": "many", "sometimes": "some", "full": "none"}[self.runs(number, conditions)]
        for fault in self.faults:
            kind = fault.name.partition("@")[0]
            place = self.place_of(fault)
            here = place in (f"{about}.{number}", f"boot.{number}") if kind in PARTS else False
            served = [number] if about == "cylinder" else self.log.engine.served_by(about, number)
            if kind in ("coil", "boot") and about == "coil":
                here = set(served) & set(self.cylinders_of(fault)) and kind in PARTS
            elif about == "cylinder" or kind not in PARTS or about != kind:
                here = here or set(served) & set(self.cylinders_of(fault))
            if here and check in fault.shows:
                return fault.shows[check]
        well = {"wiggle": "steady", "spray": "steady"}.get(check)
        return well or checks.findings_of(check)[0 if check != "rpm_effect" else 1]

    def _of_engine(self, check: str) -> str:
        for fault in self.faults:
            if check in fault.shows:
                return fault.shows[check]
        if check in self.engine_wide:
            return self.engine_wide[check]
        if check == "rpm_effect":
            misses = [c for c in self.log.engine.numbers if self.acting(c, {"idle"})]
            return "same" if misses else "smooth"
        return checks.findings_of(check)[0]

    def _repair(self, body: dict[str, Any]) -> None:
        if body["work"] != "replaced":
            self.log.add("repair", **body)
            self.faults = [fault for fault in self.faults if fault.name != body.get("component")]
            return
        kind = body["place"].partition(".")[0]
        places = [body["place"]]
        if body.get("extent") == "all":
            places = [f"{kind}.{number}" for number in range(1, self.log.engine.positions(kind) + 1)]
        for place in places:
            along = [place.replace("coil", "boot")] if self.log.engine.boots_move_with_coil else []
            right = [fault for fault in self.faults if self.place_of(fault) in [place, *along]]
            self.bought.append(place)
            if not right:
                self.wrong.append(place)
            self.log.replace(place, extent=body.get("extent"))
            self.faults = [fault for fault in self.faults if fault not in right]

    def _drive(self, minutes: float) -> None:
        conditions = frozenset(self.conditions)
        runs = {c: self.runs(c, conditions) for c in self.log.engine.numbers}
        counts = {c: {"none": 400, "small": 90, "sometimes": 40, "full": 0}[how] for c, how in runs.items()}
        felt = "none" if not any(counts.values()) else "always" if "none" in runs.values() else "sometimes"
        self.set_codes(conditions)
        self.log.drive(minutes, felt=felt, counts=counts, conditions=self.conditions)


def next_steps(log: Logbook, **means: Any) -> list[dict[str, Any]]:
    """The steps proposed for a log as it stands."""
    diagnosis = explanations.Diagnosis(casefile.fold(log.entries))
    fixed = verification.fixed(diagnosis.case, diagnosis)
    spent = costs.Costs(diagnosis.case, means.get("tools"))
    return finish(advice.stepping(diagnosis, fixed, spent))


def play(car: Car, told=lambda step, log: None, **means: Any) -> Played:
    """Take the first step until one ends the case, or ``MOST_STEPS`` were taken."""
    keys, minutes = [], 0
    while len(keys) < MOST_STEPS:
        step = next_steps(car.log, **means)[0]
        told(step, car.log)
        keys.append(step["key"])
        minutes += step["minutes"]
        if step["key"] in ENDS:
            break
        car.take(step)
    return Played(keys, minutes, car.bought, car.wrong, keys[-1], not car.faults)
