"""Who did what, for the owner."""

from flask import request
from marshmallow import Schema, fields

from ..core.tongue import phrase
from ..store import audit
from .errors import refuse
from .guard import signed_in_device
from .may import insist
from .resource import Resource

blueprint = Resource("audit", __name__, url_prefix="/api/audit", description="Who did what")

PAGE = 100
_FILTERS = ("person", "deed", "before")


class LineSchema(Schema):
    id = fields.String(required=True)
    at_ms = fields.Integer(required=True)
    person = fields.String(required=True, allow_none=True, metadata={"description": "None: nobody signed in."})
    device = fields.String(required=True, allow_none=True)
    deed = fields.String(required=True, metadata={"enum": list(audit.DEEDS)})
    words = fields.String(required=True, metadata={"description": "The deed as a sentence says it."})
    about = fields.String(required=True)
    address = fields.String(required=True)


class AuditSchema(Schema):
    lines = fields.List(fields.Nested(LineSchema), required=True)
    deeds = fields.Dict(keys=fields.String(), values=fields.String(), required=True)
    more = fields.Boolean(required=True)


@blueprint.get("")
@blueprint.doc(parameters=[{"in": "query", "name": name, "schema": {"type": "string"}} for name in _FILTERS])
@blueprint.refuses(422)
@blueprint.response(200, AuditSchema)
def read() -> dict:
    """The latest lines, newest first: of one person (``person``, an id), of one sort (``deed``), and before a line
    (``before``, its id)."""
    insist("audit")
    person, deed, before = (request.args.get(name) or None for name in _FILTERS)
    if deed and deed not in audit.DEEDS:
        refuse(422, "invalid", f"deed: choose one of {', '.join(audit.DEEDS)}.", "deed")
    shop_id = signed_in_device().person.shop_id
    rows = audit.page(shop_id, person_id=person, deed=deed, before=before, most=PAGE + 1)
    return {
        "lines": [_line(*row) for row in rows[:PAGE]],
        "deeds": {deed: phrase(words) for deed, words in audit.DEEDS.items()},
        "more": len(rows) > PAGE,
    }


def _line(row, person: str | None, device: str | None) -> dict:
    return {
        "id": row.id,
        "at_ms": row.at_ms,
        "person": person,
        "device": device,
        "deed": row.deed,
        "words": phrase(audit.DEEDS.get(row.deed, row.deed)),
        "about": audit.in_words(row.about),
        "address": row.address,
    }
