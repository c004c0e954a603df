"""Cases found at once, by any words and by what is said of them."""

from collections.abc import Callable
from dataclasses import dataclass

from sqlalchemy import ColumnElement, Select, cast, column, literal, or_, select, table
from sqlalchemy.dialects.postgresql import TSQUERY
from sqlalchemy.orm import defer

from ..core import tags
from ..core.tongue import phrase
from . import derived, words
from .database import db
from .models import CaseSummary, Person

PAGE = 30
LATEST = 400  # cases that PostgreSQL looks through before it asks the index
MOST_TEXT = 200  # characters of a search
MOST_WORDS = 12
SHORTEST_BEGINNING = 2  # a single character stands for itself, not for all that begin with it

_INDEX = table("case_words", column("rowid"), column("case_words"))


# A search is any of several ways to be found; a way is what a case must have all of; each of that is one of several
# terms; a term is a word and whether it may go on.
Term = tuple[str, bool]
Way = list[list[Term]]


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
        raise ValueError(phrase("Search: {most} characters at most. Give a few words of the case.", most=MOST_TEXT))
    expression = _expression(shop_id, sought)
    if sought.text.strip() and not expression:
        return Found([], None)  # only signs, which no case is found by
    keys = _keys_of_sqlite if db.engine.dialect.name == "sqlite" else _keys_of_postgresql
    found = keys(shop_id, sought, expression, cursor) if expression else _first(_plain(shop_id, sought, cursor))
    page = select(CaseSummary).where(CaseSummary.key.in_(found[:PAGE])).order_by(CaseSummary.key.desc())
    rows = db.session.scalars(page.options(defer(CaseSummary.words)))
    return Found([as_dict(row) for row in rows], found[PAGE - 1] if len(found) > PAGE else None)


def _plain(shop_id: str, sought: Sought, cursor: int | None) -> Select:
    """Keys of all cases before ``cursor`` that are as sought, whatever their words."""
    query = _filtered(select(CaseSummary.key).where(CaseSummary.shop_id == shop_id), sought)
    return query if cursor is None else query.where(CaseSummary.key < cursor)


def _first(query: Select, order: ColumnElement = CaseSummary.key) -> list[int]:
    return list(db.session.scalars(query.order_by(order.desc()).limit(PAGE + 1)))


def _keys_of_sqlite(shop_id: str, sought: Sought, expression: list[Way], cursor: int | None) -> list[int]:
    """By the index's own order, so that it need not find all to give the latest."""
    query = _plain(shop_id, sought, None).join(_INDEX, CaseSummary.key == _INDEX.c.rowid)
    query = query.where(_INDEX.c.case_words.op("MATCH")(_for_fts5(expression)))
    return _first(query if cursor is None else query.where(_INDEX.c.rowid < cursor), _INDEX.c.rowid)


def _keys_of_postgresql(shop_id: str, sought: Sought, expression: list[Way], cursor: int | None) -> list[int]:
    """A common word has its page among the latest cases; what is rarer is found by the index, and is not much.

    Left to itself PostgreSQL takes the beginning of a word for common, and looks through all cases for a rare one.
    """
    words = cast(literal(_for_tsquery(expression)), TSQUERY)
    plain = _plain(shop_id, sought, cursor)
    latest = plain.add_columns(CaseSummary.words).order_by(CaseSummary.key.desc()).limit(LATEST).subquery()
    found = _first(select(latest.c.key).where(latest.c.words.op("@@")(words)), latest.c.key)
    if len(found) > PAGE:
        return found
    return _first(plain.where(CaseSummary.words.op("@@")(words)), CaseSummary.key + 0)


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
        shown = derived.in_language(row.shown)
        whose = {name: shown[name] for name in ("title", "plate", "customer", "phone")}
        found += [{"case": row.case_id, **whose, **call} for call in shown["calls"]]
    return found


def as_dict(row: CaseSummary) -> dict:
    """A case as the list shows it."""
    shown = derived.in_language(row.shown)
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


def _expression(shop_id: str, sought: Sought) -> list[Way]:
    found = list(dict.fromkeys(words.sought(sought.text)))
    if len(found) > MOST_WORDS:
        raise ValueError(phrase("Search: {most} words at most. Give those that only this case has.", most=MOST_WORDS))
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
