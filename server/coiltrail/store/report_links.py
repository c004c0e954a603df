"""Links by which an owner reads a report without a sign-in: frozen when made, for some days, withdrawn at any time."""

import json
import re
from dataclasses import dataclass

from sqlalchemy import select

from ..core.tongue import phrase
from .audit import By, case_words, note
from .clock import now_ms
from .database import db, writing
from .models import Person, ReportLink
from .tokens import hash_of_token, new_token

DAY_MS = 86_400_000
DAYS = (7, 30, 90)  # that a link may stand

_PHOTO = re.compile("[0-9a-f]{64}")


@dataclass(frozen=True)
class Gone:
    """A link that stands no more; ``withdrawn`` or else past its time. ``shop_id``: whom to ask for another."""

    shop_id: str
    withdrawn: bool


def make(by: By, case_id: str, report: dict, days: int) -> tuple[ReportLink, str]:
    """A new link to ``report`` for ``days``, and its token, which is told this once."""
    token = new_token()
    link = ReportLink(
        shop_id=by.shop_id,
        case_id=case_id,
        token_sha256=hash_of_token(token),
        made_by=by.person_id,
        made_ms=now_ms(),
        expires_ms=now_ms() + days * DAY_MS,
        content=json.dumps(report),
    )

    def about() -> str:
        return phrase("case {case}, for {n} day|case {case}, for {n} days", case=case_id, n=days)

    with writing() as session:
        session.add(link)
        note(session, by, "report_link_made", about)
    return link, token


def of_case(shop_id: str, case_id: str) -> list[tuple[ReportLink, str]]:
    """The links made for a case with the names of who made them, newest first."""
    query = (
        select(ReportLink, Person.name)
        .join(Person, Person.id == ReportLink.made_by)
        .where(ReportLink.shop_id == shop_id, ReportLink.case_id == case_id)
        .order_by(ReportLink.made_ms.desc(), ReportLink.id.desc())
    )
    return [(link, name) for link, name in db.session.execute(query)]


def withdraw(by: By, link_id: str) -> ReportLink | None:
    """End a link and forget its report; again changes nothing. None: the shop has no such link."""
    with writing() as session:
        link = session.get(ReportLink, link_id, with_for_update=True)
        if link is None or link.shop_id != by.shop_id:
            return None
        if link.withdrawn_ms is None:
            link.withdrawn_ms, link.content = now_ms(), None
            note(session, by, "report_link_withdrawn", case_words(link.case_id))
        return link


def look(token: str) -> ReportLink | Gone | None:
    """The link of ``token``; Gone where it stands no more, None where there never was one."""
    hashed = hash_of_token(token)
    link = db.session.scalars(select(ReportLink).where(ReportLink.token_sha256 == hashed)).first()
    if link is None:
        return None
    if link.content is None or link.expires_ms <= now_ms():
        return Gone(link.shop_id, withdrawn=link.withdrawn_ms is not None)
    return link


def photos_in(report: object) -> set[str]:
    """Every picture (SHA-256) that a report shows."""
    if isinstance(report, str):
        return {report} if _PHOTO.fullmatch(report) else set()
    inner = report.values() if isinstance(report, dict) else report if isinstance(report, list) else ()
    return set().union(*map(photos_in, inner))
