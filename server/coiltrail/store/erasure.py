"""A person's data erased on request, for good: what is personal in the entries that an ``erased`` names is blanked.

The entry stays at its number with its id, so the findings, the count of every device and the hash chain of the log
stand: the chain keeps the hash of what was there (no phone shall take an erasure for a restored backup), and the row
keeps the hash of what stands now. An entry on the list is blanked before anything else is done with it, so that a phone
which offers the old content again brings nothing back.
"""

import hashlib
import json
from collections.abc import Collection, Iterable

from sqlalchemy import Row, Select, bindparam, select, update
from sqlalchemy.orm import Session

from ..core import entries
from . import photos
from .clock import now_ms
from .database import add_if_missing, db
from .models import Device, Entry, Erasure, HandedIn, Person, ReportLink, SetAside

IDS_AT_ONCE = 500

_LISTED = select(Erasure.entry_id, Erasure.case_id).where(
    Erasure.shop_id == bindparam("shop"), Erasure.entry_id.in_(bindparam("ids", expanding=True))
)
_STANDING = (
    select(Entry.content)
    .join(Erasure, (Erasure.shop_id == Entry.shop_id) & (Erasure.entry_id == Entry.id))
    .where(
        Entry.shop_id == bindparam("shop"),
        Erasure.case_id == Entry.case_id,
        Entry.id.in_(bindparam("ids", expanding=True)),
    )
)
_TO_BLANK = select(Entry).where(
    Entry.shop_id == bindparam("shop"),
    Entry.case_id == bindparam("case"),
    Entry.id.in_(bindparam("ids", expanding=True)),
)
_APART_TO_BLANK = select(SetAside).where(
    SetAside.shop_id == bindparam("shop"), SetAside.entry_id.in_(bindparam("ids", expanding=True))
)


def on_list(session: Session, shop_id: str, ids: Collection[str]) -> dict[str, str]:
    """Of the entries ``ids`` those that are to stand blanked, with their case."""
    return dict(map(tuple, _rows(session, _LISTED, ids, shop=shop_id)))


def named_in(entry: dict) -> list[str]:
    """Ids of the entries that ``entry`` wants erased."""
    if entry["kind"] != "erased" or entries.understood(entry) == "nothing":
        return []
    return [one for one in entry["body"]["entries"] if isinstance(one, str)]


def blanked(entry: dict, listed: dict[str, str]) -> dict:
    """``entry`` as it is to stand, where its id is among those ``listed`` for its case."""
    is_listed = listed.get(entry["id"]) == entry["case"]
    return entries.blanked(entry) if is_listed else entry


def carry_out(session: Session, shop_id: str, case_id: str, ids: Collection[str]) -> None:
    """Put entries of a case on the list, blank what is here of them, and let go of the pictures they name."""
    if not ids:
        return
    add_if_missing(session, *(Erasure(shop_id=shop_id, entry_id=one, case_id=case_id) for one in sorted(set(ids))))
    files: set[str] = set()
    for (row,) in _rows(session, _TO_BLANK, ids, shop=shop_id, case=case_id):
        content, named = _blanked_content(row.content)
        files |= named
        if content != row.content:
            row.content, row.blanked_sha256 = content, _sha256(content)
    for (row,) in _rows(session, _APART_TO_BLANK, ids, shop=shop_id):
        if json.loads(row.content)["case"] == case_id:
            content, named = _blanked_content(row.content)
            files |= named
            _put_aside(session, row, content)
    handed_in = (
        select(HandedIn)
        .join(Device, Device.id == HandedIn.device_id)
        .join(Person, Person.id == Device.person_id)
        .where(Person.shop_id == shop_id, HandedIn.content != "")
    )
    for row in session.scalars(handed_in).all():
        entry = json.loads(row.content)
        if entry["id"] in ids and entry["case"] == case_id:
            row.content, named = _blanked_content(row.content)
            files |= named
    photos.erase(session, shop_id, files)


def end_links(session: Session, shop_id: str, case_id: str) -> None:
    """End every link to a report of a case: what they show is to be erased."""
    session.execute(
        update(ReportLink)
        .where(ReportLink.shop_id == shop_id, ReportLink.case_id == case_id, ReportLink.content.is_not(None))
        .values(withdrawn_ms=now_ms(), content=None)
    )


def standing(shop_id: str, ids: Collection[str]) -> list[dict]:
    """Of the entries ``ids`` those that were erased and are here, as they stand now."""
    return [json.loads(content) for (content,) in _rows(db.session, _STANDING, ids, shop=shop_id)]


def _blanked_content(content: str) -> tuple[str, set[str]]:
    """The content without what is personal, and the files that it named or still names."""
    entry = json.loads(content)
    rest = entries.blanked(entry)
    named = {photos.named_by(entry), photos.named_by(rest)}
    return json.dumps(rest, separators=(",", ":")), {one for one in named if isinstance(one, str)}


def _put_aside(session: Session, row: SetAside, content: str) -> None:
    if content == row.content:
        return
    # Two that differed in what is personal alone are one now; each keeps its number, so one of them gets a space.
    taken = select(SetAside.id).where(SetAside.shop_id == row.shop_id, SetAside.id != row.id)
    while session.execute(taken.where(SetAside.content_sha256 == _sha256(content))).first():
        content += " "
    row.content, row.content_sha256, row.blanked_sha256 = content, _sha256(content), _sha256(content)
    session.flush()


def _sha256(content: str) -> str:
    return hashlib.sha256(content.encode()).hexdigest()


def _rows(session: Session, query: Select, ids: Iterable[str], **where: str) -> list[Row]:
    wanted = sorted(set(ids))
    found = []
    for start in range(0, len(wanted), IDS_AT_ONCE):
        found += session.execute(query, where | {"ids": wanted[start : start + IDS_AT_ONCE]}).all()
    return found
