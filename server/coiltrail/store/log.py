"""The log of a shop: taking entries in, and reading them in the order they were committed."""

import hashlib
import json
import re
from collections.abc import Collection
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row, Select, bindparam, insert, null, or_, select
from sqlalchemy.orm import Session

from ..core.entries import UUID_PATTERN
from . import audit, chain, derived, erasure, photos
from .clock import now_ms, uuid7
from .database import Model, db, writing
from .entry_check import can_be_shown, problem_of
from .models import Device, Entry, SetAside, Shop, Tag

Checked = tuple[Any, dict[str, str] | None]  # an entry, and its problem as {"field", "message"}

ROWS_AT_ONCE = 500
_OTHER_CONTENT = "An entry with this id is in the shop already and says something else. Record yours as a new entry."


_LOCKED = select(Shop).where(Shop.id == bindparam("shop")).with_for_update().execution_options(populate_existing=True)

_HELD = select(Entry.id, Entry.content).where(
    Entry.shop_id == bindparam("shop"), Entry.id.in_(bindparam("ids", expanding=True))
)
_APART = select(SetAside).where(
    SetAside.shop_id == bindparam("shop"), SetAside.entry_id.in_(bindparam("ids", expanding=True))
)
_APART_WITH_CONTENT = select(SetAside.id).where(
    SetAside.shop_id == bindparam("shop"), SetAside.content_sha256 == bindparam("sha256")
)

# Entries and what is still set aside after a cursor, in one order.
_NUMBERED = (
    select(Entry.number, Entry.id, Entry.content, null().label("field"), null().label("message"))
    .where(Entry.shop_id == bindparam("shop"), Entry.number > bindparam("cursor"))
    .union_all(
        select(SetAside.number, SetAside.entry_id, SetAside.content, SetAside.field, SetAside.message).where(
            SetAside.shop_id == bindparam("shop"),
            SetAside.number > bindparam("cursor"),
            SetAside.settled_ms.is_(None),
        )
    )
    .order_by("number")
    .limit(ROWS_AT_ONCE)
)


@dataclass
class Outcome:
    """What became of entries that arrived: ids in the log, what was set aside with the reason, the log's head now."""

    accepted: list[str]
    set_aside: list[dict]
    head: chain.Head


@dataclass
class Page:
    """What follows a cursor: entries, what was set aside and why, the cursor after them, and whether more follows."""

    entries: list[dict]
    set_aside: list[dict]
    cursor: int
    more: bool


def check(offered: list[Any]) -> list[Checked]:
    """Each entry with what keeps it from the log, if anything. Done before any lock is taken."""
    return [(entry, problem_of(entry)) for entry in offered]


def take_in(session: Session, shop: Shop, device_id: str | None, checked: list[Checked]) -> Outcome:
    """Put entries into the log of ``shop``, whose row is locked. May be repeated: what is there is accepted again,
    whatever today's check says of it.

    Nothing is refused away: what the log cannot take is set aside and kept with a reason, and holds up
    nothing else.
    """
    outcome = Outcome([], [], head=(0, ""))
    intake = _Intake(session, shop, device_id, [_id_of(entry) for entry, _ in checked])
    for offered, problem in checked:
        entry_id = _id_of(offered)
        entry = intake.as_it_stands(offered)
        if intake.holds(entry):
            outcome.accepted.append(entry_id)
        elif not problem and entry_id not in intake.held:
            intake.append(entry)
            outcome.accepted.append(entry_id)
        else:
            problem = problem or {"field": "id", "message": _OTHER_CONTENT}
            intake.set_aside(entry, problem)
            outcome.set_aside.append({"id": entry_id, **problem})
    intake.write()
    outcome.head = intake.head
    return outcome


def lock(session: Session, shop_id: str) -> Shop:
    """The shop's row, locked until the transaction ends, so that one writer numbers entries at a time.

    A number is then never visible before a smaller one, and a cursor cannot step over an entry that
    commits late. SQLite has no row locks; there ``writing`` holds the lock of the whole database.
    """
    return session.execute(_LOCKED, {"shop": shop_id}).scalar_one()


