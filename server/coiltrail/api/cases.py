"""Cases: found by what is said of them, what customers wait to hear of, and a case's log as a file."""

import datetime
import json
from collections.abc import Callable, Iterator
from uuid import UUID

from flask import Response, stream_with_context
from marshmallow import Schema, fields, validate

from ..core.tongue import phrase
from ..store import audit, export, log, search
from ..store.database import writing
from ..store.entry_check import EnvelopeSchema
from .errors import refuse
from .guard import acting, signed_in_device
from .may import insist
from .resource import Resource

blueprint = Resource("cases", __name__, url_prefix="/api/cases", description="Cases")


_FIRST_DAY, _LAST_DAY = datetime.date(1980, 1, 1), datetime.date(2099, 12, 31)


def _day(label: str, description: str) -> fields.Date:
    message = f"{label}: give a day as 2026-05-31."
    return fields.Date(
        load_default=None,
        error_messages={"invalid": message, "format": message},
        validate=validate.Range(_FIRST_DAY, _LAST_DAY, error=message),
        metadata={"description": description},
    )


class SearchSchema(Schema):
    q = fields.String(
        load_default="",
        metadata={"description": "Beginnings of words: plate, VIN, customer, telephone, code, tag, day, notes."},
    )
    status = fields.String(
        load_default=None, validate=validate.OneOf(("open", "closed"), error="Status: choose open or closed.")
    )
    by = fields.UUID(
        load_default=None,
        error_messages={"invalid_uuid": "By: give the id of a person."},
        metadata={"description": "A person who recorded something in it."},
    )
    since = _day("Since", "Something was recorded on that day or later.")
    until = _day("Until", "It was opened on that day or before.")
    cursor = fields.Integer(
        load_default=None,
        strict=False,
        error_messages={"invalid": "Cursor: give it as answered."},
        validate=validate.Range(0, 2**31 - 1, error="Cursor: give it as answered."),
        metadata={"description": "As answered with the page before."},
    )


class CaseSchema(Schema):
    case = fields.String(required=True)
    status = fields.String(required=True)
    title = fields.String(required=True)
    plate = fields.String(required=True)
    customer = fields.String(required=True)
    phone = fields.String(required=True)
    what = fields.String(required=True, metadata={"description": "The cause, or while it is open the complaint."})
    people = fields.List(fields.String(), required=True, metadata={"description": "Ids of those who recorded."})
    calls = fields.Integer(required=True, metadata={"description": "How much was left for later."})
    opened_ms = fields.Integer(required=True)
    last_ms = fields.Integer(required=True)


class FoundSchema(Schema):
    cases = fields.List(fields.Nested(CaseSchema), required=True)
    cursor = fields.Integer(required=True, allow_none=True)


class SameVehicleSchema(Schema):
    cases = fields.List(fields.Nested(CaseSchema), required=True)


class EntriesSchema(Schema):
    entries = fields.List(fields.Nested(EnvelopeSchema), required=True)


class CallSchema(Schema):
    case = fields.String(required=True)
    title = fields.String(required=True)
    plate = fields.String(required=True)
    customer = fields.String(required=True)
    phone = fields.String(required=True)
    question = fields.String(required=True, metadata={"description": "What ``answered`` names to put it away."})
    entry = fields.String(required=True)
    code = fields.String(required=True, allow_none=True)
    meaning = fields.String(required=True)
    text = fields.String(required=True)
    since = fields.Integer(required=True)
    tried = fields.Integer(required=True, allow_none=True)


class CallsSchema(Schema):
    calls = fields.List(fields.Nested(CallSchema), required=True)


@blueprint.get("")
@blueprint.arguments(SearchSchema, location="query")
@blueprint.alt_response(200, schema=FoundSchema, description="Those that came in last first.")
@blueprint.refuses(422)
def find(given: dict) -> dict:
    """The shop's cases by words and by what is said of them, a page at a time."""
    sought = search.Sought(
        text=given["q"],
        closed=given["status"] and given["status"] == "closed",
        by=given["by"] and str(given["by"]),
        since=given["since"] and _begin_of(given["since"]),
        until=given["until"] and _begin_of(given["until"] + datetime.timedelta(days=1)) - 1,
    )
    try:
        found = search.cases(signed_in_device().person.shop_id, sought, given["cursor"])
    except ValueError as problem:
        refuse(422, "no_search", str(problem), "q")
    return {"cases": found.cases, "cursor": found.cursor}


