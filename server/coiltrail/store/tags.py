"""Where a tag's code leads: the part that it hangs on, by the entries that count."""

import datetime
import json
import secrets
from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy import func, select

from ..core import casefile, entries
from ..core import tags as codes
from ..core.tongue import phrase
from .database import db
from .log import case_log
from .models import Tag


@dataclass(frozen=True)
class Bound:
    """A tag on a part. ``part`` is the part's id as the case knows it now; ``label`` names it without the car; ``car``
    is its plate, else what else it is called by; empty where the case is not known yet."""

    case: str
    part: str
    label: str
    car: str
    date: datetime.date


def find(shop_id: str, code: str) -> Bound | None:
    """The part that ``code`` was last bound to by an entry that was not struck out; None where there is none."""
    rows = db.session.execute(select(Tag.entry_id, Tag.case_id).where(Tag.shop_id == shop_id, Tag.code == code)).all()
    named = {row.entry_id for row in rows}
    found = [
        (entry, case)
        for case_id in sorted({row.case_id for row in rows})
        for case, log in [_folded(shop_id, case_id)]
        for entry in log
        if entry["id"] in named and (case is None or entry["id"] not in case.struck)
    ]
    if not found:
        return None
    entry, case = max(found, key=lambda pair: entries.order_key(pair[0]))
    part = case.trails.get(entry["body"]["part"]) if case else None
    label = case.trails.describe(part) if part else phrase("a part")
    return Bound(
        case=entry["case"],
        part=part.id if part else entry["body"]["part"],
        label=label[:1].upper() + label[1:],
        car=_car(case) if case else "",
        date=datetime.datetime.fromtimestamp(entry["at"][0] / 1000, datetime.UTC).date(),
    )


def bound_in_several_cases(shop_id: str, codes_: Collection[str]) -> dict[str, Bound | None]:
    """Of the tags ``codes_``, those that several cases have bound, and what each hangs on now.

    One was moved, or two phones that did not know of each other bound it.
    """
    several = func.count(Tag.case_id.distinct()) > 1
    query = select(Tag.code).where(Tag.shop_id == shop_id, Tag.code.in_(codes_)).group_by(Tag.code).having(several)
    return {code: find(shop_id, code) for code in db.session.scalars(query)}


def unused(shop_id: str, count: int) -> list[str]:
    """New codes that no tag of the shop has."""
    found: list[str] = []
    while len(found) < count:
        drawn = {code for code in (codes.new_tag(secrets.token_bytes(16)) for _ in range(count)) if code}
        taken = select(Tag.code).where(Tag.shop_id == shop_id, Tag.code.in_(drawn))
        found += sorted(drawn - set(db.session.scalars(taken)) - set(found))
    return found[:count]


def _car(case):
    return (case.opened.get("vehicle") or {}).get("plate") or casefile.title(case.opened)


def _folded(shop_id, case_id):
    log = [json.loads(content) for content in case_log(shop_id, case_id)]
    try:
        return casefile.fold(log), log
    except ValueError:  # the entry that opens the case has not been synced yet
        return None, log
