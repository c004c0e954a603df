"""Tags on parts, and their labels."""

from flask import Response, request
from marshmallow import Schema, fields

from .. import labels
from ..config import settings
from ..core import tags as codes
from ..store import tags
from .errors import refuse
from .guard import signed_in_device
from .resource import Resource, path

blueprint = Resource("tags", __name__, url_prefix="/api/tags", description="Tags on parts")

_CODE = path("code", {"type": "string", "minLength": 1}, "The tag's code as printed, typed or scanned.")
CASE_LETTERS = 6  # of the case's id on a label; the end of a UUIDv7 is its random part


class TagSchema(Schema):
    code = fields.String(required=True)
    part = fields.String(required=True)
    case = fields.String(required=True)


@blueprint.get("/<string:code>", parameters=_CODE)
@blueprint.refuses(404)
@blueprint.response(200, TagSchema)
def read(code: str) -> dict:
    """The part that a tag hangs on, and its case."""
    code = _code(code)
    bound = tags.find(signed_in_device().person.shop_id, code)
    if bound is None:
        refuse(404, "not_bound", "This tag is not bound to a part yet: bind it in the part's case.")
    return {"code": code, "part": bound.part, "case": bound.case}


@blueprint.get("/<string:code>/label.png", parameters=_CODE)
@blueprint.doc(
    summary="The label of a tag",
    parameters=[{"in": "query", "name": "dpi", "schema": {"type": "integer", "enum": list(labels.DPI)}}],
    responses={"200": {"description": "The label.", "content": {"image/png": {}}}},
)
@blueprint.refuses(404, 422)
def read_label(code: str) -> Response:
    """The label as an image at the printer's dots (``?dpi=203`` or ``300``). A tag not bound yet has one too."""
    code = _code(code)
    shop = signed_in_device().person.shop
    bound = tags.find(shop.id, code)
    facts = [bound.label, f"Case {bound.case[-CASE_LETTERS:].upper()}, {bound.date}"] if bound else []
    try:
        address = codes.address(settings().public_url, code)
        image = labels.label_png(address, codes.with_groups(code), [*facts, shop.name, shop.phone], _dpi())
    except ValueError as problem:
        refuse(422, "no_label", str(problem))
    return Response(image, mimetype="image/png", headers={"Cache-Control": "private, no-cache"})


def _code(text: str) -> str:
    checked = codes.check_tag(text)
    if "message" in checked:
        refuse(404, "no_such_tag", checked["message"])
    return checked["code"]


def _dpi() -> int:
    text = request.args.get("dpi", str(labels.DPI[0]))
    return int(text) if text.isdecimal() and len(text) < 6 else 0
