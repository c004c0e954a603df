"""Who did what, and when: written in the transaction of the deed itself, so that neither stands without the other."""

import json
from collections.abc import Callable
from dataclasses import dataclass

from sqlalchemy import Row, func, select
from sqlalchemy.orm import Session

from .. import languages
from ..core.tongue import phrase
from .clock import now_ms
from .database import db
from .models import Audit, Device, Person

# What is written down -> how the list says it.
DEEDS = {
    "signed_in": "signed in",
    "sign_in_failed": "failed to sign in",
    "signed_out": "signed out",
    "shop_made": "made the shop",
    "person_added": "added a person",
    "invited": "invited",
    "invitation_withdrawn": "withdrew an invitation",
    "joined": "joined by invitation",
    "password_link_made": "made a link for a new password",
    "password_changed": "changed the password",
    "role_changed": "changed a role",
    "person_left": "took away the sign-in of",
    "person_back": "gave back the sign-in of",
    "pairing_shown": "showed a code to pair a phone",
    "paired": "paired a phone",
    "shut_out": "shut out a device",
    "handed_in": "handed in from a device that was shut out",
    "hand_in_accepted": "accepted what was handed in",
    "hand_in_left": "left what was handed in",
    "exported": "exported",
    "restored": "restored a backup",
    "imported": "imported an export",
    "report_link_made": "made a link to a report",
    "report_link_withdrawn": "withdrew a link to a report",
    "erased": "erased a person's data",
}


@dataclass(frozen=True)
class By:
    """Who does something: a person, on a device, from an address. Without a person: somebody at the command line, or
    a stranger."""

    shop_id: str
    person_id: str | None = None
    device_id: str | None = None
    address: str = ""


def note(session: Session, by: By, deed: str, about: str | Callable[[], str] = "") -> None:
    """Write down that ``by`` did ``deed`` (one of ``DEEDS``). ``about``: to whom or what: a name, or what gives it in
    words of the language spoken; it is kept in each."""
    if deed not in DEEDS:
        raise ValueError(f"{deed} is no deed of the audit list")
    session.add(
        Audit(
            shop_id=by.shop_id,
            at_ms=_later_than_the_last(session, by.shop_id),
            deed=deed,
            person_id=by.person_id,
            device_id=by.device_id,
            about=about if isinstance(about, str) else json.dumps(languages.in_each(about)),
            address=by.address[:60],
        )
    )


def case_words(case_id: str) -> Callable[[], str]:
    """A case, as ``note`` takes it."""
    return lambda: phrase("case {case}", case=case_id)


def in_words(about: str) -> str:
    """What a line keeps of to whom or what, in the language spoken; in English where it was kept in that alone."""
    try:
        kept = json.loads(about)
    except ValueError:
        return about
    if not isinstance(kept, dict):
        return about  # a name of figures
    return str(kept.get(languages.spoken()) or kept.get(languages.ENGLISH) or about)


def _later_than_the_last(session: Session, shop_id: str) -> int:
    """Now; several deeds of one moment keep their order."""
    now = now_ms()
    last = session.scalar(select(func.max(Audit.at_ms)).where(Audit.shop_id == shop_id)) or 0
    return last + 1 if now <= last < now + 1000 else now


def page(
    shop_id: str, *, person_id: str | None = None, deed: str | None = None, before: str | None = None, most: int
) -> list[Row]:
    """The latest lines as ``(Audit, person's name, device's name)``, newest first; ``before``: the id of a line to go
    on from."""
    asked = (
        select(Audit, Person.name, Device.name)
        .outerjoin(Person, Person.id == Audit.person_id)
        .outerjoin(Device, Device.id == Audit.device_id)
        .where(Audit.shop_id == shop_id)
        .order_by(Audit.at_ms.desc(), Audit.id.desc())
        .limit(most)
    )
    if person_id:
        asked = asked.where(Audit.person_id == person_id)
    if deed:
        asked = asked.where(Audit.deed == deed)
    if before:
        last = db.session.get(Audit, before)
        if last is None or last.shop_id != shop_id:
            return []
        asked = asked.where(
            (Audit.at_ms < last.at_ms) | ((Audit.at_ms == last.at_ms) & (Audit.id < last.id)),
        )
    return list(db.session.execute(asked).all())
