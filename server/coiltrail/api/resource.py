"""A blueprint whose request bodies are read like all JSON here, and whose documentation names every refusal."""

from typing import Any, ClassVar

from flask import Request, request
from flask_smorest import Blueprint
from marshmallow import EXCLUDE
from webargs.flaskparser import FlaskParser

from ..core.entries import HINTS
from ..store.fields import schema_of


class _Parser(FlaskParser):
    # A newer phone may say more than this server knows.
    DEFAULT_UNKNOWN_BY_LOCATION: ClassVar = {**FlaskParser.DEFAULT_UNKNOWN_BY_LOCATION, "json": EXCLUDE}

    def _raw_load_json(self, req: Request) -> Any:
        return request.get_json()


# What each refusal means, for the documentation.
_REFUSALS = {
    400: "The request cannot be understood",
    401: "Nobody is signed in on this device",
    403: "Not from the application, or not allowed to this person",
    404: "There is no such thing",
    409: "It disagrees with what the shop has",
    411: "The length of the body is missing",
    412: "The file is another than the one named by If-Match",
    413: "It is too large",
    415: "It is not JSON",
    416: "The file has no such part",
    422: "Something is not as it should be; the message says what to do",
    429: "Too many tries: wait as long as Retry-After says",
    503: "The database cannot be reached: try again after Retry-After",
    507: "The shop's disk is full",
}
OPEN: dict[str, Any] = {"security": []}  # documents a call that needs no sign-in
FROM_THE_APPLICATION = {
    "in": "header",
    "name": "X-Coiltrail",
    "required": True,
    "schema": {"type": "string", "enum": ["1"]},
    "description": "Shows that the request comes from the application's own page.",
}


class Resource(Blueprint):
    """One resource of the API."""

    ARGUMENTS_PARSER = _Parser()

    def __init__(self, *arguments: Any, **options: Any):
        super().__init__(*arguments, **options)
        self._prepare_doc_cbks.append(_document_common)

    def refuses(self, *statuses: int):
        """Document that a call may be refused with ``statuses``, besides those that every such call has."""
        return self.doc(responses={str(status): _refusal(status) for status in statuses})


def path(name: str, schema: dict, description: str) -> list[dict[str, Any]]:
    """The documentation of the changing part of an address, for a route's ``parameters``."""
    return [{"in": "path", "name": name, "required": True, "schema": schema, "description": description}]


def header(name: str, schema: dict, description: str, *, required: bool = True) -> dict[str, Any]:
    """The documentation of a request's header."""
    return {"in": "header", "name": name, "required": required, "schema": schema, "description": description}


def _refusal(status: int) -> dict[str, Any]:
    content = {"application/json": {"schema": {"$ref": "#/components/schemas/Error"}}}
    return {"description": _REFUSALS[status] + ".", "content": content}


def _document_common(documented: dict, found: dict, *, method: str, **_: Any) -> dict:
    """Add to a call what all calls of its sort have."""
    statuses = {503}
    if found.get("manual_doc", {}).get("security") != []:
        statuses.add(401)
    if method != "get":
        statuses |= {400, 403} if method != "head" else set()
    if "requestBody" in documented:
        statuses |= {411, 413, 415, 422}
    if method in ("post", "patch", "put", "delete"):
        documented.setdefault("parameters", []).append(FROM_THE_APPLICATION)
    responses = {str(int(status)): told for status, told in documented.get("responses", {}).items()}
    documented["responses"] = responses | {str(status): _refusal(status) for status in sorted(statuses)}
    return documented


def text(name: str, label: str, most: int = 200, *, required: bool = True, pattern: str | None = None) -> dict:
    """A text field of a request body, declared as ``core.entries`` declares fields."""
    declared = {"name": name, "type": "text", "label": label, "max": most, "required": required, "pattern": pattern}
    return declared | {"hint": HINTS.get(pattern)}


def body(label: str, *declared: dict) -> type:
    """The schema of a request body."""
    return schema_of(list(declared), label)
