"""Links to a case's report for its owner: made and withdrawn by the shop, opened by whoever holds one."""

import json
from uuid import UUID

from flask import Blueprint, Response, request, send_file
from marshmallow import Schema, fields

from ..config import settings
from ..core.tongue import phrase
from ..report_page import gone_page, page_of, report_of
from ..store import log, photos, report_links, throttle
from ..store.database import db
from ..store.models import ReportLink, Shop
from ..store.report_links import Gone
from ..trouble import Trouble
from .errors import refuse
from .guard import acting, request_address, signed_in_device
from .resource import Resource, body

blueprint = Resource("report_links", __name__, url_prefix="/api", description="Links to reports")
pages = Blueprint("report_pages", __name__)

WHAT = "report link"
_POLICY = (
    "default-src 'none'; style-src 'self'; img-src 'self'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'"
)
_HEAD = '<link rel="stylesheet" href="/styles/report.css">\n  <link rel="icon" href="/icons/icon.svg">'
_CLOSED = {"Cache-Control": "no-store", "X-Robots-Tag": "noindex, nofollow", "Content-Security-Policy": _POLICY}
_NEVER = "This address leads to no report. Look whether all of the link was copied."
_WITHDRAWN = "The shop has withdrawn this link."
_EXPIRED = "This link has ended: it stood for some days only."
_OFTEN = "Too many addresses that lead nowhere were tried from here. Wait a while, then open the link again."

_DAYS = {"type": "integer", "label": "Days", "name": "days", "min": 1, "max": max(report_links.DAYS), "required": True}


class LinkForSchema(body("Link to a report", _DAYS)):
    units = fields.Dict(
        keys=fields.String(),
        values=fields.String(),
        load_default={},
        metadata={"description": "Dimension to unit that quantities are shown in; others stand as they were typed."},
    )


class ReportLinkSchema(Schema):
    id = fields.String(required=True)
    made_by = fields.String(required=True)
    made_ms = fields.Integer(required=True)
    expires_ms = fields.Integer(required=True)
    withdrawn_ms = fields.Integer(required=True, allow_none=True)


class NewReportLinkSchema(ReportLinkSchema):
    url = fields.String(required=True, metadata={"description": "Told this once: the shop keeps only its hash."})


class ReportLinksSchema(Schema):
    links = fields.List(fields.Nested(ReportLinkSchema), required=True)


@blueprint.get("/cases/<uuid:case_id>/report-links")
@blueprint.refuses(404)
@blueprint.response(200, ReportLinksSchema)
def list_links(case_id: UUID) -> dict:
    """The links made to a case's report, newest first."""
    rows = report_links.of_case(signed_in_device().person.shop_id, str(case_id))
    return {"links": [_told(link, name) for link, name in rows]}


@blueprint.post("/cases/<uuid:case_id>/report-links")
@blueprint.refuses(404, 409)
@blueprint.arguments(LinkForSchema)
@blueprint.response(201, NewReportLinkSchema)
def make_link(given: dict, case_id: UUID) -> dict:
    """Freeze the report of a case as the shop has it now, and give an address by which anyone may read it."""
    person = signed_in_device().person
    name = person.name
    lines = log.case_log(person.shop_id, str(case_id))
    if not lines:
        refuse(404, "not_found", phrase("The shop has no entry of this case; let the phone that holds it sync first."))
    try:
        report = report_of([json.loads(line) for line in lines], given["units"])
    except Trouble as trouble:
        refuse(409, "no_report", phrase("There is no report to link to yet. {why}", why=trouble))
    link, token = report_links.make(acting(), str(case_id), report, given["days"])
    return _told(link, name) | {"url": f"{settings().public_url}/r/{token}"}


@blueprint.delete("/report-links/<uuid:link_id>")
@blueprint.refuses(404)
@blueprint.response(204)
def withdraw_link(link_id: UUID) -> None:
    """End a link and forget its report. Again changes nothing."""
    if report_links.withdraw(acting(), str(link_id)) is None:
        refuse(404, "not_found", phrase("The shop has no such link: look over the list."))


@pages.get("/r/<token>")
def open_report(token: str) -> Response:
    """The report behind a link, for anyone who holds it."""
    link = _link(token)
    if isinstance(link, Response):
        return link
    report = json.loads(link.content)
    shop = db.session.get_one(Shop, link.shop_id)
    page = page_of(
        report,
        shop,
        photo=lambda name: f"/r/{token}/photos/{name}" if photos.complete_file(link.shop_id, name) else None,
        head=_HEAD,
    )
    return Response(page, mimetype="text/html", headers=_CLOSED)


@pages.get("/r/<token>/photos/<sha256>")
def open_photo(token: str, sha256: str) -> Response:
    """A picture that the report behind a link shows."""
    link = _link(token)
    if isinstance(link, Response):
        return link
    shown = sha256 in report_links.photos_in(json.loads(link.content))
    found = photos.complete_file(link.shop_id, sha256) if shown else None
    if found is None:
        return _gone(404, link.shop_id, "This report shows no such picture.")
    path, row = found
    response = send_file(path, mimetype=row.media_type)
    response.headers.update(_CLOSED | {"Content-Security-Policy": "default-src 'none'; sandbox"})
    return response


def _link(token: str) -> ReportLink | Response:
    """The link, or the answer in its place."""
    wait = throttle.wait_of(WHAT, request_address())
    if wait:
        answer = _gone(429, None, _OFTEN)
        answer.headers["Retry-After"] = str(wait)
        return answer
    link = report_links.look(token)
    if link is None:
        throttle.count_failure(WHAT, request_address())
        return _gone(404, None, _NEVER)
    if isinstance(link, Gone):
        return _gone(410, link.shop_id, _WITHDRAWN if link.withdrawn else _EXPIRED)
    return link


def _gone(status: int, shop_id: str | None, words: str) -> Response:
    shop = db.session.get(Shop, shop_id) if shop_id else None
    answer = Response(gone_page(shop, words), status, mimetype="text/html", headers=_CLOSED)
    if request.path.count("/") > 2:  # a picture has no words
        answer.set_data(b"")
    return answer


def _told(link: ReportLink, name: str) -> dict:
    names = ("id", "made_ms", "expires_ms", "withdrawn_ms")
    return {key: getattr(link, key) for key in names} | {"made_by": name}
