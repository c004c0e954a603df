"""A case's log as a file, one entry a line."""

from collections.abc import Iterator
from uuid import UUID

from flask import Response, stream_with_context

from ..store import audit, export, log
from ..store.database import writing
from .errors import refuse
from .guard import acting, signed_in_device
from .may import insist
from .resource import Resource

blueprint = Resource("cases", __name__, url_prefix="/api/cases", description="Cases")


@blueprint.get("/<uuid:case_id>/log.jsonl")
@blueprint.doc(
    summary="The log of a case",
    responses={"200": {"description": "JSON entries, one a line.", "content": {"application/jsonl": {}}}},
)
@blueprint.refuses(404)
def read_log(case_id: UUID) -> Response:
    """Every entry of the case as it was received, in the order they came in."""
    lines = log.case_log(signed_in_device().person.shop_id, str(case_id))
    if not lines:
        refuse(404, "not_found", "The shop has no entry of this case; the phone that holds it may not have synced yet.")
    with writing() as session:
        audit.note(session, acting(), "exported", f"the log of case {case_id}")
    return Response("".join(line + "\n" for line in lines), mimetype="application/jsonl")


_ZIP = {"200": {"description": "A ZIP archive; its manifest comes last.", "content": {"application/zip": {}}}}


@blueprint.get("/<uuid:case_id>/export.zip")
@blueprint.doc(summary="All of a case as plain files", responses=_ZIP)
@blueprint.refuses(404)
def export_case(case_id: UUID) -> Response:
    """The log, the photos and the report of a case (DEVELOPERS.md, "Export")."""
    shop_id = signed_in_device().person.shop_id
    if not log.case_log(shop_id, str(case_id)):
        refuse(404, "not_found", "The shop has no entry of this case; the phone that holds it may not have synced yet.")
    return _zip(export.of_case(shop_id, str(case_id)), f"case-{str(case_id)[-6:]}", f"case {case_id}")


@blueprint.get("/export.zip")
@blueprint.doc(summary="All of the shop as plain files", responses=_ZIP)
@blueprint.refuses(403)
def export_shop() -> Response:
    """Every case with its photos, and tables for reading; the owner's to take."""
    insist("export")
    return _zip(export.of_shop(signed_in_device().person.shop_id), "coiltrail-export", "everything")


def _zip(files: Iterator[export.File], name: str, about: str) -> Response:
    with writing() as session:
        audit.note(session, acting(), "exported", about)
    headers = {"Content-Disposition": f'attachment; filename="{name}.zip"', "Cache-Control": "no-store"}
    return Response(stream_with_context(export.zipped(files)), mimetype="application/zip", headers=headers)
