"""Inviting somebody by a one-time link, and joining by it."""

from uuid import UUID

from flask import Response
from marshmallow import Schema, fields

from ..core.tongue import phrase
from ..store import invitations
from ..store.database import db
from ..store.models import ROLES, Invitation, Shop
from ..store.people import Refused
from .errors import refuse
from .guard import acting, request_address, signed_in_device
from .may import insist
from .people import DEVICE, PASSWORD, ROLE, LinkSchema, MeSchema, check_password, link_of, signed_in
from .resource import OPEN, Resource, body, text

blueprint = Resource("invitations", __name__, url_prefix="/api/invitations", description="Invitations by a link")

_TOKEN = text("token", "Link", 100)
InviteSchema = body("Invite", text("name", "Name", 120), ROLE)
LookSchema = body("Invitation's link", _TOKEN)
JoinSchema = body("Join", _TOKEN, PASSWORD, *DEVICE)


class InvitationSchema(Schema):
    id = fields.String(required=True)
    name = fields.String(required=True)
    role = fields.String(required=True, metadata={"enum": list(ROLES)})
    new_password = fields.Boolean(required=True, metadata={"description": "For somebody who works here already."})
    created_ms = fields.Integer(required=True)
    expires_ms = fields.Integer(required=True)


class InvitationsSchema(Schema):
    invitations = fields.List(fields.Nested(InvitationSchema), required=True)


class LookedSchema(Schema):
    shop = fields.String(required=True)
    name = fields.String(required=True)
    role = fields.String(required=True, metadata={"enum": list(ROLES)})
    new_password = fields.Boolean(required=True)


@blueprint.get("")
@blueprint.response(200, InvitationsSchema)
def list_open() -> dict:
    """Invitations that can still be used; the owner's to see."""
    insist("people")
    rows = invitations.open_invitations(signed_in_device().person.shop_id)
    return {"invitations": [_told(row) | {"created_ms": row.created_ms, "expires_ms": row.expires_ms} for row in rows]}


@blueprint.post("")
@blueprint.refuses(409)
@blueprint.arguments(InviteSchema)
@blueprint.response(201, LinkSchema)
def invite(given: dict) -> dict:
    """Invite somebody by a link that is good once; the owner's to do."""
    insist("people")
    try:
        return link_of(*invitations.invite(given["name"], given["role"], acting()))
    except Refused as refused:
        refuse(409, "name_taken", str(refused), "name")


@blueprint.delete("/<uuid:invitation_id>")
@blueprint.refuses(404)
@blueprint.response(204)
def withdraw(invitation_id: UUID) -> None:
    """Make a link good for nothing; the owner's to do."""
    insist("people")
    try:
        invitations.withdraw(str(invitation_id), acting())
    except LookupError:
        refuse(404, "not_found", phrase("There is no such open invitation: it was used, withdrawn or has run out."))


@blueprint.post("/look")
@blueprint.doc(**OPEN)
@blueprint.arguments(LookSchema)
@blueprint.response(200, LookedSchema)
def look(given: dict) -> dict:
    """Who is invited, and to what, for whoever holds the link."""
    try:
        found = invitations.find(given["token"])
    except Refused as refused:
        refuse(403, "link_ended", str(refused), "token")
    return {"shop": db.session.get_one(Shop, found.shop_id).name} | _told(found)


@blueprint.post("/join")
@blueprint.doc(**OPEN)
@blueprint.arguments(JoinSchema)
@blueprint.response(200, MeSchema)
def join(given: dict) -> Response:
    """Join by the link with a password of one's own, or set a new password; signed in on this device."""
    check_password(given["password"])
    try:
        invitations.find(given["token"])
        name = given.get("device_name", "")
        device, cookie = invitations.join(given["token"], given["password"], given["device"], name, request_address())
    except Refused as refused:
        refuse(403, "link_ended", str(refused), "token")
    return signed_in(device, cookie)


def _told(row: Invitation) -> dict:
    return {"id": row.id, "name": row.name, "role": row.role, "new_password": row.person_id is not None}
