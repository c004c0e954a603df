"""Phones and desks on which people of the shop signed in."""

import json
from uuid import UUID

from marshmallow import Schema, fields
from sqlalchemy import select

from ..core.tongue import phrase
from ..store import people
from ..store.database import db
from ..store.models import Device, Person
from .errors import refuse
from .guard import acting, signed_in_device
from .may import insist, may
from .resource import Resource

blueprint = Resource("devices", __name__, url_prefix="/api/devices", description="Devices")


class UnsyncedSchema(Schema):
    """What a phone last said is only on it."""

    entries = fields.Integer(required=True)
    photos = fields.Integer(required=True)
    since_ms = fields.Integer(required=True, allow_none=True)


class DeviceSchema(Schema):
    id = fields.String(required=True)
    name = fields.String(required=True)
    person = fields.String(required=True, metadata={"description": "Name of who signed in last."})
    created_ms = fields.Integer(required=True)
    last_seen_ms = fields.Integer(required=True)
    signed_in = fields.Boolean(required=True)
    revoked = fields.Boolean(required=True)
    this = fields.Boolean(required=True, metadata={"description": "Whether it is the one that asks."})
    unsynced = fields.Nested(UnsyncedSchema, required=True, allow_none=True)


class DevicesSchema(Schema):
    devices = fields.List(fields.Nested(DeviceSchema), required=True)


@blueprint.get("")
@blueprint.response(200, DevicesSchema)
def list_devices() -> dict:
    """The shop's devices, the latest seen first; mechanics see their own."""
    asking = signed_in_device()
    asked = _of_shop(asking).order_by(Device.last_seen_ms.desc(), Device.id)
    rows = db.session.scalars(asked if may(asking, "shut_out") else asked.where(Device.person_id == asking.person_id))
    return {"devices": [_shown(device, asking) for device in rows]}


@blueprint.delete("/<uuid:device_id>")
@blueprint.refuses(404)
@blueprint.response(204)
def shut_out(device_id: UUID) -> None:
    """Shut a device out: owner and desk any, everybody else their own."""
    asking = signed_in_device()
    device = db.session.scalars(_of_shop(asking).where(Device.id == str(device_id))).first()
    if device is None:
        refuse(404, "not_found", phrase("The shop has no such device; look at the list again."))
    if device.person_id != asking.person_id:
        insist("shut_out")
    people.shut_out(device.id, acting())


def _of_shop(asking: Device):
    return select(Device).join(Person).where(Person.shop_id == asking.person.shop_id)


def _shown(device: Device, asking: Device) -> dict:
    return {
        "id": device.id,
        "name": device.name,
        "person": device.person.name,
        "created_ms": device.created_ms,
        "last_seen_ms": device.last_seen_ms,
        "signed_in": device.token_sha256 is not None and device.revoked_ms is None,
        "revoked": device.revoked_ms is not None,
        "this": device.id == asking.id,
        "unsynced": json.loads(device.unsynced) if device.unsynced else None,
    }
