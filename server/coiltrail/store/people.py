"""People of the shop, their passwords, and the devices they signed in on.

A device holds a random token in its cookie; the server keeps only the token's SHA-256.
"""

import threading
import unicodedata

import argon2
from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from ..core.tongue import phrase
from . import audit
from .audit import By
from .clock import now_ms, uuid7
from .database import add_if_missing, db, writing
from .log import lock
from .models import ROLES, Device, OwnerLink, Person, Shop
from .tokens import hash_of_token, new_token

SHORTEST_PASSWORD = 8  # NIST SP 800-63B, section 5.1.1.2
LONGEST_PASSWORD = 200
DAY_MS = 86_400_000
SIGNED_IN_FOR = 365 * DAY_MS  # since the device was last seen

_LINK_ENDED = "This link has been used or has ended. Ask for a new one with: coiltrail owner-link"
_hasher = argon2.PasswordHasher()
# Each check takes 64 MB (RFC 9106, second choice), so only a few run at a time.
_few_at_once = threading.BoundedSemaphore(4)
# In the shape of a hash, and of no password; to check against it takes as long as against one. Written and not
# computed, since to compute it would delay every start.
_NOBODY = f"$argon2id$v=19$m={_hasher.memory_cost},t={_hasher.time_cost},p={_hasher.parallelism}${'A' * 22}${'A' * 43}"


class Refused(Exception):
    """What was asked cannot be done; the message is for the person who asked."""


def name_key(name: str) -> str:
    """The name without regard to capitals, spacing and ways of writing the same letters."""
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())


def has_owner() -> bool:
    return db.session.execute(select(Person.id).where(Person.role == "owner").limit(1)).first() is not None


def new_owner_link() -> str:
    """The token of a new one-time link for the first owner; earlier links end. Raises Refused: there is one."""
    token = new_token()
    with writing() as session:
        if has_owner():
            raise Refused(phrase("This shop has an owner already: sign in instead."))
        session.execute(delete(OwnerLink))
        session.add(OwnerLink(token_sha256=hash_of_token(token)))
    return token


def make_owner(token: str, shop_name: str, shop_phone: str, name: str, password: str) -> Person:
    """The shop and its first owner, for whoever holds the one-time link. Raises Refused."""
    link = OwnerLink.token_sha256 == hash_of_token(token)
    if not db.session.execute(select(OwnerLink.token_sha256).where(link)).first():
        raise Refused(phrase(_LINK_ENDED))  # before the hashing, which costs
    password_hash = hash_password(password)
    with writing() as session:
        # Deleting the row settles who was first when the link is used twice at once.
        used = session.execute(delete(OwnerLink).where(link))
        if not used.rowcount or has_owner():
            raise Refused(phrase(_LINK_ENDED))
        shop = add_shop(session, shop_name, shop_phone)
        person = insert_person(session, shop.id, name, "owner", password_hash)
        audit.note(session, By(shop.id, person.id), "shop_made", shop.name)
    return person


def add_shop(session: Session, name: str, phone: str, shop_id: str | None = None) -> Shop:
    shop = Shop(id=shop_id or uuid7(), name=name.strip(), phone=phone.strip())
    session.add(shop)
    session.flush()
    return shop


def add_person(
    shop_id: str, name: str, role: str, password: str, person_id: str | None = None, by: By | None = None
) -> Person:
    """Somebody new in the shop. Raises Refused when the name is taken."""
    password_hash = hash_password(password)
    with writing() as session:
        lock(session, shop_id)
        person = insert_person(session, shop_id, name, role, password_hash, person_id)
        audit.note(session, by or By(shop_id), "person_added", lambda: with_role(person.name, role))
    return person


def insert_person(
    session: Session, shop_id: str, name: str, role: str, password_hash: str, person_id: str | None = None
) -> Person:
    """The row of somebody new, the shop's row being locked. Raises Refused when the name is taken."""
    insist_on_free_name(session, shop_id, name)
    name = name.strip()
    person = Person(
        id=person_id or uuid7(),
        shop_id=shop_id,
        name=name,
        name_key=name_key(name),
        role=role,
        password_hash=password_hash,
    )
    session.add(person)
    session.flush()
    return person


def insist_on_free_name(session: Session, shop_id: str, name: str) -> None:
    taken = select(Person.id).where(Person.shop_id == shop_id, Person.name_key == name_key(name))
    if session.execute(taken).first():
        raise Refused(phrase("Name: somebody in the shop has this name; add a second name or an initial."))


_ROLES = {"mechanic": "Mechanic", "desk": "Desk", "owner": "Owner"}


def with_role(name: str, role: str) -> str:
    """Somebody with the role, in words."""
    return phrase("{name}, {role}", name=name, role=_role_words(role))


def _role_words(role: str) -> str:
    return phrase(_ROLES[role]).lower()


def with_other_role(name: str, before: str, now: str) -> str:
    """Somebody whose role was changed, in words."""
    return phrase("{name}: {before} to {role}", name=name, before=_role_words(before), role=_role_words(now))


def device_words(device: Device) -> str:
    """Whose device it is, in words."""
    return phrase("{device} of {name}", device=device.name or phrase("a device"), name=device.person.name)


def change_role(person_id: str, role: str, by: By) -> Person:
    """Raises Refused where the shop would be left without an owner, LookupError where nobody has this id."""
    if role not in ROLES:
        raise ValueError(f"{role} is no role")
    with writing() as session:
        person = _colleague(session, person_id, by)
        if person.role != role:
            if role != "owner":
                _insist_on_another_owner(session, person)
            before = person.role
            audit.note(session, by, "role_changed", lambda: with_other_role(person.name, before, role))
            person.role = role
    return person


