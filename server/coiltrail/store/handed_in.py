"""What devices that were shut out hand in: kept apart from the log until somebody has looked at it.

Such a device is told nothing in return but which of its entries arrived.
"""

import hashlib
import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from sqlalchemy import bindparam, func, select
from sqlalchemy.orm import Session

from ..core.tongue import phrase
from . import audit, erasure, log, people, photos
from .audit import By
from .clock import now_ms
from .database import db, writing
from .entry_check import can_be_shown
from .models import Device, Entry, HandedIn, Person, PhotoFile

MOST_BYTES = 20_000_000  # of entries that one device may hand in


class TooMuch(Exception):
    """A device has handed in more than is kept apart for it."""


@dataclass(frozen=True)
class Waiting:
    """One entry kept apart. ``late``: by its own clock it was recorded after the device was shut out."""

    row: HandedIn
    entry: dict
    late: bool


def hand_in(device: Device, offered: list[Any], address: str = "") -> list[str]:
    """Keep entries of a shut-out device apart. May be repeated. Gives the ids of those that are kept or that the log
    has; what is no entry by its envelope is passed over, since nobody could look at it. Raises TooMuch.
    """
    entries = [entry for entry in offered if can_be_shown(entry)]
    by = By(device.person.shop_id, device.person_id, device.id, address)
    device_id, device_name = device.id, device.name
    with writing() as session:
        log.lock(session, by.shop_id)
        held = _held(session, by.shop_id, entries)
        erased = erasure.on_list(session, by.shop_id, [entry["id"] for entry in entries])
        size = session.scalar(select(func.sum(func.length(HandedIn.content))).where(HandedIn.device_id == device_id))
        size, new = size or 0, 0
        for entry in entries:
            sha256 = _sha256(_written(entry))
            there = select(HandedIn.id).where(HandedIn.device_id == device_id, HandedIn.content_sha256 == sha256)
            standing = erasure.blanked(entry, erased)
            if _in_log(held, standing) or session.execute(there).first():
                continue
            content = _written(standing)
            size += len(content)
            if size > MOST_BYTES:
                raise TooMuch
            file = photos.named_by(standing)
            session.add(
                HandedIn(
                    device_id=device_id,
                    content=content,
                    content_sha256=sha256,
                    photo_sha256=file if isinstance(file, str) and len(file) == 64 else None,
                    received_ms=now_ms(),
                )
            )
            session.flush()
            new += 1
        session.get_one(Device, device_id).last_seen_ms = now_ms()
        if new:

            def about() -> str:
                return phrase("{n} from {device}", n=new, device=device_name or phrase("a device"))

            audit.note(session, by, "handed_in", about)
    return [entry["id"] for entry in entries]


def may_send(device: Device, sha256: str) -> bool:
    """Whether a shut-out device may send this file: an entry of the log, or one that it handed in, names it."""
    in_log = select(PhotoFile.sha256).where(PhotoFile.shop_id == device.person.shop_id, PhotoFile.sha256 == sha256)
    named = select(HandedIn.id).where(HandedIn.device_id == device.id, HandedIn.photo_sha256 == sha256).limit(1)
    return db.session.execute(in_log).first() is not None or db.session.execute(named).first() is not None


_LEFT = (
    select(HandedIn.content_sha256, HandedIn.reason)
    .join(Device, Device.id == HandedIn.device_id)
    .join(Person, Person.id == Device.person_id)
    .where(Person.shop_id == bindparam("shop"), HandedIn.outcome == "left")
)


def with_what_was_left(shop_id: str, checked: list[log.Checked]) -> list[log.Checked]:
    """Entries that somebody has left out are set aside with that reason, should their device offer them once more."""
    left = dict(map(tuple, db.session.execute(_LEFT, {"shop": shop_id}))) if checked else {}
    if not left:
        return checked
    return [(entry, problem or _left_problem(left.get(_sha256(_written(entry))))) for entry, problem in checked]


