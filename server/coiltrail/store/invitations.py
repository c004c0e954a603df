"""One-time links by which somebody joins the shop or sets a new password. Only a link's hash is kept."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from ..core.tongue import phrase
from . import audit, people
from .audit import By
from .clock import now_ms
from .database import db, writing
from .log import lock
from .models import Device, Invitation, Person
from .people import Refused
from .tokens import hash_of_token, new_token

LASTS_MS = 7 * people.DAY_MS
PASSWORD_LINK_LASTS_MS = people.DAY_MS


def invite(name: str, role: str, by: By) -> tuple[Invitation, str]:
    """An invitation for somebody new, and the token of its link. Raises Refused when the name is taken."""
    with writing() as session:
        lock(session, by.shop_id)
        people.insist_on_free_name(session, by.shop_id, name)
        made = _make(session, by, name.strip(), role, None, LASTS_MS)
        audit.note(session, by, "invited", lambda: people.with_role(name.strip(), role))
    return made


def password_link(person_id: str, by: By) -> tuple[Invitation, str]:
    """A link by which somebody who works here sets a new password; an earlier one ends. Raises LookupError."""
    with writing() as session:
        lock(session, by.shop_id)
        person = session.get(Person, person_id)
        if person is None or person.shop_id != by.shop_id or person.left_ms is not None:
            raise LookupError(person_id)
        for earlier in session.scalars(_open(by.shop_id).where(Invitation.person_id == person_id)).all():
            earlier.withdrawn_ms = now_ms()
        made = _make(session, by, person.name, person.role, person.id, PASSWORD_LINK_LASTS_MS)
        audit.note(session, by, "password_link_made", person.name)
    return made


def open_invitations(shop_id: str) -> list[Invitation]:
    """Those that can still be used, the latest first."""
    return list(db.session.scalars(_open(shop_id).order_by(Invitation.created_ms.desc(), Invitation.id.desc())))


def withdraw(invitation_id: str, by: By) -> None:
    """Raises LookupError where no open invitation has this id."""
    with writing() as session:
        found = session.scalars(_open(by.shop_id).where(Invitation.id == invitation_id)).first()
        if found is None:
            raise LookupError(invitation_id)
        found.withdrawn_ms = now_ms()
        audit.note(session, by, "invitation_withdrawn", found.name)


def find(token: str) -> Invitation:
    """The invitation of ``token``. Raises Refused, with what to do, unless it can be used."""
    return _usable(db.session, token)


def join(token: str, password: str, device_id: str, device_name: str, address: str = "") -> tuple[Device, str]:
    """Use the invitation: the person with this password, signed in on the device, and the token for its cookie.

    Raises Refused.
    """
    password_hash = people.hash_password(password)
    with writing() as session:
        lock(session, _usable(session, token).shop_id)  # settles who was first when the link is used twice at once
        invitation = _usable(session, token)
        invitation.used_ms = now_ms()
        shop_id, person_id = invitation.shop_id, invitation.person_id
        if person_id:
            person = session.get_one(Person, person_id)
            if person.left_ms is not None:
                raise Refused(phrase("This link has been withdrawn. Ask the shop's owner for a new one."))
            person.password_hash = password_hash
        else:
            person = people.insert_person(session, shop_id, invitation.name, invitation.role, password_hash)
        device, cookie = people.put_on_device(session, person.id, device_id, device_name)
        deed = "password_changed" if person_id else "joined"
        about = (lambda: phrase("by a link")) if person_id else ""
        audit.note(session, By(shop_id, person.id, device_id, address), deed, about)
    return device, cookie


def _make(
    session: Session, by: By, name: str, role: str, person_id: str | None, lasts_ms: int
) -> tuple[Invitation, str]:
    token = new_token()
    invitation = Invitation(
        shop_id=by.shop_id,
        token_sha256=hash_of_token(token),
        name=name,
        role=role,
        person_id=person_id,
        invited_by=by.person_id,
        created_ms=now_ms(),
        expires_ms=now_ms() + lasts_ms,
    )
    session.add(invitation)
    session.flush()
    return invitation, token


def _open(shop_id: str):
    return select(Invitation).where(
        Invitation.shop_id == shop_id,
        Invitation.used_ms.is_(None),
        Invitation.withdrawn_ms.is_(None),
        Invitation.expires_ms > now_ms(),
    )


def _usable(session: Session, token: str) -> Invitation:
    found = session.scalars(
        select(Invitation)
        .where(Invitation.token_sha256 == hash_of_token(token))
        .execution_options(populate_existing=True)
    ).first()
    if found is None:
        raise Refused(phrase("The shop knows no such invitation. Open the whole link, or ask the owner for a new one."))
    if found.used_ms is not None:
        raise Refused(phrase("This invitation has been used already. Was it you, then sign in; else tell the owner."))
    if found.withdrawn_ms is not None:
        raise Refused(phrase("This invitation was withdrawn. Ask the owner for a new one."))
    if found.expires_ms <= now_ms():
        raise Refused(phrase("This invitation has run out. Ask the owner for a new one."))
    return found
