"""Whether the shop's data is whole: every number of the log, every entry byte for byte, every photo.

It changes nothing. What is damaged is told with the cases that it touches, as far as they can be told.
"""

import hashlib
import json
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from sqlalchemy import CompoundSelect, Connection, Executable, Row, func, literal, null, select, text
from sqlalchemy.exc import DBAPIError

from ..config import settings
from ..trouble import Trouble
from . import chain, leftovers, migrations, photos, rows
from .backup import snapshot
from .files import hash_of
from .models import Device, Entry, HandedIn, PhotoFile, SetAside, Shop, Tag

ROWS_AT_ONCE = 500
MOST_NUMBERS = 10_000_000  # looked through where even their count is damaged
MOST_NAMED = 10  # of a kind in one line; the rest are counted


@dataclass
class Finding:
    """One thing that is not as it should be, and the cases it touches. ``anywhere``: it may touch any case."""

    text: str
    cases: set[str] = field(default_factory=set)
    anywhere: bool = False


@dataclass
class Inspection:
    """What was looked at, and what was found."""

    cases: set[str] = field(default_factory=set)
    entries: int = 0
    photos: int = 0
    awaited: int = 0  # photos that phones have not sent yet
    lost_photos: list[str] = field(default_factory=list)  # SHA-256 of those missing or damaged
    findings: list[Finding] = field(default_factory=list)

    def find(self, text: str, cases: Iterable[str | None] = (), *, anywhere: bool = False) -> None:
        named = set(cases)
        self.findings.append(Finding(text, named - {None}, anywhere or None in named))

    @property
    def whole(self) -> bool:
        return not self.findings

    def summary(self) -> str:
        """All of it in one line."""
        if self.whole:
            awaited = f"; {self.awaited} more are still on phones" if self.awaited else ""
            return f"All is whole: {len(self.cases)} cases, {self.entries} entries, {self.photos} photos{awaited}."
        touched = sorted(set().union(*(finding.cases for finding in self.findings)))
        if any(finding.anywhere for finding in self.findings):
            known = f"; known are {_named(touched)}" if touched else ""
            return f"Not whole: which cases are affected cannot be told{known}. Restore a backup; keep every phone."
        if touched:
            return f"Not whole: {len(touched)} of {len(self.cases)} cases are affected: {_named(touched)}."
        return (
            f"Not whole, but no case is affected: all of {len(self.cases)} cases and {self.entries} entries are here."
        )


def inspect_shop() -> Inspection:
    """Look through the database and the photos of the running application's settings. Raises Trouble: there is none."""
    seen = Inspection()
    try:
        with snapshot() as connection:
            _insist_on_a_shop(connection)
            _structure(connection, seen)
            named = _logs(connection, seen)
            _set_aside(connection, seen)
            _photos(connection, seen, named)
    except DBAPIError as problem:
        seen.find(f"The database cannot be read: {problem.orig}.", anywhere=True)
    except Trouble:
        raise
    except Exception as problem:  # bytes that were changed can break whatever reads them
        seen.find(f"The database holds what no release wrote ({problem!r}).", anywhere=True)
    for path in leftovers.find(settings().data):
        seen.find(f"{path} was left behind by a stop; the next start of the server removes it.")
    return seen


def _insist_on_a_shop(connection: Connection) -> None:
    at = rows.revision(connection)
    if at is None:
        raise Trouble(f"There is no shop in {settings().data}: say where it is with COILTRAIL_DATA.")
    if at != migrations.newest():
        raise Trouble("The database is in the shape of another release: bring it to this one's with coiltrail migrate.")


def _structure(connection: Connection, seen: Inspection) -> None:
    """SQLite's own checks of pages, indexes and references."""
    if connection.dialect.name != "sqlite":
        return
    for (said,) in _all(connection, text("PRAGMA integrity_check(20)")) or [("its pages cannot be followed",)]:
        if said != "ok":
            seen.find(f"The database's structure is damaged: {' '.join(said.split())}.")
    broken = _all(connection, text("PRAGMA foreign_key_check"))
    if broken:
        seen.find(f"{len(broken)} rows of {broken[0][0]} refer to rows of {broken[0][2]} that are not there.")


Named = dict[tuple[str, str], set[str]]  # shop and file -> cases of the entries that name it


def _logs(connection: Connection, seen: Inspection) -> Named:
    """Every shop's log, entry by entry."""
    named: Named = defaultdict(set)
    for shop in connection.execute(select(Shop.id, Shop.next_number)).all():
        numbers, devices, tags = _Numbers(shop.next_number, seen), _Counters(), {}
        for number, row in _numbered(connection, shop, seen):
            entry = numbers.take(number, row)
            if row is not None and not row.apart:
                devices.count(row.device, row.n, row.id, row.case_id)
            if entry is None:
                continue
            if row.apart:
                devices.count(entry["device"], entry["n"], entry["id"], entry["case"])
            file = photos.named_by(entry)
            if isinstance(file, str) and file:
                named[shop.id, file].add(entry["case"])
            if entry["kind"] == "tag_bound" and not row.apart:
                tags[entry["id"]] = entry["case"]
        numbers.end()
        devices.tell(connection, seen, explained=numbers.incomplete)
        _tags(connection, shop.id, tags, seen)
    return named