def waiting(shop_id: str) -> list[tuple[Device, list[Waiting]]]:
    """All that is kept apart, by device; what the log has meanwhile, or was accepted, is left out."""
    asked = (
        select(HandedIn, Device)
        .join(Device, Device.id == HandedIn.device_id)
        .join(Person, Person.id == Device.person_id)
        .where(Person.shop_id == shop_id, HandedIn.outcome.is_distinct_from("accepted"))
    )
    rows = [(row, device, json.loads(row.content)) for row, device in db.session.execute(asked)]
    rows.sort(key=lambda one: (one[1].id, one[2]["n"], one[0].received_ms))  # as the device counted
    held = _held(db.session, shop_id, [entry for _, _, entry in rows])
    found: dict[str, tuple[Device, list[Waiting]]] = {}
    for row, device, entry in rows:
        if _in_log(held, entry):
            continue
        late = device.revoked_ms is not None and entry["at"][0] > device.revoked_ms
        found.setdefault(device.id, (device, []))[1].append(Waiting(row, entry, late))
    return list(found.values())


def accept(ids: list[str], by: By) -> list[dict]:
    """Put entries into the log. Gives what the log could not take, as ``log.take_in`` does. Raises LookupError."""
    with writing() as session:
        shop = log.lock(session, by.shop_id)
        rows = _rows(session, ids, by.shop_id)
        outcome = log.take_in(session, shop, rows[0].device_id, log.check([json.loads(row.content) for row in rows]))
        for row in rows:
            row.outcome, row.reason, row.content = "accepted", None, ""  # the log has it now
        audit.note(session, by, "hand_in_accepted", _named(session, rows))
    return outcome.set_aside


def leave(ids: list[str], reason: str, by: By) -> None:
    """Leave entries out of the log; they stay apart, with the reason. Raises LookupError."""
    with writing() as session:
        rows = _rows(session, ids, by.shop_id)
        for row in rows:
            row.outcome, row.reason = "left", reason
        named = _named(session, rows)
        audit.note(session, by, "hand_in_left", lambda: phrase("{what}: {reason}", what=named(), reason=reason))


def _rows(session: Session, ids: list[str], shop_id: str) -> list[HandedIn]:
    """Those kept apart with these ids, all of one device, in the order in which it counted them."""
    asked = (
        select(HandedIn)
        .join(Device, Device.id == HandedIn.device_id)
        .join(Person, Person.id == Device.person_id)
        .where(Person.shop_id == shop_id, HandedIn.id.in_(ids), HandedIn.outcome.is_distinct_from("accepted"))
    )
    rows = sorted(session.scalars(asked).all(), key=lambda row: json.loads(row.content)["n"])
    if len(rows) != len(set(ids)) or len({row.device_id for row in rows}) != 1:
        raise LookupError
    return rows


def _written(entry: Any) -> str:
    return json.dumps(entry, separators=(",", ":"))


def _sha256(content: str) -> str:
    return hashlib.sha256(content.encode()).hexdigest()


def _left_problem(reason: str | None) -> dict[str, str] | None:
    message = phrase(
        "The shop looked at this and left it out: {reason}. Ask the desk to accept it after all if it is right.",
        reason=reason,
    )
    return {"field": "", "message": message} if reason else None


def _named(session: Session, rows: list[HandedIn]) -> Callable[[], str]:
    device = session.get_one(Device, rows[0].device_id)
    return lambda: phrase("{n} from {device}", n=len(rows), device=people.device_words(device))


def _in_log(held: dict[str, dict], entry: dict) -> bool:
    return entry["id"] in held and log.same_value(held[entry["id"]], entry)


def _held(session: Session, shop_id: str, entries: list[dict]) -> dict[str, dict]:
    """The log's own entries that bear the ids of ``entries``."""
    ids, found = [entry["id"] for entry in entries], {}
    for start in range(0, len(ids), log.ROWS_AT_ONCE):
        some = ids[start : start + log.ROWS_AT_ONCE]
        asked = select(Entry.id, Entry.content).where(Entry.shop_id == shop_id, Entry.id.in_(some))
        found |= {entry_id: json.loads(content) for entry_id, content in session.execute(asked)}
    return found
