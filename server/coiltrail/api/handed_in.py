"""What devices that were shut out hand in, and looking it over."""

from marshmallow import Schema, fields, validate

from ..core.tongue import phrase
from ..store import handed_in
from ..store.entry_check import EnvelopeSchema
from .errors import refuse
from .guard import acting, request_address, shut_out_device, signed_in_device
from .may import insist
from .resource import Resource, body, text
from .sync import SetAsideSchema

blueprint = Resource("handed_in", __name__, url_prefix="/api/handed-in", description="From devices that were shut out")

MOST_AT_ONCE = 500


class HandInSchema(Schema):
    entries = fields.List(fields.Raw(allow_none=True), required=True)


class ReceivedSchema(Schema):
    received = fields.List(fields.String(), required=True)


class WaitingSchema(Schema):
    id = fields.String(required=True)
    entry = fields.Nested(EnvelopeSchema, required=True)
    received_ms = fields.Integer(required=True)
    late = fields.Boolean(
        required=True, metadata={"description": "Its own clock says it was recorded after the device was shut out."}
    )
    left = fields.String(required=True, allow_none=True, metadata={"description": "Why it was left out, if it was."})


class FromDeviceSchema(Schema):
    device = fields.String(required=True)
    name = fields.String(required=True)
    person = fields.String(required=True)
    shut_out_ms = fields.Integer(required=True, allow_none=True)
    entries = fields.List(fields.Nested(WaitingSchema), required=True)


class HandedInSchema(Schema):
    devices = fields.List(fields.Nested(FromDeviceSchema), required=True)


class _Chosen(Schema):
    ids = fields.List(fields.String(), required=True, validate=validate.Length(1, MOST_AT_ONCE))


class AcceptSchema(_Chosen):
    pass


class LeaveSchema(_Chosen, body("Leave", text("reason", "Reason", 500))):
    pass


class AcceptedSchema(Schema):
    set_aside = fields.List(fields.Nested(SetAsideSchema), required=True)


@blueprint.post("")
@blueprint.refuses(413)
@blueprint.arguments(HandInSchema)
@blueprint.response(200, ReceivedSchema)
def hand_in(given: dict) -> dict:
    """Take what a device recorded before it was shut out. It is told which entries arrived, and nothing else."""
    device = shut_out_device()
    if device is None:
        refuse(403, "not_shut_out", phrase("This device is signed in: it sends what it recorded to /api/sync."))
    try:
        return {"received": handed_in.hand_in(device, given["entries"], request_address())}
    except handed_in.TooMuch:
        refuse(413, "too_large", phrase("This device has handed in more than can be kept apart. Bring it to the shop."))


@blueprint.get("")
@blueprint.response(200, HandedInSchema)
def read() -> dict:
    """All that was handed in and is not in the log; owner's and desk's to see."""
    insist("look_over")
    return {
        "devices": [
            {
                "device": device.id,
                "name": device.name,
                "person": device.person.name,
                "shut_out_ms": device.revoked_ms,
                "entries": [
                    {
                        "id": one.row.id,
                        "entry": one.entry,
                        "received_ms": one.row.received_ms,
                        "late": one.late,
                        "left": one.row.reason,
                    }
                    for one in waiting
                ],
            }
            for device, waiting in handed_in.waiting(signed_in_device().person.shop_id)
        ]
    }


@blueprint.post("/accept")
@blueprint.refuses(404)
@blueprint.arguments(AcceptSchema)
@blueprint.response(200, AcceptedSchema)
def accept(given: dict) -> dict:
    """Put what one device handed in into the log. What the log cannot take is set aside there, as from any phone."""
    insist("look_over")
    try:
        return {"set_aside": handed_in.accept(given["ids"], acting())}
    except LookupError:
        refuse(404, "not_found", phrase(_GONE), "ids")


@blueprint.post("/leave")
@blueprint.refuses(404)
@blueprint.arguments(LeaveSchema)
@blueprint.response(204)
def leave(given: dict) -> None:
    """Leave what one device handed in out of the log. It stays apart, with the reason."""
    insist("look_over")
    try:
        handed_in.leave(given["ids"], given["reason"], acting())
    except LookupError:
        refuse(404, "not_found", phrase(_GONE), "ids")


_GONE = "Some of this was decided on meanwhile, or is not of one device: look at the list again."
