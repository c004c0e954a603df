"""The shelf of tagged parts, and what each brand's parts came to."""

from marshmallow import Schema, fields, validate

from ..core import entries
from ..store import search, shelf
from .guard import signed_in_device
from .resource import Resource

blueprint = Resource("shelf", __name__, url_prefix="/api/shelf", description="The shelf of tagged parts")

NEXT = [c["value"] for f in entries.BY_KIND["part_fate"]["fields"] if f["name"] == "next" for c in f["choices"]]
_NEXT = f"next: choose one of {', '.join(NEXT)}, {shelf.GONE}."
_TEXT = f"Search: {search.MOST_TEXT} characters at most. Give what is printed on the part or its tag."
_CURSOR = "Cursor: give it as answered."


class ShelfSchema(Schema):
    next = fields.String(load_default=None, validate=validate.OneOf([*NEXT, shelf.GONE], error=_NEXT))
    q = fields.String(load_default="", validate=validate.Length(max=search.MOST_TEXT, error=_TEXT))
    cursor = fields.Integer(
        load_default=0,
        error_messages={"invalid": _CURSOR},
        validate=validate.Range(0, 2**31 - 1, error=_CURSOR),
    )


class TagOnSchema(Schema):
    case = fields.String(required=True)
    part = fields.String(required=True)


class ShelfPartSchema(Schema):
    case = fields.String(required=True)
    title = fields.String(required=True)
    plate = fields.String(required=True)
    part = fields.String(required=True)
    kind = fields.String(required=True)
    label = fields.String(required=True)
    tag = fields.String(required=True, allow_none=True)
    tag_on = fields.Nested(TagOnSchema, required=True, allow_none=True)
    brand = fields.String(required=True, allow_none=True)
    part_number = fields.String(required=True, allow_none=True)
    cylinders = fields.List(fields.Integer(), required=True)
    place = fields.String(required=True)
    place_label = fields.String(required=True)
    fate = fields.String(required=True, allow_none=True)
    bench = fields.String(required=True, allow_none=True)
    blamed = fields.Boolean(required=True)
    cleared = fields.Boolean(required=True)
    next = fields.String(required=True, allow_none=True)
    deadline = fields.String(required=True, allow_none=True)
    note = fields.String(required=True)
    photos = fields.List(fields.String(), required=True)


class ShelfAnswerSchema(Schema):
    parts = fields.List(fields.Nested(ShelfPartSchema), required=True)
    waiting = fields.Dict(keys=fields.String(), values=fields.Integer(), required=True)
    cursor = fields.Integer(required=True, allow_none=True)


class BrandCountSchema(Schema):
    kind = fields.String(required=True)
    brand = fields.String(required=True)
    part_number = fields.String(required=True)
    seen = fields.Integer(required=True)
    fitted = fields.Integer(required=True)
    failed = fields.Integer(required=True)
    share = fields.List(fields.Float(), required=True)
    months = fields.Float(required=True)
    aged = fields.Integer(required=True)
    rate = fields.List(fields.Float(), required=True, allow_none=True)


class BrandCountsSchema(Schema):
    counts = fields.List(fields.Nested(BrandCountSchema), required=True)


@blueprint.get("")
@blueprint.arguments(ShelfSchema, location="query")
@blueprint.alt_response(200, schema=ShelfAnswerSchema, description="Those with the nearest day of return first.")
@blueprint.refuses(422)
def read(given: dict) -> dict:
    """Parts that hang on a tag or were laid aside: what each is, where it is, and what should happen next."""
    found = shelf.parts(signed_in_device().person.shop_id, given["next"], given["q"], given["cursor"])
    return {"parts": found.parts, "waiting": found.waiting, "cursor": found.cursor}


@blueprint.get("/counts")
@blueprint.alt_response(200, schema=BrandCountsSchema, description="Those seen most first.")
def read_counts() -> dict:
    """Parts by brand and part number, as closed cases tell, with exact 95 % intervals."""
    return {"counts": shelf.counts(signed_in_device().person.shop_id)}
