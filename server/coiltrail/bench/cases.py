"""Invented cases to measure the diagnosis with: coil on plug, some coils swapped, about sixty entries.

Cylinder 1 is weak now and then; its coil was moved and it stays weak, so that much is left open: what a diagnosis
finds hard. The same case has the same ids on every run.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field

CYLINDERS = (4, 6, 8, 12)
SWAPS = (0, 1, 2, 3, 5, 8)
SHAPES = ("chain", "ring", "pairs", "turns")
IN_TURNS = ("coil", "plug", "injector")
ENTRIES = 60
STARTED_MS = 1_741_593_600_000  # 2025-03-10 08:00 UTC
# Checks on every cylinder before anything is moved, as far as the entries reach, and what they find.
ROUNDS = (
    ("drop", "cylinder", "full", "small"),
    ("connector_look", "coil", "good", "good"),
    ("misfire_counts", "cylinder", "none", "some"),
    ("coil_look", "coil", "good", "good"),
    ("injector_sound", "injector", "clicks", "faint"),
    ("plug_look", "plug", "good", "worn"),
)


@dataclass(frozen=True)
class Shape:
    """``swaps`` on an engine of ``cylinders``, of coils as chain, ring or pairs ("" where nothing was swapped).

    As turns: a coil, then a plug, then an injector between the same two cylinders.
    """

    cylinders: int
    swaps: int
    shape: str

    @property
    def name(self) -> str:
        return f"{self.cylinders} cyl, {self.swaps} swaps{' as ' + self.shape if self.shape else ''}"

    def pairs(self) -> list[tuple[int, int]]:
        """The positions of each swap. A chain carries one coil on, a ring comes back to where it began."""
        numbers = range(self.swaps)
        if self.shape == "pairs":
            return [(2 * n + 1, 2 * n + 2) for n in numbers]
        if self.shape == "turns":
            return [(1, 2) for _ in numbers]
        around = self.swaps if self.shape == "ring" else self.cylinders
        return [(n % around + 1, (n + 1) % around + 1) for n in numbers]

    def is_possible(self) -> bool:
        """Whether the engine has the places, and the shape is not the same as a chain."""
        most = {"": 0, "chain": 99, "ring": self.cylinders, "pairs": self.cylinders // 2, "turns": 3}[self.shape]
        least = {"": 0, "chain": 1, "ring": 3, "pairs": 2, "turns": 2}[self.shape]
        return least <= self.swaps <= most

    def entries(self) -> list[dict]:
        """The log of such a case."""
        log = _Log(self)
        log.opened()
        log.codes("P0301")
        swaps = self.pairs()
        room = ENTRIES - len(log.entries) - 3 * len(swaps)
        for check, about, usual, odd in ROUNDS:
            if room < self.cylinders:
                break
            room -= self.cylinders
            for number in range(1, self.cylinders + 1):
                log.check(check, about, number, odd if number == 1 else usual)
        for number in range(room):
            log.add("note", {"text": "Warm now, still shakes.", "cylinder": number % self.cylinders + 1})
        kinds = IN_TURNS if self.shape == "turns" else ("coil",) * len(swaps)
        for kind, (one, other) in zip(kinds, swaps, strict=False):
            log.swap(kind, one, other)
            for number in (one, other):
                log.check("drop", "cylinder", number, "small" if number == 1 else "full")
        return log.entries


def shapes(cylinders: tuple[int, ...] = CYLINDERS) -> Iterator[Shape]:
    """Every shape that is possible on these engines."""
    for number in cylinders:
        for swaps in SWAPS:
            found = [Shape(number, swaps, shape) for shape in ("", *SHAPES)]
            yield from [shape for shape in found if shape.is_possible()]


@dataclass
class _Log:
    shape: Shape
    entries: list[dict] = field(default_factory=list)

    def add(self, kind: str, body: dict) -> None:
        n = len(self.entries) + 1
        self.entries.append(
            {"id": _id(100 + n), "case": _id(1), "kind": kind, "at": [STARTED_MS + 60_000 * n, 0], "when": None}
            | {"device": _id(2), "n": n, "by": _id(3), "body": body}
        )

    def opened(self) -> None:
        cylinders = self.shape.cylinders
        engine = {"cylinders": cylinders, "layout": "inline" if cylinders < 6 else "vee", "ignition": "coil_on_plug"}
        self.add("case_opened", {"vehicle": {"plate": "XX-400", "year": 2014}, "engine": engine})
        self.add("complaint", {"symptoms": ["shakes"], "circumstances": ["sometimes", "load"], "lamp": "steady"})

    def codes(self, *codes: str) -> None:
        rows = [{"code": code, "status": "stored"} for code in codes]
        self.add("codes_read", {"codes": rows, "complete": True, "obtained": "typed"})

    def check(self, check: str, about: str, number: int, finding: str) -> None:
        where = {"cylinder": number} if about == "cylinder" else {"place": f"{about}.{number}"}
        self.add("check", {"check": check, "finding": finding} | where)

    def swap(self, kind: str, one: int, other: int) -> None:
        places = f"{kind}.{one}", f"{kind}.{other}"
        self.add("parts_moved", {"moves": [{"from": a, "to": b} for a, b in (places, places[::-1])]})


def _id(number: int) -> str:
    return f"01957f00-0000-7000-8000-{number:012x}"