def end_sign_in(person_id: str, by: By) -> Person:
    """Somebody works here no more: they cannot sign in, and their devices are shut out. Raises as ``change_role``."""
    with writing() as session:
        person = _colleague(session, person_id, by)
        if person.left_ms is None:
            _insist_on_another_owner(session, person)
            person.left_ms = now_ms()
            audit.note(session, by, "person_left", person.name)
            held = select(Device).where(Device.person_id == person.id, Device.revoked_ms.is_(None))
            for device in session.scalars(held).all():
                _shut_out(session, device, by)
    return person


def give_back_sign_in(person_id: str, by: By) -> Person:
    """Somebody works here again. Their devices stay shut out until they sign in on them."""
    with writing() as session:
        person = _colleague(session, person_id, by)
        if person.left_ms is not None:
            person.left_ms = None
            audit.note(session, by, "person_back", person.name)
    return person


def change_password(person: Person, password: str, by: By) -> None:
    password_hash, person_id = hash_password(password), person.id
    with writing() as session:
        session.get_one(Person, person_id).password_hash = password_hash
        audit.note(session, by, "password_changed")


def find(name: str) -> Person | None:
    """Who works here and is called so."""
    person = db.session.scalars(select(Person).where(Person.name_key == name_key(name))).first()
    return person if person and person.left_ms is None else None


def who(name: str, password: str) -> Person | None:
    """The person with this name and password, or None. Takes equally long for a name that nobody has."""
    person = find(name)
    with _few_at_once:
        try:
            _hasher.verify(person.password_hash if person else _NOBODY, _bytes(password))
        except (argon2.exceptions.VerifyMismatchError, argon2.exceptions.InvalidHashError):
            return None
    return person


def sign_in(person: Person, device_id: str, device_name: str, *, address: str = "") -> tuple[Device, str]:
    """The device, signed in for ``person``, and the token for its cookie. A token it had before ends."""
    person_id, shop_id = person.id, person.shop_id
    with writing() as session:
        device, token = put_on_device(session, person_id, device_id, device_name)
        audit.note(session, By(shop_id, person_id, device_id, address), "signed_in", device.name)
    return device, token


def put_on_device(session: Session, person_id: str, device_id: str, device_name: str) -> tuple[Device, str]:
    """As ``sign_in``, within a transaction and without a line in the audit list."""
    token = new_token()
    now = now_ms()
    name = device_name.strip()
    add_if_missing(session, Device(id=device_id, person_id=person_id, name=name, created_ms=now, last_seen_ms=now))
    device = session.get_one(Device, device_id, with_for_update=True)
    device.person_id = person_id
    device.name = name or device.name
    device.token_sha256 = hash_of_token(token)
    device.last_seen_ms = now
    device.revoked_ms = None
    return device, token


def failed_sign_in(name: str, address: str) -> None:
    """Write down a sign-in that failed: under the person whose name was given, else without the name, which may be a
    password typed into the wrong field."""
    with writing() as session:
        person = session.scalars(select(Person).where(Person.name_key == name_key(name))).first()
        shop_id = person.shop_id if person else session.scalars(select(Shop.id)).first()
        if shop_id:
            about = "" if person else (lambda: phrase("a name that nobody has"))
            audit.note(session, By(shop_id, person.id if person else None, None, address), "sign_in_failed", about)


def device_of(token: str) -> Device | None:
    """The device that holds ``token``, unless it was shut out or not seen for a year."""
    device = _holder(token)
    return device if device and device.revoked_ms is None and device.person.left_ms is None else None


def shut_out_device_of(token: str) -> Device | None:
    """The device that holds ``token`` and was shut out: it may hand in what it recorded, and nothing else."""
    device = _holder(token)
    return device if device and device.revoked_ms is not None else None


def sign_out(device_id: str, by: By) -> None:
    with writing() as session:
        device = session.get_one(Device, device_id)
        device.token_sha256 = None
        audit.note(session, by, "signed_out", device.name)


def shut_out(device_id: str, by: By) -> None:
    """End the device's sign-in and mark it as shut out, until somebody signs in on it again."""
    with writing() as session:
        _shut_out(session, session.get_one(Device, device_id), by)


def hash_password(password: str) -> str:
    with _few_at_once:
        return _hasher.hash(_bytes(password))


def _holder(token: str) -> Device | None:
    device = db.session.scalars(select(Device).where(Device.token_sha256 == hash_of_token(token))).first()
    return None if device is None or device.last_seen_ms < now_ms() - SIGNED_IN_FOR else device


def _shut_out(session: Session, device: Device, by: By) -> None:
    if device.revoked_ms is None:
        device.revoked_ms = now_ms()
        audit.note(session, by, "shut_out", lambda: device_words(device))


def _colleague(session: Session, person_id: str, by: By) -> Person:
    lock(session, by.shop_id)
    person = session.get(Person, person_id, populate_existing=True)
    if person is None or person.shop_id != by.shop_id:
        raise LookupError(person_id)
    return person


def _insist_on_another_owner(session: Session, person: Person) -> None:
    others = select(Person.id).where(
        Person.shop_id == person.shop_id, Person.role == "owner", Person.left_ms.is_(None), Person.id != person.id
    )
    if person.role == "owner" and person.left_ms is None and not session.execute(others).first():
        raise Refused(phrase("The shop would be without an owner: make somebody else owner first."))


def _bytes(password: str) -> bytes:
    # The same password typed on two keyboards may come in two forms of Unicode (RFC 8265 asks for NFC).
    return unicodedata.normalize("NFC", password).encode("utf-8", "surrogatepass")
