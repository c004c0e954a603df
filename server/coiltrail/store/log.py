"""The log of a shop: taking entries in, and reading them in the order they were committed."""

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from . import photos
from .clock import now_ms, uuid7
from .database import db, writing
from .entry_check import problem_of
from .models import Entry, SetAside, Shop, Tag

Checked = tuple[Any, dict[str, str] | None]  # an entry, and its problem as {"field", "message"}

ROWS_AT_ONCE = 500
_OTHER_CONTENT = "An entry with this id is in the shop already and says something else. Record yours as a new entry."


@dataclass
class Outcome:
    """What became of entries that arrived: ids in the log, and what was set aside with the reason."""

    accepted: list[str] = field(default_factory=list)
    set_aside: list[dict] = field(default_factory=list)


@dataclass
class Page:
    """Entries after a cursor, the cursor after them, and whether more follow."""

    entries: list[dict]
    cursor: int
    more: bool


def check(offered: list[Any]) -> list[Checked]:
    """Each entry with what keeps it from the log, if anything. Done before any lock is taken."""
    return [(entry, problem_of(entry)) for entry in offered]


def take_in(session: Session, shop: Shop, device_id: str | None, checked: list[Checked]) -> Outcome:
    """Put entries into the log of ``shop``, whose row is locked. May be repeated: what is there is accepted again.

    Nothing is refused away: what the log cannot take is set aside and kept with a reason, and holds up
    nothing else.
    """
    outcome = Outcome()
    held = _held(session, shop.id, [entry["id"] for entry, problem in checked if not problem])
    for entry, problem in checked:
        if not problem and entry["id"] in held and not same_value(held[entry["id"]], entry):
            problem = {"field": "id", "message": _OTHER_CONTENT}
        if problem:
            _set_aside(session, shop.id, device_id, entry, problem)
            outcome.set_aside.append({"id": _id_of(entry), **problem})
            continue
        if entry["id"] not in held:
            _append(session, shop, entry)
            held[entry["id"]] = entry
        outcome.accepted.append(entry["id"])
    return outcome


def lock(session: Session, shop_id: str) -> Shop:
    """The shop's row, locked until the transaction ends, so that one writer numbers entries at a time.

    A number is then never visible before a smaller one, and a cursor cannot step over an entry that
    commits late. SQLite has no row locks; there ``writing`` holds the lock of the whole database.
    """
    return session.execute(
        select(Shop).where(Shop.id == shop_id).with_for_update().execution_options(populate_existing=True)
    ).scalar_one()


def page_after(shop_id: str, cursor: int, most_bytes: int, skip: set[str]) -> Page:
    """Entries numbered after ``cursor`` up to ``most_bytes`` of text (at least one), without those in ``skip``."""
    found: list[dict] = []
    size = 0
    while True:
        rows = db.session.execute(
            select(Entry.number, Entry.id, Entry.content)
            .where(Entry.shop_id == shop_id, Entry.number > cursor)
            .order_by(Entry.number)
            .limit(ROWS_AT_ONCE)
        ).all()
        for number, entry_id, content in rows:
            if entry_id not in skip:
                if found and size + len(content) > most_bytes:
                    return Page(found, cursor, more=True)
                found.append(json.loads(content))
                size += len(content)
            cursor = number
        if len(rows) < ROWS_AT_ONCE:
            return Page(found, cursor, more=False)


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


def _held(session: Session, shop_id: str, ids: list[str]) -> dict[str, dict]:
    return {entry_id: json.loads(content) for entry_id, content in _rows_of(session, shop_id, ids)}


def _rows_of(session: Session, shop_id: str, ids: list[str]) -> Iterator[tuple[str, str]]:
    for start in range(0, len(ids), ROWS_AT_ONCE):
        some = ids[start : start + ROWS_AT_ONCE]
        yield from session.execute(select(Entry.id, Entry.content).where(Entry.shop_id == shop_id, Entry.id.in_(some)))


def _append(session: Session, shop: Shop, entry: dict) -> None:
    session.add(
        Entry(
            shop_id=shop.id,
            number=shop.next_number,
            id=entry["id"],
            case_id=entry["case"],
            kind=entry["kind"],
            device=entry["device"],
            n=entry["n"],
            at_ms=entry["at"][0],
            at_counter=entry["at"][1],
            content=_written(entry),
        )
    )
    shop.next_number += 1
    _expect_file(session, shop.id, entry)
    if entry["kind"] == "tag_bound":
        session.add(Tag(shop_id=shop.id, entry_id=entry["id"], code=entry["body"]["code"], case_id=entry["case"]))


def _expect_file(session: Session, shop_id: str, entry: dict) -> None:
    sha256 = entry["body"].get({"photo": "sha256", "recording": "sha256", "agreed": "signature"}.get(entry["kind"]))
    if sha256:
        photos.expect(session, shop_id, sha256)


def _set_aside(session: Session, shop_id: str, device_id: str | None, entry: Any, problem: dict) -> None:
    content = _written(entry)
    sha256 = hashlib.sha256(content.encode()).hexdigest()
    kept = select(SetAside.id).where(SetAside.shop_id == shop_id, SetAside.content_sha256 == sha256)
    if session.execute(kept).first() is None:
        session.add(
            SetAside(
                shop_id=shop_id,
                device_id=device_id,
                content=content,
                content_sha256=sha256,
                field=problem["field"],
                message=problem["message"],
                received_ms=now_ms(),
            )
        )


def _written(entry: Any) -> str:
    return json.dumps(entry, separators=(",", ":"))


def _id_of(entry: Any) -> str | None:
    found = entry.get("id") if isinstance(entry, dict) else None
    return found if isinstance(found, str) else None
