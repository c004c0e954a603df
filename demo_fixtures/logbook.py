"""A builder of case logs: what a phone would have recorded, entry by entry, the same on every run.

Ids and times follow from the seed alone. Each method records one entry (or, for a round, one a cylinder)
and gives it back, so that a later call can refer to it.
"""

import random
from collections.abc import Iterable
from typing import Any

from coiltrail.core import measures
from coiltrail.core.engine import Engine

Entry = dict[str, Any]

MINUTE = 60_000  # milliseconds
DAY = 24 * 60 * MINUTE
START = 1_741_593_600_000  # 2025-03-10 08:00 UTC
MECHANIC = "01900000-0000-7000-8000-000000000002"  # Robin Vale of the demo shop


def uuid7(ms: int, draw: random.Random) -> str:
    """A UUIDv7-shaped id for the time ``ms`` with the random bits of ``draw`` (RFC 9562, section 5.7)."""
    bits = draw.getrandbits(74)
    value = ms << 80 | 0x7 << 76 | (bits >> 62) << 64 | 0b10 << 62 | bits & (1 << 62) - 1
    text = f"{value:032x}"
    return "-".join((text[:8], text[8:12], text[12:16], text[16:20], text[20:]))


def quantity(text: str, dimension: str, unit: str | None = None) -> dict[str, Any]:
    """A quantity as typed. Raises ValueError where it cannot be read."""
    read = measures.parse_quantity(text, dimension, unit)
    if "message" in read:
        raise ValueError(read["message"])
    return read