class _Numbers:
    """Follows one shop's log number by number."""

    def __init__(self, next_number: int, seen: Inspection):
        self.next_number = next_number
        self.seen = seen
        self.last = 0
        self.incomplete = False  # a number is missing or cannot be read
        self.before = {""}  # the hashes that the next number may follow; none: unknown

    def take(self, number: int, row: Row | None) -> dict | None:
        """The entry at the next number; None where it is damaged or could not be read (``row`` None)."""
        self._no_gap_before(number)
        self.last = number
        if row is None:
            self.incomplete = True
            self.before = set()
            return None
        links = {chain.link(before, row.content) for before in self.before}
        # What was blanked does not fit the hash of what was there before, but one of its own.
        blanked = row.blanked_sha256 == hashlib.sha256(row.content.encode()).hexdigest()
        fits = not links or row.chain in links or blanked
        # Where the hash was changed and not the entry, the next number follows the hash it should be.
        self.before = {row.chain} if fits else {row.chain} | links
        entry = _entry_in(row)
        if not row.apart:
            self.seen.entries += 1
            self.seen.cases.add(row.case_id)
        if not fits or entry is None:
            what = "What is set aside at" if row.apart else "The entry at"
            case = row.case_id or (entry and entry["case"])
            self.seen.find(f"{what} number {row.number} does not fit its hash: it was changed or damaged.", [case])
            return None
        return entry

    def end(self) -> None:
        self._no_gap_before(self.next_number)
        if self.last >= self.next_number:
            self.seen.find(f"The log goes on past its last number, {self.next_number - 1}.", anywhere=True)

    def _no_gap_before(self, number: int) -> None:
        if number > self.last + 1:
            gap = f"Number {number - 1}" if number == self.last + 2 else f"Numbers {self.last + 1} to {number - 1}"
            self.seen.find(f"{gap} of the log cannot be found.", anywhere=True)
            self.incomplete = True
            self.before = set()


class _Counters:
    """What each device counted: its entries bear 1, 2, 3 ... whatever became of them."""

    def __init__(self) -> None:
        self.numbers: dict[str, dict[int, str]] = defaultdict(dict)  # device -> its count -> the entry's id
        self.cases: dict[str, set[str]] = defaultdict(set)
        self.twice: dict[str, set[int]] = defaultdict(set)

    def count(self, device: str, n: int, entry_id: str, case: str) -> None:
        if self.numbers[device].setdefault(n, entry_id) != entry_id:
            self.twice[device].add(n)
        self.cases[device].add(case)

    def tell(self, connection: Connection, seen: Inspection, *, explained: bool) -> None:
        """``explained``: the log has holes, which are told with their own cases."""
        names = dict(connection.execute(select(Device.id, Device.name)).all())
        for device, numbers in sorted(self.numbers.items()):
            label = f"{names.get(device) or 'A device'} ({device})"
            missing = max(numbers) - len(numbers)
            if missing:
                first = next(n for n in range(1, max(numbers)) if n not in numbers)
                seen.find(
                    f"{label} counted {max(numbers)} entries and {missing} are not here, the first number {first}: "
                    "let it sync, then check again.",
                    [] if explained else self.cases[device],
                )
            if self.twice[device]:
                which = _named(sorted(self.twice[device]))
                seen.find(f"{label} gave the number {which} to two entries; both are kept.", self.cases[device])


def _set_aside(connection: Connection, seen: Inspection) -> None:
    for row in connection.execute(select(SetAside.id, SetAside.content, SetAside.content_sha256)):
        if hashlib.sha256(row.content.encode()).hexdigest() != row.content_sha256:
            seen.find(f"What is set aside as {row.id} does not fit its hash: it was changed or damaged.")


def _tags(connection: Connection, shop_id: str, bound: dict[str, str], seen: Inspection) -> None:
    listed = dict(connection.execute(select(Tag.entry_id, Tag.case_id).where(Tag.shop_id == shop_id)).all())
    for entry_id in sorted(bound.keys() ^ listed.keys()):
        seen.find(f"The list of tags and entry {entry_id} disagree.", [bound.get(entry_id) or listed[entry_id]])


