"""Tags on parts, and their labels."""

from flask import Response
from marshmallow import Schema, fields, validate
from PIL import Image

from .. import labels
from ..config import settings
from ..core import tags as codes
from ..core.tongue import phrase
from ..store import tags
from .errors import refuse
from .guard import signed_in_device
from .resource import Resource, path

blueprint = Resource("tags", __name__, url_prefix="/api/tags", description="Tags on parts")

_CODE = path("code", {"type": "string", "minLength": 1}, "The tag's code as printed, typed or scanned.")
_PRIVATE = {"Cache-Control": "private, no-cache"}
MOST_LABELS = 300  # in one go
CASE_LETTERS = 6  # of the case's id on a label; the end of a UUIDv7 is its random part


class TagSchema(Schema):
    code = fields.String(required=True)
    part = fields.String(required=True)
    case = fields.String(required=True)


_DPI = f"dpi: give {' or '.join(map(str, labels.DPI))}, the resolution of your printer."
_SIZE = f"size: give one of {', '.join(labels.SIZES)}, the label's width and height in millimetres."
_PAPER = "paper: give roll, a4 or letter."
_CODES = f"codes: give 1 to {MOST_LABELS} codes of tags."
_COUNT = f"count: give a whole number from 1 to {MOST_LABELS}."


class LabelSchema(Schema):
    dpi = fields.Integer(
        load_default=labels.DPI[0],
        error_messages={"invalid": _DPI},
        validate=validate.OneOf(labels.DPI, error=_DPI),
    )
    size = fields.String(
        load_default=next(iter(labels.SIZES)), validate=validate.OneOf(list(labels.SIZES), error=_SIZE)
    )


class PaperSchema(LabelSchema):
    paper = fields.String(load_default="roll", validate=validate.OneOf(("roll", *labels.PAPERS), error=_PAPER))


class RollSchema(PaperSchema):
    count = fields.Integer(
        required=True,
        strict=True,
        error_messages={"invalid": _COUNT, "required": _COUNT, "null": _COUNT},
        validate=validate.Range(1, MOST_LABELS, error=_COUNT),
    )


class ChosenSchema(PaperSchema):
    codes = fields.List(
        fields.String(error_messages={"invalid": _CODES}),
        required=True,
        error_messages={"invalid": _CODES, "required": _CODES, "null": _CODES},
        validate=validate.Length(1, MOST_LABELS, error=_CODES),
    )


@blueprint.get("/<string:code>", parameters=_CODE)
@blueprint.refuses(404)
@blueprint.response(200, TagSchema)
def read(code: str) -> dict:
    """The part that a tag hangs on, and its case."""
    code = _code(code)
    bound = tags.find(signed_in_device().person.shop_id, code)
    if bound is None:
        refuse(404, "not_bound", phrase("This tag is not bound to a part yet: bind it in the part's case."))
    return {"code": code, "part": bound.part, "case": bound.case}


@blueprint.get("/<string:code>/label.png", parameters=_CODE)
@blueprint.arguments(LabelSchema, location="query")
@blueprint.doc(
    summary="The label of a tag", responses={"200": {"description": "The label.", "content": {"image/png": {}}}}
)
@blueprint.refuses(404, 422)
def read_label(given: dict, code: str) -> Response:
    """The label as an image at the printer's dots. A tag not bound yet has one too."""
    picture = _label(_code(code), given)
    return Response(labels.png(picture, given["dpi"]), mimetype="image/png", headers=_PRIVATE)


@blueprint.get("/<string:code>/label.pdf", parameters=_CODE)
@blueprint.arguments(LabelSchema, location="query")
@blueprint.doc(
    summary="The label of a tag, to print",
    responses={"200": {"description": "One page as large as the label.", "content": {"application/pdf": {}}}},
)
@blueprint.refuses(404, 422)
def read_label_page(given: dict, code: str) -> Response:
    """The label as a page of its size, which prints at the printer's dots."""
    return _pdf(labels.roll([_label(_code(code), given)], given["dpi"]))


@blueprint.post("/roll")
@blueprint.arguments(RollSchema)
@blueprint.doc(responses={"200": {"description": "The labels.", "content": {"application/pdf": {}}}})
@blueprint.refuses(422)
def make_roll(given: dict) -> Response:
    """Labels of new tags, printed ahead: each is bound later by a scan, also without a signal.

    For a roll a page a label, else as many on a sheet of paper as fit.
    """
    return _printed(tags.unused(signed_in_device().person.shop_id, given["count"]), given)


@blueprint.post("/labels")
@blueprint.arguments(ChosenSchema)
@blueprint.doc(responses={"200": {"description": "The labels.", "content": {"application/pdf": {}}}})
@blueprint.refuses(404, 422)
def make_labels(given: dict) -> Response:
    """Labels of the tags named, in their order, in one file: a page a label, or many on a sheet of paper."""
    return _printed([_code(code) for code in given["codes"]], given)


def _printed(tag_codes: list[str], given: dict) -> Response:
    pictures = [_label(code, given) for code in tag_codes]
    if given["paper"] == "roll":
        return _pdf(labels.roll(pictures, given["dpi"]))
    return _pdf(labels.sheets(pictures, given["dpi"], given["paper"]))


def _label(code: str, given: dict) -> Image.Image:
    shop = signed_in_device().person.shop
    bound = tags.find(shop.id, code)
    facts = []
    if bound:
        case = phrase("Case {case}", case=bound.case[-CASE_LETTERS:].upper())
        facts = [bound.label, bound.car, case, f"{bound.date}"]
    try:
        address = codes.address(settings().public_url, code)
        lines = [line for line in (*facts, shop.phone, shop.name) if line]
        return labels.draw(address, codes.with_groups(code), lines, given["dpi"], given["size"])
    except ValueError as problem:
        refuse(422, "no_label", str(problem))


def _pdf(content: bytes) -> Response:
    return Response(content, mimetype="application/pdf", headers=_PRIVATE)


def _code(text: str) -> str:
    checked = codes.check_tag(text)
    if "message" in checked:
        refuse(404, "no_such_tag", checked["message"])
    return checked["code"]
