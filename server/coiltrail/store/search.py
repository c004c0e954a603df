"""Cases found at once, by any words and by what is said of them."""

import json
from collections.abc import Callable
from dataclasses import dataclass

from sqlalchemy import Select, cast, column, literal, or_, select, table
from sqlalchemy.dialects.postgresql import TSQUERY

from ..core import tags
from . import words
from .database import db
from .models import CaseSummary, Person

PAGE = 30
MOST_TEXT = 200  # characters of a search
MOST_WORDS = 12
SHORTEST_BEGINNING = 2  # a single character stands for itself, not for all that begin with it

_INDEX = table("case_words", column("rowid"), column("case_words"))


@dataclass(frozen=True)
class Sought:
    """What a case must be. ``since`` and ``until``: ms, something was recorded in between; ``by``: id of a person."""

    text: str = ""
    closed: bool | None = None
    by: str | None = None
    since: int | None = None
    until: int | None = None


@dataclass(frozen=True)
class Found:
    """A page of cases, those that came in last first; ``cursor`` leads to the next, None where there is none."""

    cases: list[dict]
    cursor: int | None


def cases(shop_id: str, sought: Sought, cursor: int | None = None) -> Found:
    """The cases that are as sought. Raises ValueError where the text is no search."""
    if len(sought.text) > MOST_TEXT:
        raise ValueError(f"Search: {MOST_TEXT} characters at most. Give a few words of the case.")
    query = select(CaseSummary).where(CaseSummary.shop_id == shop_id)
    expression = _expression(shop_id, sought)
    if sought.text.strip() and not expression:
        return Found([], None)  # only signs, which no case is found by
    order = CaseSummary.key
    if expression and db.engine.dialect.name == "sqlite":
        # By the index's own order, so that it need not find all to give the latest.
        order = _INDEX.c.rowid
        query = query.select_from(_INDEX).join(CaseSummary, CaseSummary.key == _INDEX.c.rowid)
        query = query.where(_INDEX.c.case_words.op("MATCH")(_for_fts5(expression)))
    elif expression:
        # Not by the index of the keys: PostgreSQL takes every beginning for common, and would look through all.
        order = CaseSummary.key + 0
        query = query.where(CaseSummary.words.op("@@")(cast(literal(_for_tsquery(expression)), TSQUERY)))
    query = _filtered(query, sought)
    if cursor is not None:
        query = query.where(order < cursor)
    rows = db.session.scalars(query.order_by(order.desc()).limit(PAGE + 1)).all()
    return Found([as_dict(row) for row in rows[:PAGE]], rows[PAGE - 1].key if len(rows) > PAGE else None)


def of_same_vehicle(shop_id: str, case_id: str) -> list[dict]:
    """Other cases with the vehicle number or the plate of this one, the latest first."""
    own = db.session.execute(
        select(CaseSummary.vin, CaseSummary.plate).where(CaseSummary.shop_id == shop_id, CaseSummary.case_id == case_id)
    ).first()
    if own is None or not (own.vin or own.plate):
        return []
    same = or_(
        *(known == value for known, value in ((CaseSummary.vin, own.vin), (CaseSummary.plate, own.plate)) if value)
    )
    query = select(CaseSummary).where(CaseSummary.shop_id == shop_id, CaseSummary.case_id != case_id, same)
    return [as_dict(row) for row in db.session.scalars(query.order_by(CaseSummary.last_ms.desc()).limit(PAGE))]


def calls(shop_id: str) -> list[dict]:
    """What customers wait to hear of, the oldest first: each call with its case, vehicle, customer and number."""
    query = select(CaseSummary).where(CaseSummary.shop_id == shop_id, CaseSummary.calls_since.is_not(None))
    found = []
    for row in db.session.scalars(query.order_by(CaseSummary.calls_since).limit(PAGE * 10)):
        shown = json.loads(row.shown)
        whose = {name: shown[name] for name in ("title", "plate", "customer", "phone")}
        found += [{"case": row.case_id, **whose, **call} for call in shown["calls"]]
    return found


def as_dict(row: CaseSummary) -> dict:
    """A case as the list shows it."""
    shown = json.loads(row.shown)
    return {
        "case": row.case_id,
        "status": "closed" if row.closed else "open",
        "opened_ms": row.opened_ms,
        "last_ms": row.last_ms,
        "calls": len(shown.pop("calls")),
        **shown,
    }


def _filtered(query: Select, sought: Sought) -> Select:
    if sought.closed is not None:
        query = query.where(CaseSummary.closed == sought.closed)
    if sought.since is not None:
        query = query.where(CaseSummary.last_ms >= sought.since)
    if sought.until is not None:
        query = query.where(CaseSummary.opened_ms <= sought.until)
    return query


# A search is any of several ways to be found; a way is what a case must have all of; each of that is one of several
# terms; a term is a word and whether it may go on.
Term = tuple[str, bool]
Way = list[list[Term]]


def _expression(shop_id: str, sought: Sought) -> list[Way]:
    found = list(dict.fromkeys(words.sought(sought.text)))
    if len(found) > MOST_WORDS:
        raise ValueError(f"Search: {MOST_WORDS} words at most. Give those that only this case has.")
    ways = [[_terms(shop_id, word) for word in found]] if found else []
    if len(found) > 1:
        # A plate typed in pieces that it was not recorded in.
        ways.append([[(words.joined(sought.text), True)]])
    tag = tags.check_tag(sought.text).get("code")
    if tag:
        ways.append([[(words.joined(tag), False)]])
    if sought.by:
        ways = [[*way, [(words.of_person(sought.by), False)]] for way in ways or [[]]]
    return ways


def _terms(shop_id: str, word: str) -> list[Term]:
    """What a word may stand for: the beginning of a word, or of the name of somebody who recorded something."""
    people = (
        db.session.execute(select(Person.id, Person.name).where(Person.shop_id == shop_id)) if word.isalpha() else ()
    )
    named = [
        (words.of_person(key), False) for key, name in people if any(n.startswith(word) for n in words.split(name))
    ]
    return [(word, len(word) >= SHORTEST_BEGINNING), *named]


def _for_fts5(ways: list[Way]) -> str:
    return _written(ways, " OR ", " AND ", lambda word, goes_on: f'"{word}"' + ("*" if goes_on else ""))


def _for_tsquery(ways: list[Way]) -> str:
    return _written(ways, " | ", " & ", lambda word, goes_on: f"'{word}'" + (":*" if goes_on else ""))


def _written(ways: list[Way], any_of: str, all_of: str, term: Callable[[str, bool], str]) -> str:
    def together(way: Way) -> str:
        return all_of.join("(" + any_of.join(term(*one) for one in terms) + ")" for terms in way)

    return any_of.join(f"({together(way)})" for way in ways)
