"""Signing up, in and out, and who works in the shop."""

from collections.abc import Iterable
from uuid import UUID

from flask import Response, g, jsonify
from marshmallow import Schema, fields
from sqlalchemy import select
from sqlalchemy.exc import NoResultFound

from ..config import settings
from ..core.entries import UUID_PATTERN
from ..core.tongue import phrase
from ..store import invitations, people, throttle
from ..store.database import db
from ..store.models import ROLES, Device, Invitation, Person, Shop
from .errors import refuse
from .guard import COOKIE, acting, give_cookie, request_address, signed_in_device
from .may import insist
from .resource import OPEN, Resource, body, text

blueprint = Resource("people", __name__, url_prefix="/api", description="People and their sign-in")

_NAME = text("name", "Name", 120)
PASSWORD = text("password", "Password", people.LONGEST_PASSWORD)
ROLE = {
    "name": "role",
    "type": "choice",
    "label": "Role",
    "choices": [{"value": role, "label": role} for role in ROLES],
    "required": True,
}
DEVICE = (
    text("device", "Device", 36, pattern=UUID_PATTERN),
    text("device_name", "Device name", 120, required=False),
)
OwnerSchema = body(
    "First owner",
    text("token", "Link", 100),
    text("shop", "Shop's name", 120),
    text("phone", "Shop's phone", 40, required=False),
    _NAME,
    PASSWORD,
    *DEVICE,
)
SignInSchema = body("Sign-in", _NAME, PASSWORD, *DEVICE)
NewPersonSchema = body("New person", _NAME, ROLE, PASSWORD)
ChangeSchema = body(
    "Change of a person",
    ROLE | {"required": False},
    {"name": "works_here", "type": "flag", "label": "Works here", "required": False},
)
NewPasswordSchema = body("New password", PASSWORD, text("new_password", "New password", people.LONGEST_PASSWORD))


class PersonSchema(Schema):
    id = fields.String(required=True)
    name = fields.String(required=True)
    role = fields.String(required=True, metadata={"enum": list(ROLES)})


class ColleagueSchema(PersonSchema):
    works_here = fields.Boolean(required=True, metadata={"description": "False: they may sign in no more."})


class LinkSchema(Schema):
    id = fields.String(required=True)
    link = fields.String(required=True, metadata={"description": "Good once. It is told now and never again."})
    expires_ms = fields.Integer(required=True)


class ShopSchema(Schema):
    id = fields.String(required=True)
    name = fields.String(required=True)
    phone = fields.String(required=True)
    public_url = fields.String(required=True)


class NamedSchema(Schema):
    id = fields.String(required=True)
    name = fields.String(required=True)


class MeSchema(Schema):
    person = fields.Nested(PersonSchema, required=True)
    people = fields.List(
        fields.Nested(NamedSchema),
        required=True,
        metadata={
            "description": "Everybody who works here or did, so that a device without a connection can name them."
        },
    )
    shop = fields.Nested(ShopSchema, required=True)
    device = fields.String(required=True)


class PeopleSchema(Schema):
    people = fields.List(fields.Nested(ColleagueSchema), required=True)


@blueprint.post("/owner")
@blueprint.doc(**OPEN)
@blueprint.arguments(OwnerSchema)
@blueprint.response(200, MeSchema)
def make_owner(given: dict) -> Response:
    """Make the shop and its first owner with the one-time link, and sign in."""
    check_password(given["password"])
    try:
        person = people.make_owner(
            given["token"], given["shop"], given.get("phone", ""), given["name"], given["password"]
        )
    except people.Refused as refused:
        refuse(403, "link_ended", str(refused), "token")
    return signed_in(*people.sign_in(person, given["device"], given.get("device_name", ""), address=request_address()))


@blueprint.post("/sign-in")
@blueprint.doc(**OPEN)
@blueprint.refuses(401, 429)
@blueprint.arguments(SignInSchema)
@blueprint.response(200, MeSchema)
def sign_in(given: dict) -> Response:
    """Sign in on a device. A wrong name and a wrong password are answered alike."""
    person = _insist_on_password(
        given["name"], given["password"], 401, phrase("Name or password is wrong. Check both and try again.")
    )
    return signed_in(*people.sign_in(person, given["device"], given.get("device_name", ""), address=request_address()))


@blueprint.post("/sign-out")
@blueprint.response(204)
def sign_out() -> Response:
    """End this device's sign-in. What is recorded on it stays there."""
    people.sign_out(signed_in_device().id, acting())
    g.pop("renew_cookie", None)
    response = Response(status=204)
    response.delete_cookie(COOKIE)
    return response


@blueprint.get("/me")
@blueprint.response(200, MeSchema)
def me() -> Response:
    """Who is signed in on this device."""
    device = signed_in_device()
    return jsonify(_me(device.person, device.id))