@blueprint.get("/calls")
@blueprint.alt_response(200, schema=CallsSchema, description="The oldest first.")
def read_calls() -> dict:
    """What closed cases left for later and their customers have not heard of yet."""
    return {"calls": search.calls(signed_in_device().person.shop_id)}


@blueprint.get("/<uuid:case_id>/same-vehicle")
@blueprint.alt_response(200, schema=SameVehicleSchema, description="The latest first.")
@blueprint.refuses(404)
def find_same_vehicle(case_id: UUID) -> dict:
    """Other cases with the vehicle number or the plate of this one."""
    return {"cases": search.of_same_vehicle(signed_in_device().person.shop_id, str(case_id))}


@blueprint.get("/<uuid:case_id>/entries")
@blueprint.alt_response(200, schema=EntriesSchema, description="In the order they came in.")
@blueprint.refuses(404)
def read_entries(case_id: UUID) -> dict:
    """Every entry of a case, for a phone that does not hold it."""
    return {"entries": [json.loads(line) for line in _lines(case_id)]}


@blueprint.get("/<uuid:case_id>/log.jsonl")
@blueprint.doc(
    summary="The log of a case",
    responses={"200": {"description": "JSON entries, one a line.", "content": {"application/jsonl": {}}}},
)
@blueprint.refuses(404)
def read_log(case_id: UUID) -> Response:
    """Every entry of the case as it was received, in the order they came in."""
    lines = _lines(case_id)
    with writing() as session:
        audit.note(session, acting(), "exported", lambda: phrase("the log of case {case}", case=case_id))
    return Response("".join(line + "\n" for line in lines), mimetype="application/jsonl")


_ZIP = {"200": {"description": "A ZIP archive; its manifest comes last.", "content": {"application/zip": {}}}}


@blueprint.get("/<uuid:case_id>/export.zip")
@blueprint.doc(summary="All of a case as plain files", responses=_ZIP)
@blueprint.refuses(404)
def export_case(case_id: UUID) -> Response:
    """The log, the photos and the report of a case (DEVELOPERS.md, "Export")."""
    shop_id = signed_in_device().person.shop_id
    if not log.case_log(shop_id, str(case_id)):
        refuse(
            404,
            "not_found",
            phrase("The shop has no entry of this case; the phone that holds it may not have synced yet."),
        )
    return _zip(export.of_case(shop_id, str(case_id)), f"case-{str(case_id)[-6:]}", audit.case_words(str(case_id)))


@blueprint.get("/export.zip")
@blueprint.doc(summary="All of the shop as plain files", responses=_ZIP)
@blueprint.refuses(403)
def export_shop() -> Response:
    """Every case with its photos, and tables for reading; the owner's to take."""
    insist("export")
    return _zip(export.of_shop(signed_in_device().person.shop_id), "coiltrail-export", lambda: phrase("everything"))


def _zip(files: Iterator[export.File], name: str, about: Callable[[], str]) -> Response:
    with writing() as session:
        audit.note(session, acting(), "exported", about)
    headers = {"Content-Disposition": f'attachment; filename="{name}.zip"', "Cache-Control": "no-store"}
    return Response(stream_with_context(export.zipped(files)), mimetype="application/zip", headers=headers)


def _lines(case_id: UUID) -> list[str]:
    lines = log.case_log(signed_in_device().person.shop_id, str(case_id))
    if not lines:
        refuse(
            404,
            "not_found",
            phrase("The shop has no entry of this case; the phone that holds it may not have synced yet."),
        )
    return lines


def _begin_of(day: datetime.date) -> int:
    """When a day begins where the shop is (ms)."""
    return round(datetime.datetime.combine(day, datetime.time()).timestamp() * 1000)
