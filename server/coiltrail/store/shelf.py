"""The shelf of the whole shop: its parts with what should happen next, and what each brand's parts came to."""

from dataclasses import dataclass

from sqlalchemy import ColumnElement, and_, case, false, func, or_, select, true
from sqlalchemy.orm import defer

from ..core import intervals
from ..core import tags as codes
from . import derived, search, tags, words
from .database import db
from .models import CasePart, CaseSummary

PAGE = 100
MONTH_MS = 2_629_746_000  # mean Gregorian month
GONE = "gone"  # what waits for nothing: sent back, scrapped, or on an engine


@dataclass(frozen=True)
class Shelf:
    """A page of parts, those with the nearest day of return first; how many there are by what comes next; how many
    parts were passed over with this page, None where it is the last."""

    parts: list[dict]
    waiting: dict[str, int]
    cursor: int | None


def parts(shop_id: str, next_: str | None = None, text: str = "", cursor: int = 0) -> Shelf:
    """The parts on the shelf's list. ``next_``: only what waits for this (``part_fate.next``, or GONE); without it,
    all that waits. ``text``: its tag, or words of the part, its brand, number or tag, the car, plate or customer."""
    query = (
        select(CasePart, CaseSummary)
        .join(CaseSummary, (CaseSummary.shop_id == CasePart.shop_id) & (CaseSummary.case_id == CasePart.case_id))
        .where(CasePart.shop_id == shop_id, CasePart.shown.is_not(None))
        .options(defer(CaseSummary.words), defer(CasePart.words))
    )
    query = query.order_by(CasePart.deadline.is_(None), CasePart.deadline, CaseSummary.key.desc(), CasePart.part_id)
    wanted = {None: CasePart.next.is_not(None), GONE: CasePart.next.is_(None)}.get(next_, CasePart.next == next_)
    found = _found_by(text)
    counted = select(CasePart.next, func.count()).where(CasePart.shop_id == shop_id, CasePart.shown.is_not(None), found)
    waiting = {of or GONE: count for of, count in db.session.execute(counted.group_by(CasePart.next))}
    rows = db.session.execute(query.where(wanted, found).offset(cursor).limit(PAGE + 1)).all()
    more = cursor + PAGE if len(rows) > PAGE else None
    listed_parts = [_as_dict(part, summary) for part, summary in rows[:PAGE]]
    _tell_of_tags_elsewhere(shop_id, listed_parts)
    return Shelf(listed_parts, waiting, more)


def counts(shop_id: str) -> list[dict]:
    """Each brand's parts by kind and part number, as closed cases tell: those seen most first.

    ``seen``: parts with that brand; ``fitted``: of them, by this shop; ``failed``: named as a cause, and not found good
    on the bench; ``share``: [low, high] of the share that failed, 95 %. ``months``: in service, summed over the
    ``aged`` parts whose age is known; ``rate``: [low, high] of failures in 100 months of service, where there are any.
    A failure whose age is not known counts for the share alone.
    """
    months = case(
        (func.max(CasePart.months).is_not(None), func.max(CasePart.months) * 1.0),
        (
            func.max(_one(CasePart.fitted)) == 1,
            (func.max(CasePart.closed_ms) - func.min(CasePart.closed_ms)) * 1.0 / MONTH_MS,
        ),
    )
    by_part = (
        select(
            CasePart.kind,
            func.min(CasePart.brand).label("brand"),
            func.min(CasePart.part_number).label("part_number"),
            func.max(_one(CasePart.fitted)).label("fitted"),
            func.max(_one(CasePart.failed)).label("failed"),
            months.label("months"),
        )
        .where(CasePart.shop_id == shop_id, CasePart.closed_ms.is_not(None))
        .group_by(CasePart.kind, CasePart.part_id)
        .subquery()
    )
    known = by_part.c.months > 0
    query = select(
        by_part.c.kind,
        func.min(by_part.c.brand),
        func.min(by_part.c.part_number),
        func.count(),
        func.sum(by_part.c.fitted),
        func.sum(by_part.c.failed),
        func.sum(case((known, by_part.c.months), else_=0.0)),
        func.sum(_one(known)),
        func.sum(case((known, by_part.c.failed), else_=0)),
    ).group_by(by_part.c.kind, func.lower(by_part.c.brand), func.lower(by_part.c.part_number))
    rows = [_count(*row) for row in db.session.execute(query)]
    return sorted(rows, key=lambda row: (-row["seen"], row["kind"], row["brand"], row["part_number"]))


def _one(condition):
    return case((condition, 1), else_=0)


def _count(kind, brand, number, seen, fitted, failed, months, aged, failed_aged) -> dict:
    per_hundred = [100 * bound for bound in intervals.rate(failed_aged, months)] if months else None
    return {
        "kind": kind,
        "brand": brand,
        "part_number": number or "",
        "seen": seen,
        "fitted": int(fitted),
        "failed": int(failed),
        "share": intervals.share(int(failed), seen),
        "months": float(months or 0),
        "aged": int(aged),
        "rate": per_hundred,
    }


def _found_by(text: str) -> ColumnElement[bool]:
    """Whether each word of ``text`` begins one of the part's, as cases are found, or all of it together does; or it is
    the part's tag. True of every part where nothing is typed."""
    if not text.strip():
        return true()
    typed = words.sought(text)
    whole = {words.joined(text), words.joined(codes.check_tag(text).get("code") or "")} - {""}
    if not typed:
        return false()
    return or_(and_(*map(_begins_one, typed)), *map(_begins_one, sorted(whole)))


def _begins_one(typed: str) -> ColumnElement[bool]:
    """Words are letters and figures alone: nothing in ``typed`` stands for another sign."""
    return CasePart.words.like(f"% {typed}{'' if len(typed) >= search.SHORTEST_BEGINNING else ' '}%")


def _tell_of_tags_elsewhere(shop_id: str, listed: list[dict]) -> None:
    """Add ``tag_on`` to each part: the case and part that its tag was bound to later, None where it has it still."""
    again = tags.bound_in_several_cases(shop_id, {part["tag"] for part in listed if part["tag"]})
    for part in listed:
        now = again.get(part["tag"])
        own = now is None or (now.case, now.part) == (part["case"], part["part"])
        part["tag_on"] = None if own else {"case": now.case, "part": now.part}


def _as_dict(part: CasePart, summary: CaseSummary) -> dict:
    told = derived.in_language(summary.shown)
    return {"case": part.case_id, "title": told["title"], "plate": told["plate"], **derived.in_language(part.shown)}
