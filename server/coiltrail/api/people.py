"""Signing up, in and out, and who works in the shop."""

from flask import Response, g, jsonify, request
from marshmallow import Schema, fields
from sqlalchemy import select

from ..config import settings
from ..core.entries import UUID_PATTERN
from ..store import people, throttle
from ..store.database import db
from ..store.models import ROLES, Person, Shop
from .errors import refuse
from .guard import COOKIE, give_cookie, signed_in_device
from .resource import OPEN, Resource, body, text

blueprint = Resource("people", __name__, url_prefix="/api", description="People and their sign-in")

_NAME = text("name", "Name", 120)
_PASSWORD = text("password", "Password", people.LONGEST_PASSWORD)
_DEVICE = (
    text("device", "Device", 36, pattern=UUID_PATTERN),
    text("device_name", "Device name", 120, required=False),
)
OwnerSchema = body(
    "First owner",
    text("token", "Link", 100),
    text("shop", "Shop's name", 120),
    text("phone", "Shop's phone", 40, required=False),
    _NAME,
    _PASSWORD,
    *_DEVICE,
)
SignInSchema = body("Sign-in", _NAME, _PASSWORD, *_DEVICE)
NewPersonSchema = body(
    "New person",
    _NAME,
    {
        "name": "role",
        "type": "choice",
        "label": "Role",
        "choices": [{"value": role, "label": role} for role in ROLES],
        "required": True,
    },
    _PASSWORD,
)


class PersonSchema(Schema):
    id = fields.String(required=True)
    name = fields.String(required=True)
    role = fields.String(required=True, metadata={"enum": list(ROLES)})


class ShopSchema(Schema):
    id = fields.String(required=True)
    name = fields.String(required=True)
    phone = fields.String(required=True)
    public_url = fields.String(required=True)


class MeSchema(Schema):
    person = fields.Nested(PersonSchema, required=True)
    shop = fields.Nested(ShopSchema, required=True)
    device = fields.String(required=True)


class PeopleSchema(Schema):
    people = fields.List(fields.Nested(PersonSchema), required=True)


@blueprint.post("/owner")
@blueprint.doc(**OPEN)
@blueprint.arguments(OwnerSchema)
@blueprint.response(200, MeSchema)
def make_owner(given: dict) -> Response:
    """Make the shop and its first owner with the one-time link, and sign in."""
    _check_password(given["password"])
    try:
        person = people.make_owner(
            given["token"], given["shop"], given.get("phone", ""), given["name"], given["password"]
        )
    except people.Refused as refused:
        refuse(403, "link_ended", str(refused), "token")
    return _signed_in(person, given)


@blueprint.post("/sign-in")
@blueprint.doc(**OPEN)
@blueprint.refuses(401, 429)
@blueprint.arguments(SignInSchema)
@blueprint.response(200, MeSchema)
def sign_in(given: dict) -> Response:
    """Sign in on a device. A wrong name and a wrong password are answered alike."""
    address = request.remote_addr or ""
    wait_s = throttle.begin_attempt(given["name"], address)
    if wait_s:
        message = f"Too many tries: wait {wait_s} seconds, then try again."
        refuse(429, "wait", message, Retry_After=str(wait_s))
    person = people.who(given["name"], given["password"])
    if person is None:
        refuse(401, "wrong_sign_in", "Name or password is wrong. Check both and try again.")
    throttle.succeeded(given["name"], address)
    return _signed_in(person, given)


@blueprint.post("/sign-out")
@blueprint.response(204)
def sign_out() -> Response:
    """End this device's sign-in. What is recorded on it stays there."""
    people.sign_out(signed_in_device().id)
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


@blueprint.get("/people")
@blueprint.response(200, PeopleSchema)
def list_people() -> dict:
    """Everybody who may sign in."""
    shop_id = signed_in_device().person.shop_id
    return {"people": db.session.scalars(select(Person).where(Person.shop_id == shop_id).order_by(Person.name_key))}


@blueprint.post("/people")
@blueprint.refuses(409)
@blueprint.arguments(NewPersonSchema)
@blueprint.response(201, PersonSchema)
def add_person(given: dict) -> Person:
    """Let somebody else sign in; the owner's to do."""
    person = signed_in_device().person
    if person.role != "owner":
        refuse(403, "forbidden", "Only the owner may add people: ask the owner to do it.")
    _check_password(given["password"])
    try:
        return people.add_person(person.shop_id, given["name"], given["role"], given["password"])
    except people.Refused as refused:
        refuse(409, "name_taken", str(refused), "name")


def _check_password(password: str) -> None:
    if len(password) < people.SHORTEST_PASSWORD:
        message = f"Password: at least {people.SHORTEST_PASSWORD} characters; three or four words are easy to keep."
        refuse(422, "invalid", message, "password")


def _signed_in(person: Person, given: dict) -> Response:
    device, token = people.sign_in(person, given["device"], given.get("device_name", ""))
    response = jsonify(_me(device.person, device.id))
    give_cookie(response, token)
    return response


def _me(person: Person, device_id: str) -> dict:
    shop: Shop = person.shop
    return {
        "person": {"id": person.id, "name": person.name, "role": person.role},
        "shop": {"id": shop.id, "name": shop.name, "phone": shop.phone, "public_url": settings().public_url},
        "device": device_id,
    }
