"""Pairing a phone with a code that a signed-in desk shows."""

from uuid import UUID

from flask import Response
from marshmallow import Schema, fields

from ..config import settings
from ..core.tongue import phrase
from ..store import pairings
from ..store.people import Refused
from .errors import refuse
from .guard import acting, request_address, signed_in_device
from .people import DEVICE, MeSchema, signed_in
from .resource import OPEN, Resource, body, text

blueprint = Resource("pairings", __name__, url_prefix="/api/pairings", description="Pairing a phone")

PairSchema = body("Pair", text("token", "Code", 100), *DEVICE)


class PairingSchema(Schema):
    id = fields.String(required=True)
    link = fields.String(required=True, metadata={"description": "What the square holds. Good once."})
    expires_ms = fields.Integer(required=True)
    trust_page = fields.String(
        required=True,
        allow_none=True,
        metadata={"description": "Where a phone learns to trust the shop's own authority, if it has one."},
    )


class PairingStateSchema(Schema):
    expires_ms = fields.Integer(required=True)
    device = fields.String(required=True, allow_none=True, metadata={"description": "Name of the phone that came."})


@blueprint.post("")
@blueprint.response(201, PairingSchema)
def show() -> dict:
    """A code by which one phone is signed in as whoever asks. An earlier one of theirs ends."""
    pairing, token = pairings.show(acting())
    return {
        "id": pairing.id,
        "link": f"{settings().public_url}/#pair={token}",
        "expires_ms": pairing.expires_ms,
        "trust_page": settings().trust_page,
    }


@blueprint.get("/<uuid:pairing_id>")
@blueprint.refuses(404)
@blueprint.response(200, PairingStateSchema)
def read(pairing_id: UUID) -> dict:
    """Whether a phone has come by the code."""
    found = pairings.read(str(pairing_id), signed_in_device().person_id)
    if found is None:
        refuse(404, "not_found", phrase("There is no such code: show a new one."))
    return {"expires_ms": found.expires_ms, "device": found.device and found.device.name}


@blueprint.post("/pair")
@blueprint.doc(**OPEN)
@blueprint.arguments(PairSchema)
@blueprint.response(200, MeSchema)
def pair(given: dict) -> Response:
    """Sign this phone in by the code that it scanned."""
    try:
        device, cookie = pairings.pair(given["token"], given["device"], given.get("device_name", ""), request_address())
    except Refused as refused:
        refuse(403, "code_ended", str(refused), "token")
    return signed_in(device, cookie)
