"""What follows from the log and is kept beside it, so that cases and parts are found at once.

It is written in the transaction that takes the entries in, and may be made anew from the log at any time.
"""

import datetime
import json
import logging
from collections.abc import Iterable
from functools import lru_cache

from sqlalchemy import Text, bindparam, delete, func, insert, select, update
from sqlalchemy.orm import Session

from .. import languages
from ..core import calls, casefile, checks, codes, entries, shelf
from ..core.tongue import phrase
from . import words
from .database import writing
from .models import CasePart, CaseSummary, Entry, Shop

RULE = 7  # raised when rows come out otherwise: ``coiltrail migrate`` then makes older ones anew
CASES_AT_ONCE = 200
MOST_WORDS = 5000  # of one case
_LONGEST_SHOWN = 300
# Text that is an id, a place or raw output names nothing that anybody types.
_UNSAID = {"raw", "not_understood", "question", "answer"}
_TYPED_PATTERNS = {None, entries.TAG_PATTERN, entries.CODE_PATTERN}
_SUMMARY = CaseSummary.__table__
_LOG = logging.getLogger(__name__)


def follow(session: Session, shop_id: str, case_ids: Iterable[str]) -> None:
    """Make the rows of these cases anew. The shop's row is locked by the caller."""
    ids = [case_id for case_id in case_ids if case_id != shop_id]  # the shop's own log is no case
    for start in range(0, len(ids), CASES_AT_ONCE):
        _follow(session, shop_id, ids[start : start + CASES_AT_ONCE])


def _follow(session: Session, shop_id: str, ids: list[str]) -> None:
    logs: dict[str, list[dict]] = {case_id: [] for case_id in ids}
    query = select(Entry.case_id, Entry.content).where(Entry.shop_id == shop_id, Entry.case_id.in_(ids))
    for case_id, content in session.execute(query.order_by(Entry.number)):
        logs[case_id].append(json.loads(content))
    new, changed, parts = [], [], []
    query = select(_SUMMARY.c.case_id, _SUMMARY.c.key).where(_SUMMARY.c.shop_id == shop_id, _SUMMARY.c.case_id.in_(ids))
    known = dict(session.execute(query).all())
    for case_id, log in logs.items():
        if not log:
            continue  # erased before anything of it came in
        summary, of_case = _summed_up(case_id, log)
        row = {f"to_{name}": value for name, value in summary.items()} | {"of_shop": shop_id, "of_case": case_id}
        (changed if case_id in known else new).append(row)
        parts += [{"shop_id": shop_id, "case_id": case_id} | part for part in of_case]
    session.execute(delete(CasePart).where(CasePart.shop_id == shop_id, CasePart.case_id.in_(ids)))
    values = _values(session)
    if new:
        whose = {"shop_id": bindparam("of_shop"), "case_id": bindparam("of_case")}
        session.execute(insert(_SUMMARY).values(whose | values), new)
    if changed:
        here = (_SUMMARY.c.shop_id == bindparam("of_shop"), _SUMMARY.c.case_id == bindparam("of_case"))
        # By the connection: the session would take this for an update of objects.
        session.connection().execute(update(_SUMMARY).where(*here).values(values), changed)
    if parts:
        session.execute(insert(CasePart.__table__), parts)


def _values(session: Session) -> dict:
    """What a row's columns are set to, by parameters."""
    names = [column.name for column in _SUMMARY.columns if column.name not in ("key", "shop_id", "case_id")]
    values = {name: bindparam(f"to_{name}") for name in names}
    if session.get_bind().dialect.name == "postgresql":
        values["words"] = func.array_to_tsvector(func.string_to_array(bindparam("to_words", type_=Text), " "))
    return values


def reindex(*, only_old: bool = False) -> int:
    """Make the rows of all cases anew, or of those that have none by today's rule. Gives how many cases that were."""
    count = 0
    for shop_id in _shops():
        wanted = _cases(shop_id, only_old)
        if not only_old:
            with writing() as session:
                session.execute(delete(CasePart).where(CasePart.shop_id == shop_id))
                session.execute(delete(CaseSummary).where(CaseSummary.shop_id == shop_id))
        for start in range(0, len(wanted), CASES_AT_ONCE):
            with writing() as session:
                session.execute(select(Shop.id).where(Shop.id == shop_id).with_for_update())
                follow(session, shop_id, wanted[start : start + CASES_AT_ONCE])
        count += len(wanted)
    return count