@blueprint.post("/password")
@blueprint.refuses(429)
@blueprint.arguments(NewPasswordSchema)
@blueprint.response(204)
def change_password(given: dict) -> None:
    """Change one's own password. Devices stay signed in."""
    person = signed_in_device().person
    check_password(given["new_password"], "new_password")
    message = phrase("Password: this is not your password now. Type it again.")
    _insist_on_password(person.name, given["password"], 403, message)
    people.change_password(signed_in_device().person, given["new_password"], acting())


@blueprint.get("/people")
@blueprint.response(200, PeopleSchema)
def list_people() -> dict:
    """Everybody who works here or did."""
    return {"people": [_colleague(person) for person in _everybody(signed_in_device().person.shop_id)]}


@blueprint.post("/people")
@blueprint.refuses(409)
@blueprint.arguments(NewPersonSchema)
@blueprint.response(201, PersonSchema)
def add_person(given: dict) -> Person:
    """Let somebody else sign in with a password told by mouth; the owner's to do."""
    insist("people")
    check_password(given["password"])
    by = acting()
    try:
        return people.add_person(by.shop_id, given["name"], given["role"], given["password"], by=by)
    except people.Refused as refused:
        refuse(409, "name_taken", str(refused), "name")


@blueprint.patch("/people/<uuid:person_id>")
@blueprint.refuses(404, 409)
@blueprint.arguments(ChangeSchema)
@blueprint.response(200, ColleagueSchema)
def change_person(given: dict, person_id: UUID) -> dict:
    """Give somebody another role, or take away or give back their sign-in; the owner's to do."""
    insist("people")
    by, somebody = acting(), str(person_id)
    try:
        if given.get("role"):
            people.change_role(somebody, given["role"], by)
        if given.get("works_here") is not None:
            (people.give_back_sign_in if given["works_here"] else people.end_sign_in)(somebody, by)
        return _colleague(db.session.get_one(Person, somebody))
    except (LookupError, NoResultFound):
        refuse(404, "not_found", phrase("Nobody in the shop has this id; look at the list again."))
    except people.Refused as refused:
        refuse(409, "last_owner", str(refused))


@blueprint.post("/people/<uuid:person_id>/password-link")
@blueprint.refuses(404)
@blueprint.response(201, LinkSchema)
def make_password_link(person_id: UUID) -> dict:
    """A one-time link by which somebody who forgot their password sets a new one; the owner's to make."""
    insist("people")
    try:
        return link_of(*invitations.password_link(str(person_id), acting()))
    except LookupError:
        refuse(404, "not_found", phrase("Nobody who works here has this id; look at the list again."))


def check_password(password: str, field: str = "password") -> None:
    """Refuses a password that is too short."""
    if len(password) < people.SHORTEST_PASSWORD:
        message = phrase(
            "Password: at least {n} characters; three or four words are easy to keep.", n=people.SHORTEST_PASSWORD
        )
        refuse(422, "invalid", message, field)


def signed_in(device: Device, token: str) -> Response:
    """The answer to a device that was just signed in."""
    response = jsonify(_me(device.person, device.id))
    give_cookie(response, token)
    return response


def link_of(invitation: Invitation, token: str) -> dict:
    """A new invitation with its link."""
    link = f"{settings().public_url}/#join={token}"
    return {"id": invitation.id, "link": link, "expires_ms": invitation.expires_ms}


def _insist_on_password(name: str, password: str, status: int, message: str) -> Person:
    address = request_address()
    wait_s = throttle.begin_attempt(name, address)
    if wait_s:
        refuse(
            429,
            "wait",
            phrase(
                "Too many tries: wait {n} second, then try again.|Too many tries: wait {n} seconds, then try again.",
                n=wait_s,
            ),
            Retry_After=str(wait_s),
        )
    person = people.who(name, password)
    if person is None:
        people.failed_sign_in(name, address)
        refuse(status, "wrong_sign_in", message, "password" if status == 403 else None)
    throttle.succeeded(name, address)
    return person


def _everybody(shop_id: str) -> Iterable[Person]:
    return db.session.scalars(select(Person).where(Person.shop_id == shop_id).order_by(Person.name_key))


def _colleague(person: Person) -> dict:
    return {"id": person.id, "name": person.name, "role": person.role, "works_here": person.left_ms is None}


def _me(person: Person, device_id: str) -> dict:
    shop: Shop = person.shop
    return {
        "person": {"id": person.id, "name": person.name, "role": person.role},
        "people": [{"id": one.id, "name": one.name} for one in _everybody(shop.id)],
        "shop": {"id": shop.id, "name": shop.name, "phone": shop.phone, "public_url": settings().public_url},
        "device": device_id,
    }
