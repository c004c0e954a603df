"""People of the shop, their passwords, and the devices they signed in on.

A device holds a random token in its cookie; the server keeps only the token's SHA-256.
"""

import hashlib
import secrets
import threading
import unicodedata

import argon2
from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from .clock import now_ms, uuid7
from .database import add_if_missing, db, writing
from .log import lock
from .models import Device, OwnerLink, Person, Shop

SHORTEST_PASSWORD = 8  # NIST SP 800-63B, section 5.1.1.2
LONGEST_PASSWORD = 200
DAY_MS = 86_400_000
SIGNED_IN_FOR = 365 * DAY_MS  # since the device was last seen

_hasher = argon2.PasswordHasher()
# Each check takes 64 MB (RFC 9106, second choice), so only a few run at a time.
_few_at_once = threading.BoundedSemaphore(4)
_NOBODY = _hasher.hash(secrets.token_hex())


class Refused(Exception):
    """What was asked cannot be done; the message is for the person who asked."""


def name_key(name: str) -> str:
    """The name without regard to capitals, spacing and ways of writing the same letters."""
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())


def has_owner() -> bool:
    return db.session.execute(select(Person.id).where(Person.role == "owner").limit(1)).first() is not None


def new_owner_link() -> str:
    """The token of a new one-time link for the first owner; earlier links end. Raises Refused: there is one."""
    token = secrets.token_urlsafe(24)
    with writing() as session:
        if has_owner():
            raise Refused("This shop has an owner already: sign in instead.")
        session.execute(delete(OwnerLink))
        session.add(OwnerLink(token_sha256=_sha256(token)))
    return token


def make_owner(token: str, shop_name: str, shop_phone: str, name: str, password: str) -> Person:
    """The shop and its first owner, for whoever holds the one-time link. Raises Refused."""
    password_hash = hash_password(password)
    with writing() as session:
        # Deleting the row settles who was first when the link is used twice at once.
        used = session.execute(delete(OwnerLink).where(OwnerLink.token_sha256 == _sha256(token)))
        if not used.rowcount or has_owner():
            raise Refused("This link has been used or has ended. Ask for a new one with: coiltrail owner-link")
        shop = add_shop(session, shop_name, shop_phone)
        person = _add_person(session, shop, name, "owner", password_hash, uuid7())
    return person


def add_shop(session: Session, name: str, phone: str) -> Shop:
    shop = Shop(name=name.strip(), phone=phone.strip())
    session.add(shop)
    session.flush()
    return shop


def add_person(shop_id: str, name: str, role: str, password: str, person_id: str | None = None) -> Person:
    """Somebody new in the shop. Raises Refused when the name is taken."""
    password_hash = hash_password(password)
    with writing() as session:
        shop = lock(session, shop_id)
        taken = select(Person.id).where(Person.shop_id == shop_id, Person.name_key == name_key(name))
        if session.execute(taken).first():
            raise Refused("Name: somebody in the shop has this name; add a second name or an initial.")
        return _add_person(session, shop, name, role, password_hash, person_id or uuid7())


def who(name: str, password: str) -> Person | None:
    """The person with this name and password, or None. Takes equally long for a name that nobody has."""
    person = db.session.scalars(select(Person).where(Person.name_key == name_key(name))).first()
    with _few_at_once:
        try:
            _hasher.verify(person.password_hash if person else _NOBODY, _bytes(password))
        except (argon2.exceptions.VerifyMismatchError, argon2.exceptions.InvalidHashError):
            return None
    return person


def sign_in(person: Person, device_id: str, device_name: str) -> tuple[Device, str]:
    """The device, signed in for ``person``, and the token for its cookie. A token it had before ends."""
    token = secrets.token_urlsafe(32)
    person_id = person.id
    with writing() as session:
        now = now_ms()
        name = device_name.strip()
        add_if_missing(session, Device(id=device_id, person_id=person_id, name=name, created_ms=now, last_seen_ms=now))
        device = session.get_one(Device, device_id, with_for_update=True)
        device.person_id = person_id
        device.name = name
        device.token_sha256 = _sha256(token)
        device.last_seen_ms = now
        device.revoked_ms = None
    return device, token


def device_of(token: str) -> Device | None:
    """The device that holds ``token``, unless it was shut out or not seen for a year."""
    device = db.session.scalars(select(Device).where(Device.token_sha256 == _sha256(token))).first()
    if device is None or device.last_seen_ms < now_ms() - SIGNED_IN_FOR:
        return None
    return device


def sign_out(device_id: str) -> None:
    with writing() as session:
        session.get_one(Device, device_id).token_sha256 = None


def shut_out(device_id: str) -> None:
    """End the device's sign-in and mark it as shut out, until somebody signs in on it again."""
    with writing() as session:
        device = session.get_one(Device, device_id)
        device.token_sha256 = None
        device.revoked_ms = now_ms()


def hash_password(password: str) -> str:
    with _few_at_once:
        return _hasher.hash(_bytes(password))


def _add_person(session, shop, name, role, password_hash, person_id):
    name = name.strip()
    person = Person(
        id=person_id, shop_id=shop.id, name=name, name_key=name_key(name), role=role, password_hash=password_hash
    )
    session.add(person)
    session.flush()
    return person


def _bytes(password: str) -> bytes:
    # The same password typed on two keyboards may come in two forms of Unicode (RFC 8265 asks for NFC).
    return unicodedata.normalize("NFC", password).encode("utf-8", "surrogatepass")


def _sha256(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()