def _shops() -> list[str]:
    with writing() as session:
        return list(session.scalars(select(Shop.id)))


def _cases(shop_id: str, only_old: bool) -> list[str]:
    """Cases in the order in which they first came in."""
    every = select(Entry.case_id).where(Entry.shop_id == shop_id, Entry.case_id != shop_id).group_by(Entry.case_id)
    with writing() as session:
        found = list(session.scalars(every.order_by(func.min(Entry.number))))
        if not only_old:
            return found
        new = select(CaseSummary.case_id).where(CaseSummary.shop_id == shop_id, CaseSummary.rule == RULE)
        have = set(session.scalars(new))
    return [case_id for case_id in found if case_id not in have]


def _summed_up(case_id: str, log: list[dict]) -> tuple[dict, list[dict]]:
    """The row of a case, and the rows of its parts; whatever is the matter with it."""
    try:
        summary, parts = _told(log)
    except Exception:
        # A mistake of ours shall not keep out what the phones recorded.
        _LOG.exception("The case %s cannot be summed up", case_id)
        summary, parts = _untold(log), []
    found = sorted(summary["words"])[:MOST_WORDS]
    return summary | {"rule": RULE, "shown": json.dumps(summary["shown"]), "words": " ".join(found)}, parts


def _told(log: list[dict]) -> tuple[dict, list[dict]]:
    """The row of a case, and the rows of its parts."""
    try:
        case = casefile.fold(log)
    except ValueError:  # the entry that opens it has not come in yet, or is of a newer version
        return _untold(log), []
    vehicle = case.opened.get("vehicle") or {}
    summary = {
        "closed": case.status == "closed",
        "opened_ms": next(entry for entry in case.log if entry["kind"] == "case_opened")["at"][0],
        "last_ms": max(entry["at"][0] for entry in case.log),
        "vin": words.joined(vehicle.get("vin") or "") or None,
        "plate": words.joined(vehicle.get("plate") or "") or None,
        "calls_since": min((call["since"] for call in calls.calls(case)), default=None),
        "shown": languages.in_each(lambda: _shown(case)),
        "words": _words(case),
    }
    parts = _parts(case)
    for part in parts:
        part["words"] = part["shown"] and _words_of_part(part, summary["shown"])
    return summary, parts


def _shown(case: casefile.CaseFile) -> dict:
    """What a list shows of a case, in the language spoken."""
    vehicle, customer = case.opened.get("vehicle") or {}, case.opened.get("customer") or {}
    return {
        "title": casefile.title(case.opened),
        "plate": vehicle.get("plate") or "",
        "customer": customer.get("name") or "",
        "phone": customer.get("phone") or "",
        "what": _what(case)[:_LONGEST_SHOWN],
        "people": sorted({entry["by"] for _, entry in case.counted}),
        "calls": calls.calls(case),
    }


def in_language(shown: str) -> dict:
    """Of a ``shown`` of a row what the language spoken has."""
    return json.loads(shown)[languages.spoken()]


def _untold(log: list[dict]) -> dict:
    times = [entry["at"][0] for entry in log]
    blank = {"plate": "", "customer": "", "phone": "", "what": "", "calls": []}
    blank["people"] = sorted({entry["by"] for entry in log})
    return {
        "closed": False,
        "opened_ms": min(times),
        "last_ms": max(times),
        "vin": None,
        "plate": None,
        "calls_since": None,
        "shown": languages.in_each(lambda: blank | {"title": phrase("Case without its opening entry")}),
        "words": {words.of_person(entry["by"]) for entry in log},
    }


def _what(case: casefile.CaseFile) -> str:
    """What the case is about, in one line."""
    closed = case.last("case_closed")
    if closed and case.status == "closed":
        return closed["body"]["cause"]
    complaint = case.last("complaint")
    return casefile.row_text(complaint) if complaint else ""


