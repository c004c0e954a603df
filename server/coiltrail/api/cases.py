"""A case's log as a file, one entry a line."""

from uuid import UUID

from flask import Response

from ..store import audit, log
from ..store.database import writing
from .errors import refuse
from .guard import acting, signed_in_device
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