class Logbook:
    """The log of one case, on one phone at a time.

    ``entries`` holds what was recorded, in order of recording. ``case`` is the case's id. ``place_of`` and
    ``part_at`` follow the parts as this logbook moved them, so that moves can name their part as the page does.
    """

    def __init__(
        self,
        seed: str,
        cylinders: int = 4,
        layout: str = "inline",
        ignition: str = "coil_on_plug",
        *,
        numbering: str | None = None,
        firing_order: list[int] | None = None,
        orientation: str | None = None,
        vehicle: dict[str, Any] | None = None,
        customer: dict[str, Any] | None = None,
        odometer: str | None = None,
        start: int = START,
        by: str = MECHANIC,
        opened: bool = True,
        case: str | None = None,
    ):
        self._draw = random.Random(seed)
        self._now = start
        self.by = by
        self.entries: list[Entry] = []
        self.engine = Engine(cylinders, layout, ignition, numbering, firing_order)
        self.case = case or self.new_id()
        self.device = self.new_id()
        self._counters: dict[str, int] = {}
        self._seats: dict[str, str] = {}
        laid_out = {
            "cylinders": cylinders,
            "layout": layout,
            "ignition": ignition,
            "numbering": numbering,
            "firing_order": firing_order,
            "orientation": orientation,
        }
        if opened:
            self.add(
                "case_opened",
                vehicle=vehicle or {"make": "Larkfield", "model": "Dunnock", "year": 2014},
                engine=_without_empty(laid_out),
                customer=customer,
                odometer=quantity(odometer, "distance") if odometer else None,
            )

    # Recording

    def new_id(self) -> str:
        """A fresh id of this log's time and seed."""
        return uuid7(self._now, self._draw)

    def later(self, minutes: float) -> None:
        """Let time pass."""
        self._now += int(minutes * MINUTE)

    def on_device(self, device: str | None = None, behind: float = 0) -> str:
        """Go on recording on another device (a new one unless named), its clock ``behind`` minutes back."""
        self._now -= int(behind * MINUTE)
        self.device = device or self.new_id()
        return self.device

    def add(self, kind: str, /, *, when: dict[str, int] | None = None, **body: Any) -> Entry:
        """Record one entry of ``kind``; fields that are None are left out. One minute passes."""
        self.later(1)
        self._counters[self.device] = self._counters.get(self.device, 0) + 1
        entry = {
            "id": self.new_id(),
            "case": self.case,
            "kind": kind,
            "at": [self._now, 0],
            "when": when,
            "device": self.device,
            "n": self._counters[self.device],
            "by": self.by,
            "body": _without_empty(body),
        }
        self.entries.append(entry)
        return entry

    # What the customer says

    def complaint(
        self,
        *symptoms: str,
        circumstances: Iterable[str] = (),
        lamp: str | None = "steady",
        words: str | None = None,
        since: str | None = None,
    ) -> Entry:
        return self.add(
            "complaint",
            symptoms=list(symptoms or ("shakes",)),
            circumstances=list(circumstances) or None,
            lamp=lamp,
            words=words,
            since=since,
        )

    def agree(self, what: str, limit: float | None = None, how: str = "said", **more: Any) -> Entry:
        return self.add("agreed", what=what, limit=limit, currency="USD" if limit else None, how=how, **more)

    def price(self, stage: str, *lines: tuple[str, str, float, int], taxes: dict[str, float] | None = None) -> Entry:
        """An estimate or the bill: lines of (sort, what, quantity, cents for one), taxes on parts in percent."""
        rows = [dict(zip(("sort", "text", "quantity", "price"), line, strict=True)) for line in lines]
        rates = [{"label": label, "rate": rate, "on": ["part"]} for label, rate in (taxes or {}).items()]
        return self.add("priced", stage=stage, currency="USD", lines=rows, taxes=rates or None)

    # Codes

    def codes(self, *codes: str, complete: bool = True, status: str = "stored", **more: Any) -> Entry:
        """Codes read. ``"P0302"`` has the ``status`` given, ``"P0302 pending"`` its own."""
        read = [[*code.split(), status][:2] for code in codes]
        rows = [{"code": code, "status": own} for code, own in read]
        return self.add("codes_read", codes=rows, complete=complete, obtained=more.pop("obtained", "typed"), **more)

    def clear(self, how: str = "reader") -> Entry:
        return self.add("codes_cleared", how=how)

    # Findings

    def check(self, check: str, finding: str | None = None, **body: Any) -> Entry:
        """One check: ``cylinder=3`` or ``place="coil.3"``; ``reading=("95 psi", "pressure")``."""
        if isinstance(body.get("reading"), tuple):
            body["reading"] = quantity(*body["reading"])
        return self.add("check", check=check, finding=finding, **body)

    def round(self, check: str, findings: dict[int, str], kind: str | None = None, **body: Any) -> list[Entry]:
        """The same check on one cylinder (or at one position of ``kind``) after the other."""
        same = self.new_id()
        return [
            self.check(
                check, finding, round=same, **({"place": f"{kind}.{number}"} if kind else {"cylinder": number}), **body
            )
            for number, finding in findings.items()
        ]

    def drop(self, findings: dict[int, str], disabled: str | None = "injector", **body: Any) -> list[Entry]:
        """A drop test, cylinder by cylinder: "none", "small" or "full"."""
        return self.round("drop", findings, disabled=disabled, **body)

    def shake(self, rpm: float, shake: str, half_order: str | None = None, **body: Any) -> Entry:
        """What the phone felt on the engine cover, in m/s², and how much of it was the half order, in per cent."""
        felt = {"shake": quantity(shake, "acceleration"), "with": ["motion", "sound"], "seconds": 5}
        if half_order:
            felt["half_order"] = quantity(half_order, "share")
        return self.add("shake_measured", **{"rpm": rpm, "rests": "cover", **felt, **body})

    def connectors(self, findings: dict[int, str], **body: Any) -> list[Entry]:
        """A look at coil connectors, position by position."""
        return self.round("connector_look", findings, kind="coil", **body)

    def compression(self, readings: dict[int, str], low: Iterable[int] = ()) -> list[Entry]:
        """A compression test: what the gauge showed, and which cylinders are low against the best."""
        same = self.new_id()
        return [
            self.check(
                "compression",
                "low" if cylinder in low else "good",
                cylinder=cylinder,
                round=same,
                reading=(text, "pressure"),
            )
            for cylinder, text in readings.items()
        ]

    def photo(self, sha256: str, size: int, shows: str = "other", **body: Any) -> Entry:
        """A photo of ``size`` bytes, named by its SHA-256."""
        return self.add("photo", sha256=sha256, bytes=size, shows=shows, **body)

    def note(self, text: str, **body: Any) -> Entry:
        return self.add("note", text=text, **body)

    # Parts

    def part_at(self, place: str) -> str | None:
        """Id of the part at a place as this logbook moved them, by its name on arrival."""
        kind, _, position = place.partition(".")
        return self._seats.get(place, f"{self.case}.{kind}.{position}") or None

    def move(self, *moves: tuple[str, str], named: bool = True, before_arrival: int | None = None, **body) -> Entry:
        """Parts moved, each ("coil.3", "coil.1"); ``named`` false leaves out which part it was."""
        rows = []
        for from_, to in moves:
            part = self.part_at(from_) if named and not before_arrival and from_ != "off" else None
            rows.append(_without_empty({"part": part, "from": from_, "to": to}))
        entry = self.add("parts_moved", moves=rows, when=_before(before_arrival), **body)
        if not before_arrival:
            for row in rows:
                self._seats[row["from"]] = ""
            for row in rows:
                self._seats[row["to"]] = row.get("part") or ""
        return entry

    def swap(self, kind: str, a: int, b: int, **more: Any) -> Entry:
        """Two parts of ``kind`` change places."""
        return self.move((f"{kind}.{a}", f"{kind}.{b}"), (f"{kind}.{b}", f"{kind}.{a}"), **more)

    def note_part(self, kind: str, place: str | None = None, part: str | None = None, **noted: Any) -> Entry:
        """What is known of a part, by its name on arrival, or of one brought along (``part`` a new id)."""
        return self.add("part_noted", part=part or self.part_at(place), kind=kind, place=place, **noted)

    def replace(self, place: str, before_arrival: int | None = None, **body: Any) -> Entry:
        """The part at ``place`` is replaced by a new one, or by the one named ``installed``."""
        removed = None if before_arrival else self.part_at(place)
        torque = body.pop("torque", None)
        entry = self.add(
            "repair",
            work="replaced",
            place=place,
            removed=removed,
            torque=quantity(torque, "torque") if torque else None,
            use=body.pop("use", "new"),
            when=_before(before_arrival),
            **body,
        )
        if not before_arrival:
            self._seats[place] = body.get("installed") or entry["id"]
        return entry

    def mend(self, component: str, work: str = "mended", **body: Any) -> Entry:
        """Work on what is no part: ``coil_connector@3``, ``gasket@2-3``, ``unmetered_air``."""
        return self.add("repair", work=work, component=component, **body)

    def tag(self, code: str, part: str) -> Entry:
        """A tag hangs on ``part`` (an id, or a place whose part is meant)."""
        return self.add("tag_bound", code=code, part=self._part(part))

    def fate(self, part: str, fate: str, **body: Any) -> Entry:
        return self.add("part_fate", part=self._part(part), fate=fate, **body)

    def _part(self, part: str) -> str:
        return self.part_at(part) if part.partition(".")[0] in ("coil", "boot", "plug", "injector") else part

    # Driving and ending

    def drive(self, minutes: float, felt: str = "none", counts: dict[int, int] | None = None, **body: Any) -> Entry:
        """A road test."""
        self.later(minutes)
        rows = [{"cylinder": cylinder, "count": count} for cylinder, count in (counts or {}).items()]
        return self.add("road_test", minutes=minutes, felt=felt, counts=rows or None, **body)

    def close(self, cause: str, later: dict[str, str] | None = None, **body: Any) -> Entry:
        """The case is closed; ``later`` maps a code left alone to what and why."""
        left = [{"code": code, "text": text} for code, text in (later or {}).items()]
        return self.add("case_closed", cause=cause, later=left or None, **body)

    def reopen(self, why: str) -> Entry:
        return self.add("case_reopened", why=why)

    # Corrections

    def answer(self, question: str, answer: str) -> Entry:
        return self.add("answered", question=question, answer=answer)

    def strike(self, entry: Entry, why: str = "Tapped by mistake") -> Entry:
        return self.add("struck", entry=entry["id"], why=why)

    def erase(self, *entries: Entry, why: str = "Asked by the customer") -> Entry:
        return self.add("erased", entries=[entry["id"] for entry in entries], why=why)


def _before(order: int | None) -> dict[str, int] | None:
    return {"before_arrival": order} if order else None


def _without_empty(fields: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in fields.items() if value is not None}
