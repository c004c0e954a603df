"""The one exchange between a phone and the shop. It may be cut off and repeated at any point."""

from marshmallow import Schema, ValidationError, fields

from ..config import settings
from ..core.entries import UUID_PATTERN
from ..store.entry_check import EnvelopeSchema, is_count
from ..store.exchange import Place, exchange
from .guard import signed_in_device
from .may import kept_from
from .resource import Resource, body, text

_COUNT = {"type": "integer", "min": 0, "max": 2**53 - 1}

blueprint = Resource("sync", __name__, url_prefix="/api/sync", description="Entries from and to the phones")


_HEAD = {
    "type": "array",
    "minItems": 2,
    "maxItems": 2,
    "items": {"anyOf": [{"type": "integer", "minimum": 0}, {"type": "string"}]},
    "description": "[number, hash]: how far the log was when last answered.",
}


class Head(fields.Field):
    """``[number, hash]``: how far the log was when the phone was last told."""

    def _deserialize(self, value, attr, data, **kwargs):
        if isinstance(value, list) and len(value) == 2 and is_count(value[0]) and isinstance(value[1], str):
            return value
        raise ValidationError("Head: give number and hash as last answered, or nothing.")


class SyncRequestSchema(
    body(
        "Sync",
        text("device", "Device", 36, required=False, pattern=UUID_PATTERN),
        _COUNT | {"name": "cursor", "label": "Cursor", "required": True},
    )
):
    epoch = fields.String(allow_none=True, load_default=None, metadata={"description": "As last answered."})
    head = Head(allow_none=True, load_default=None, metadata=_HEAD)
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


class ApartSchema(SetAsideSchema):
    entry = fields.Nested(EnvelopeSchema, required=True)


class SyncAnswerSchema(Schema):
    epoch = fields.String(required=True)
    cursor = fields.Integer(required=True)
    head = Head(required=True, metadata=_HEAD)
    accepted = fields.List(fields.String(), required=True)
    set_aside = fields.List(fields.Nested(SetAsideSchema), required=True)
    entries = fields.List(fields.Nested(EnvelopeSchema), required=True)
    apart = fields.List(fields.Nested(ApartSchema), required=True)
    blanked = fields.List(
        fields.Nested(EnvelopeSchema),
        required=True,
        metadata={"description": "Entries erased at a person's request, as they stand now, in place of the phone's."},
    )
    more = fields.Boolean(required=True)
    photos_wanted = fields.List(fields.String(), required=True)
    server_ms = fields.Integer(required=True)


@blueprint.post("")
@blueprint.arguments(SyncRequestSchema)
@blueprint.alt_response(
    200, schema=SyncAnswerSchema, description="What became of the entries, and what is new for the phone."
)
@blueprint.refuses(507)
def sync(given: dict) -> dict:
    """Take in the phone's entries and answer with those of others.

    Accepting is idempotent by id. What the log cannot take is set aside and kept, with the reason. An epoch
    other than the one sent means that the shop was restored: the cursor began anew, and the phone offers
    everything again.
    """
    device = signed_in_device()
    place = Place(given["epoch"], given["cursor"], given["head"] and tuple(given["head"]))
    return exchange(
        device.person.shop_id,
        device.id,
        place,
        given["entries"],
        given["unsynced"],
        kept_from=kept_from(device),
        answer_limit=settings().answer_limit,
    )