def _photos(connection: Connection, seen: Inspection, named: Named) -> None:
    handed_in = set(connection.scalars(select(HandedIn.photo_sha256)))
    listed = {(row.shop_id, row.sha256): row for row in connection.execute(select(PhotoFile.__table__))}
    for key in sorted(named.keys() - listed.keys()):
        seen.find(f"No phone was ever asked for photo {key[1]}.", named[key])
    hashes: dict[str, str | None] = {}
    for key, row in sorted(listed.items()):
        cases = named.get(key, set())
        if not row.complete:
            if row.unfit == photos.ERASED and _photo_path(row.sha256).exists():
                seen.find(f"{_photo_path(row.sha256)} was erased on request and is still there: delete it.", cases)
            seen.awaited += row.unfit is None
            continue
        seen.photos += 1
        path = _photo_path(row.sha256)
        if row.sha256 not in hashes:
            hashes[row.sha256] = hash_of(path)
        if hashes[row.sha256] != row.sha256:
            what = "missing from the disk" if hashes[row.sha256] is None else "damaged on the disk"
            seen.find(f"Photo {row.sha256} is {what}.", cases)
            seen.lost_photos.append(row.sha256)
        if not cases and row.sha256 not in handed_in:
            seen.find(f"Photo {row.sha256} is named by no entry.")
    known = {sha256 for _, sha256 in listed}
    for path in sorted((settings().data / "photos").rglob("*")):
        if path.is_file() and (path.name not in known or path != _photo_path(path.name)):
            seen.find(f"{path} is no photo that the database knows.")


def _photo_path(sha256: str) -> Path:
    return settings().data / "photos" / sha256[:2] / sha256


def _numbered(connection: Connection, shop: Row, seen: Inspection) -> Iterator[tuple[int, Row | None]]:
    """Number and row of the shop's log, in order. Rows that cannot be read are None, and told with their case."""
    shop_id, last = shop.id, _last_number(connection, shop)
    for first in range(1, last + 1, ROWS_AT_ONCE):
        found = _all(connection, _rows(shop_id, first, first + ROWS_AT_ONCE - 1))
        if found is not None:
            yield from ((row.number, row) for row in found)
            continue
        for number in range(first, min(first + ROWS_AT_ONCE, last + 1)):
            found = _all(connection, _rows(shop_id, number, number))
            if found is None:
                case = _case_by_index(connection, shop_id, number)
                seen.find(f"Number {number} of the log cannot be read.", [case])
                yield number, None
            else:
                yield from ((number, row) for row in found)


def _rows(shop_id: str, first: int, last: int) -> CompoundSelect:
    """Entries and what was set aside with numbers from ``first`` to ``last``; ``apart`` tells one from the other."""
    entries = select(
        Entry.number,
        literal(0).label("apart"),
        Entry.content,
        Entry.chain,
        Entry.blanked_sha256,
        Entry.case_id,
        Entry.kind,
        Entry.id,
        Entry.device,
        Entry.n,
        Entry.at_ms,
        Entry.at_counter,
    ).where(Entry.shop_id == shop_id, Entry.number.between(first, last))
    nothing = [null() for _ in range(7)]
    aside = select(
        SetAside.number, literal(1), SetAside.content, SetAside.chain, SetAside.blanked_sha256, *nothing
    ).where(SetAside.shop_id == shop_id, SetAside.number.between(first, last))
    return entries.union_all(aside).order_by("number")


def _last_number(connection: Connection, shop: Row) -> int:
    """The last number of the log by what is in it; where that cannot be read, by the shop's own count."""
    greatest = [
        _all(connection, select(func.max(table.number)).where(table.shop_id == shop.id)) for table in (Entry, SetAside)
    ]
    if None in greatest:
        return min(shop.next_number - 1, MOST_NUMBERS)
    return max(found[0][0] or 0 for found in greatest)


def _all(connection: Connection, statement: Executable) -> list[Row] | None:
    """All rows, or None where the database cannot read them."""
    try:
        with connection.begin_nested():
            return list(connection.execute(statement).all())
    except DBAPIError:
        return None


def _case_by_index(connection: Connection, shop_id: str, number: int) -> str | None:
    """The case of an entry whose row cannot be read, by SQLite's indexes, which hold it a second time."""
    if connection.dialect.name != "sqlite":
        return None
    try:
        keys = connection.exec_driver_sql("PRAGMA index_list(entry)").mappings()
        key = next(row["name"] for row in keys if row["origin"] == "pk")
        return connection.execute(
            text(
                "SELECT case_id FROM entry INDEXED BY ix_entry_shop_id_case_id WHERE shop_id = :shop AND rowid = "
                f"(SELECT rowid FROM entry INDEXED BY {key} WHERE shop_id = :shop AND number = :number)"
            ),
            {"shop": shop_id, "number": number},
        ).scalar()
    except (DBAPIError, StopIteration):
        return None


def _entry_in(row: Row) -> dict | None:
    """The entry in the row's content; None where it is none, or is another than the row's columns say."""
    try:
        entry = json.loads(row.content)
        found = (entry["id"], entry["case"], entry["kind"], entry["device"], entry["n"], *entry["at"])
        told = (row.id, row.case_id, row.kind, row.device, row.n, row.at_ms, row.at_counter)
        return entry if (row.apart or found == told) and isinstance(entry["body"], dict) else None
    except (ValueError, TypeError, KeyError):
        return None


def _named(names: list) -> str:
    some = ", ".join(map(str, names[:MOST_NAMED]))
    return some + (f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else "")