def page_after(
    shop_id: str, cursor: int, most_bytes: int, skip: Collection[str], skip_aside: Collection[str] = ()
) -> Page:
    """What is numbered after ``cursor`` up to ``most_bytes`` of text (at least one).

    Left out: the entries ``skip``, and of what is set aside ``skip_aside``; both by id.
    """
    page = Page([], [], cursor, more=False)
    size = 0
    while True:
        rows = db.session.execute(_NUMBERED, {"shop": shop_id, "cursor": page.cursor}).all()
        for number, entry_id, content, field_name, message in rows:
            apart = message is not None
            if entry_id not in (skip_aside if apart else skip):
                if size and size + len(content) > most_bytes:
                    page.more = True
                    return page
                size += len(content)
                entry = json.loads(content)
                if apart:
                    page.set_aside.append({"id": entry_id, "field": field_name, "message": message, "entry": entry})
                else:
                    page.entries.append(entry)
            page.cursor = number
        if len(rows) < ROWS_AT_ONCE:
            return page


def case_log(shop_id: str, case_id: str) -> list[str]:
    """The entries of a case as JSON texts, in the order they were committed."""
    return list(
        db.session.scalars(
            select(Entry.content).where(Entry.shop_id == shop_id, Entry.case_id == case_id).order_by(Entry.number)
        )
    )


def find_case(part: str) -> tuple[str, str]:
    """Shop and id of the one case whose id begins or ends with ``part``. Raises LookupError with a message."""
    fits = or_(Entry.case_id.startswith(part, autoescape=True), Entry.case_id.endswith(part, autoescape=True))
    found = db.session.execute(select(Entry.shop_id, Entry.case_id).where(fits).distinct().limit(2)).all()
    if len(found) != 1:
        few = "more than one case fits: give more of the id" if found else "no case has such an id"
        raise LookupError(f"{part}: {few}.")
    return found[0].shop_id, found[0].case_id


def begin_epoch(shop: Shop) -> None:
    """Begin a new epoch for ``shop``, whose row is locked: every device will offer all its entries again.

    For use after a restore: the database has forgotten entries that it acknowledged.
    """
    shop.epoch = uuid7()


def begin_epochs() -> None:
    """Begin a new epoch for every shop of the database."""
    with writing() as session:
        for shop_id in session.scalars(select(Shop.id)).all():
            begin_epoch(lock(session, shop_id))


def same_value(a: Any, b: Any) -> bool:
    """Whether two JSON values are one: 1 and 1.0 are, as another runtime may write either; 1 and true are not."""
    if isinstance(a, dict) and isinstance(b, dict):
        return a.keys() == b.keys() and all(same_value(a[key], b[key]) for key in a)
    if isinstance(a, list) and isinstance(b, list):
        return len(a) == len(b) and all(map(same_value, a, b))
    return isinstance(a, bool) == isinstance(b, bool) and a == b