def _words(case: casefile.CaseFile) -> set[str]:
    found = set(words.split(casefile.title(case.opened)))
    vehicle, customer = case.opened.get("vehicle") or {}, case.opened.get("customer") or {}
    for number in (vehicle.get("plate"), vehicle.get("vin"), customer.get("phone")):
        found.update(words.of_number(number or ""))
    for _, entry in case.counted:
        moment = datetime.datetime.fromtimestamp(entry["at"][0] / 1000)
        found |= {words.of_day(moment.year, moment.month, moment.day), words.of_person(entry["by"])}
        for field in entries.BY_KIND[entry["kind"]]["fields"]:
            for text in _texts(field, entry["body"].get(field["name"])):
                numbered = field.get("pattern") or field["name"] == "part_number"
                found.update(words.of_number(text) if numbered else words.split(text))
        for said in _said(entry):
            found.update(words.split(said))
        if entry["kind"] == "codes_read":
            for code in (read["code"] for read in entry["body"]["codes"]):
                found.update(_of_code(code) if codes.problem_of(code) is None else ())
    return {word for word in found if word}


def _said(entry: dict) -> list[str]:
    """What was chosen, in words of every language, where that is what a case is remembered by."""
    if entry["kind"] == "complaint":
        return list(languages.in_each(lambda: casefile.row_text(entry)).values())
    if entry["kind"] == "check" and entry["body"].get("finding"):
        return _finding(entry["body"]["check"], entry["body"]["finding"])
    return []


@lru_cache(maxsize=1024)  # a newer phone may send others
def _finding(check: str, finding: str) -> list[str]:
    return list(languages.in_each(lambda: checks.finding_label(check, finding)).values())


def _of_code(code: str) -> list[str]:
    """The words of what a code means, in every language."""
    said = languages.in_each(lambda: codes.meaning(code)["text"])
    return [word for text in said.values() for word in words.split(text)]


def _texts(field: dict, value: object) -> list[str]:
    """What was typed into a field, however deep."""
    if value is None or field.get("name") in _UNSAID:
        return []
    if field["type"] == "text":
        return [value] if field.get("pattern") in _TYPED_PATTERNS else []
    if field["type"] == "group":
        return [text for inner in field["fields"] for text in _texts(inner, value.get(inner["name"]))]
    if field["type"] == "list":
        return [text for one in value for text in _texts(field["of"], one)]
    return []


def _parts(case: casefile.CaseFile) -> list[dict]:
    rows: dict[str, dict] = {}
    closed = case.last("case_closed")
    for tally in shelf.tallies(case):
        rows[tally["part"]] = _part_row(tally) | {
            "closed_ms": closed["at"][0],
            "fitted": tally["fitted"],
            "failed": tally["failed"],
            "months": tally["months"],
        }
    said = languages.in_each(lambda: shelf.rows(case))
    for index, shown in enumerate(said[languages.ENGLISH]):
        row = rows.setdefault(shown["part"], _part_row(shown))
        told = {language: parts[index] for language, parts in said.items()}
        row |= {"next": shown["next"], "deadline": shown["deadline"], "shown": json.dumps(told)}
    return list(rows.values())


def _words_of_part(part: dict, case: dict) -> str:
    """What a part of the shelf is found by. ``case``: what a list shows of its case, by language."""
    told, whose = list(json.loads(part["shown"]).values()), list(case.values())
    said = [part["kind"], part["brand"] or "", told[0]["note"], *(row["label"] for row in told)]
    said += [row[name] for row in whose for name in ("title", "customer")]
    numbers = [part["part_number"] or "", told[0]["tag"] or "", whose[0]["plate"]]
    found = {word for one in said for word in words.split(one)} | {w for one in numbers for w in words.of_number(one)}
    return f" {' '.join(sorted(found - {''}))} "


def _part_row(told: dict) -> dict:
    """A row with every column, so that all of a case go in by one statement."""
    empty = dict.fromkeys(("closed_ms", "fitted", "failed", "months", "next", "deadline", "shown"))
    brand, number = (_storable(told[name] or "")[:80] or None for name in ("brand", "part_number"))
    return empty | {"part_id": told["part"], "kind": told["kind"], "brand": brand, "part_number": number}


def _storable(text: str) -> str:
    """``text`` without what a database's text cannot hold."""
    return " ".join(text.encode("utf-8", "ignore").decode().replace("\0", " ").split())
