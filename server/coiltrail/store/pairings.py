"""Signing a phone in by a code that a desk shows: good once, for a few minutes. Only its hash is kept."""

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from ..core.tongue import phrase
from . import audit, people
from .audit import By
from .clock import now_ms
from .database import db, writing
from .log import lock
from .models import Device, Pairing
from .people import Refused
from .tokens import hash_of_token, new_token

LASTS_MS = 5 * 60_000
FORGOTTEN_AFTER_MS = people.DAY_MS  # until then, one that ended is told from one that never was


def show(by: By) -> tuple[Pairing, str]:
    """A new pairing for the person of ``by``, and its token. An earlier one of theirs ends."""
    token = new_token()
    with writing() as session:
        now = now_ms()
        session.execute(delete(Pairing).where(Pairing.expires_ms < now - FORGOTTEN_AFTER_MS))
        still_open = select(Pairing).where(Pairing.person_id == by.person_id, Pairing.used_ms.is_(None))
        for earlier in session.scalars(still_open.where(Pairing.expires_ms > now)).all():
            earlier.expires_ms = now
        pairing = Pairing(person_id=by.person_id, token_sha256=hash_of_token(token), expires_ms=now + LASTS_MS)
        session.add(pairing)
        session.flush()
        audit.note(session, by, "pairing_shown")
    return pairing, token


def read(pairing_id: str, person_id: str) -> Pairing | None:
    """The person's own pairing with this id."""
    pairing = db.session.get(Pairing, pairing_id)
    return pairing if pairing and pairing.person_id == person_id else None


def pair(token: str, device_id: str, device_name: str, address: str = "") -> tuple[Device, str]:
    """The device, signed in for whoever showed the code, and the token for its cookie. Raises Refused."""
    with writing() as session:
        shop_id = _usable(session, token).person.shop_id
        lock(session, shop_id)  # settles who was first when the code is used twice at once
        pairing = _usable(session, token)
        device, cookie = people.put_on_device(session, pairing.person_id, device_id, device_name)
        pairing.used_ms = now_ms()
        pairing.device_id = device_id
        audit.note(session, By(shop_id, pairing.person_id, device_id, address), "paired", device.name)
    return device, cookie


def _usable(session: Session, token: str) -> Pairing:
    found = session.scalars(
        select(Pairing).where(Pairing.token_sha256 == hash_of_token(token)).execution_options(populate_existing=True)
    ).first()
    if found is None:
        raise Refused(phrase("The shop knows no such code. Scan the one that the desk shows now."))
    if found.used_ms is not None:
        raise Refused(phrase("This code has paired a phone already. Let the desk show a new one and scan that."))
    if found.expires_ms <= now_ms() or found.person.left_ms is not None:
        raise Refused(phrase("This code has run out. Let the desk show a new one and scan that."))
    return found
