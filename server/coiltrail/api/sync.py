"""The one exchange between a phone and the shop. It may be cut off and repeated at any point."""

import json
from typing import Any

from marshmallow import Schema, fields

from ..config import settings
from ..core.entries import UUID_PATTERN
from ..store import log, photos
from ..store.clock import now_ms
from ..store.database import writing
from ..store.entry_check import EnvelopeSchema, is_count
from ..store.models import Device
from .guard import signed_in_device
from .resource import Resource, body, text

MOST_PHOTOS_WANTED = 200
_COUNT = {"type": "integer", "min": 0, "max": 2**53 - 1}

blueprint = Resource("sync", __name__, url_prefix="/api/sync", description="Entries from and to the phones")


class SyncRequestSchema(
    body(
        "Sync",
        text("device", "Device", 36, required=False, pattern=UUID_PATTERN),
        _COUNT | {"name": "cursor", "label": "Cursor", "required": True},
    )
):
    epoch = fields.String(allow_none=True, load_default=None, metadata={"description": "As last answered."})
    # Each entry is checked by itself, so that one bad entry holds up no other.
    entries = fields.List(
        fields.Raw(allow_none=True),
        load_default=list,
        error_messages={"invalid": "Entries: give a list.", "null": "Entries: give a list."},
        metadata={"description": "New entries, each as in the answer."},
    )
    unsynced = fields.Raw(
        allow_none=True,
        load_default=None,
        metadata={"description": "{entries, photos, since_ms}: what will be only on the phone after this request."},
    )


class SetAsideSchema(Schema):
    id = fields.String(required=True, allow_none=True)
    field = fields.String(required=True)
    message = fields.String(required=True)


class SyncAnswerSchema(Schema):
    epoch = fields.String(required=True)
    cursor = fields.Integer(required=True)
    accepted = fields.List(fields.String(), required=True)
    set_aside = fields.List(fields.Nested(SetAsideSchema), required=True)
    entries = fields.List(fields.Nested(EnvelopeSchema), required=True)
    more = fields.Boolean(required=True)
    photos_wanted = fields.List(fields.String(), required=True)
    server_ms = fields.Integer(required=True)


@blueprint.post("")
@blueprint.arguments(SyncRequestSchema)
@blueprint.doc(responses={"200": {"description": "What became of the entries, and what is new for the phone"}})
@blueprint.alt_response(200, schema=SyncAnswerSchema)
def exchange(given: dict) -> dict:
    """Take in the phone's entries and answer with those of others.

    Accepting is idempotent by id. What the log cannot take is set aside and kept, with the reason. An epoch
    other than the one sent means that the shop was restored: the cursor began anew, and the phone offers
    everything again.
    """
    device = signed_in_device()
    device_id, shop_id = device.id, device.person.shop_id
    checked = log.check(given["entries"])
    with writing() as session:
        shop = log.lock(session, shop_id)
        if given["epoch"] == shop.epoch and given["cursor"] >= shop.next_number:
            log.begin_epoch(shop)  # the phone has seen entries that this database has forgotten
        outcome = log.take_in(session, shop, device_id, checked)
        _note(session.get_one(Device, device_id), given["unsynced"])
        epoch = shop.epoch
    cursor = given["cursor"] if given["epoch"] == epoch else 0
    page = log.page_after(shop_id, cursor, settings().answer_limit, skip=set(outcome.accepted))
    return {
        "epoch": epoch,
        "cursor": page.cursor,
        "accepted": outcome.accepted,
        "set_aside": outcome.set_aside,
        "entries": page.entries,
        "more": page.more,
        "photos_wanted": photos.wanted(shop_id, MOST_PHOTOS_WANTED),
        "server_ms": now_ms(),
    }


def _note(device: Device, unsynced: Any) -> None:
    """Keep what the phone says is only on it. A report that cannot be read shall not hold up the entries."""
    device.last_seen_ms = now_ms()
    if isinstance(unsynced, dict):
        counts = {name: unsynced.get(name) for name in ("entries", "photos", "since_ms")}
        if all(is_count(count) for name, count in counts.items() if name != "since_ms" or count is not None):
            device.unsynced = json.dumps(counts)