class _Intake:
    """What the log takes in within one transaction. ``held``: by id, the entries among those offered that it has."""

    def __init__(self, session: Session, shop: Shop, device_id: str | None, ids: list[str | None]):
        self.session = session
        self.shop = shop
        self.device_id = device_id
        self.head = chain.head_of(session, shop)
        self.new: dict[type[Model], list[dict]] = {Entry: [], Tag: []}
        self.files: set[str] = set()
        self.erasing: dict[str, set[str]] = {}  # case -> ids of its entries that are to be blanked
        named = [entry_id for entry_id in ids if entry_id and re.fullmatch(UUID_PATTERN, entry_id)]
        self.held = {entry_id: json.loads(content) for entry_id, content in self._rows(_HELD, named)}
        self.apart = [row for (row,) in self._rows(_APART, named)]
        self.erased = erasure.on_list(session, shop.id, named)

    def as_it_stands(self, offered: Any) -> Any:
        """What a phone offers, without what was erased from it since."""
        wanted = _id_of(offered) in self.erased and can_be_shown(offered)
        return erasure.blanked(offered, self.erased) if wanted else offered

    def holds(self, entry: Any) -> bool:
        """Whether the log has this very entry."""
        entry_id = _id_of(entry)
        return entry_id in self.held and same_value(self.held[entry_id], entry)

    def append(self, entry: dict) -> None:
        content = _written(entry)
        number, link = self._next(content)
        self.new[Entry].append(
            {
                "shop_id": self.shop.id,
                "number": number,
                "id": entry["id"],
                "case_id": entry["case"],
                "kind": entry["kind"],
                "device": entry["device"],
                "n": entry["n"],
                "at_ms": entry["at"][0],
                "at_counter": entry["at"][1],
                "content": content,
                "chain": link,
            }
        )
        self.held[entry["id"]] = entry
        for row in self._same_apart(entry):
            row.settled_ms = now_ms()
        sha256 = photos.named_by(entry)
        if sha256:
            self.files.add(sha256)
        self._erase(entry["case"], erasure.named_in(entry))
        if entry["id"] in self.erased:
            self._erase(entry["case"], [entry["id"]])  # it came after its erasure: its pictures may be here
        if entry["kind"] == "tag_bound":
            tag = {"entry_id": entry["id"], "code": entry["body"]["code"], "case_id": entry["case"]}
            self.new[Tag].append({"shop_id": self.shop.id} | tag)

    def set_aside(self, entry: Any, problem: dict) -> None:
        """Keep ``entry`` apart, once. Only what a phone can show gets a number and is passed on."""
        content = _written(entry)
        sha256 = hashlib.sha256(content.encode()).hexdigest()
        kept = {"shop": self.shop.id, "sha256": sha256}
        if self._same_apart(entry) or self.session.execute(_APART_WITH_CONTENT, kept).first():
            return
        row = SetAside(
            shop_id=self.shop.id,
            device_id=self.device_id,
            content=content,
            content_sha256=sha256,
            field=problem["field"],
            message=problem["message"],
            received_ms=now_ms(),
        )
        if can_be_shown(entry):
            row.entry_id = entry["id"]
            row.number, row.chain = self._next(content)
            self.apart.append(row)
        self.session.add(row)

    def write(self) -> None:
        """Insert what was appended, by one statement a table, and what follows from it."""
        for table, rows in self.new.items():
            if rows:
                self.session.execute(insert(table.__table__), rows)
        photos.expect(self.session, self.shop.id, self.files)
        for case_id, ids in self.erasing.items():
            erasure.carry_out(self.session, self.shop.id, case_id, ids)
        for row in self.new[Entry]:
            if row["kind"] == "erased":
                erasure.end_links(self.session, self.shop.id, row["case_id"])
                audit.note(self.session, self._by(), "erased", audit.case_words(row["case_id"]))
        changed = [row["case_id"] for row in self.new[Entry]]
        derived.follow(self.session, self.shop.id, dict.fromkeys([*changed, *self.erasing]))

    def _by(self) -> audit.By:
        device = self.session.get(Device, self.device_id) if self.device_id else None
        return audit.By(self.shop.id, device and device.person_id, self.device_id)

    def _erase(self, case_id: str, ids: list[str]) -> None:
        if ids:
            self.erasing.setdefault(case_id, set()).update(ids)
            self.erased |= dict.fromkeys(ids, case_id)

    def _next(self, content: str) -> chain.Head:
        self.head = (self.shop.next_number, chain.link(self.head[1], content))
        self.shop.next_number += 1
        return self.head

    def _same_apart(self, entry: Any) -> list[SetAside]:
        """Rows of what was set aside before with this very content."""
        entry_id = _id_of(entry)
        return [row for row in self.apart if row.entry_id == entry_id and same_value(json.loads(row.content), entry)]

    def _rows(self, statement: Select, ids: list[str]) -> list[Row]:
        found = []
        for start in range(0, len(ids), ROWS_AT_ONCE):
            some = {"shop": self.shop.id, "ids": ids[start : start + ROWS_AT_ONCE]}
            found += self.session.execute(statement, some)
        return found


def _written(entry: Any) -> str:
    return json.dumps(entry, separators=(",", ":"))


def _id_of(entry: Any) -> str | None:
    found = entry.get("id") if isinstance(entry, dict) else None
    return found if isinstance(found, str) else None
