"""The one form of every error: ``{"error": {"code", "message", "field"?}}``."""

import errno
from typing import Any, NoReturn

from flask import Flask, Response, current_app, jsonify, request
from marshmallow import Schema, fields
from sqlalchemy.exc import OperationalError
from werkzeug.exceptions import HTTPException

from ..core.tongue import phrase
from ..store.fields import first_problem

# Status -> code and message where nothing more is known.
_PLAIN = {
    400: ("bad_request", "This request cannot be understood."),
    403: ("forbidden", "You may not do this."),
    404: ("not_found", "There is nothing at this address."),
    405: ("wrong_method", "This address does not take such a request."),
    413: ("too_large", "This is too large. Send it in smaller pieces."),
    415: ("wrong_type", "Send JSON, with the header Content-Type: application/json."),
    422: ("invalid", "Something in this request is not as it should be."),
    500: ("broken", "Something broke in the shop's server. What is on the phone stays there; try again."),
}


class ErrorDetailSchema(Schema):
    code = fields.String(required=True, metadata={"description": "A word for programs."})
    message = fields.String(required=True, metadata={"description": "A sentence for people: field and remedy."})
    field = fields.String(metadata={"description": "Dotted path of the field the message is about."})


class ErrorSchema(Schema):
    """Every error."""

    error = fields.Nested(ErrorDetailSchema, required=True)


class Refusal(Exception):
    """A request that is answered with an error."""

    def __init__(self, status: int, code: str, message: str, field: str | None, headers: dict[str, str]):
        super().__init__(message)
        self.status = status
        self.body = error_body(code, message, field)
        self.headers = headers


def refuse(status: int, code: str, message: str, field: str | None = None, **headers: str) -> NoReturn:
    """Answer the request with an error. ``headers``: names with underscores for hyphens."""
    raise Refusal(status, code, message, field, {name.replace("_", "-"): value for name, value in headers.items()})


def error_body(code: str, message: str, field: str | None = None) -> dict[str, Any]:
    detail = {"code": code, "message": message}
    if field:
        detail["field"] = field
    return {"error": detail}


def answer_http_error(problem: HTTPException) -> Any:
    """The answer to an error that Flask or flask-smorest raised."""
    if problem.code is None or problem.code < 400:
        return problem  # a redirect
    code, message = _PLAIN.get(problem.code, ("error", problem.description or "This did not work."))
    message = phrase(message)
    field = None
    details = getattr(problem, "data", None) or {}
    if details.get("messages"):
        # flask-smorest names the place the fields came from first: json, query, ...
        found = first_problem(next(iter(details["messages"].values())))
        message, field = found["message"], found["field"]
    elif problem.code == 400 and request.is_json:
        code, message = "bad_json", phrase("The body is not valid JSON.")
    response = jsonify(error_body(code, message, field))
    response.status_code = problem.code
    for name, value in problem.get_headers():
        if name.lower() not in ("content-type", "content-length"):
            response.headers[name] = value
    return response


def register(app: Flask) -> None:
    @app.errorhandler(Refusal)
    def _refusal(refusal: Refusal) -> tuple[Response, int, dict]:
        return jsonify(refusal.body), refusal.status, refusal.headers

    app.register_error_handler(HTTPException, answer_http_error)

    @app.errorhandler(OperationalError)
    def _database(problem: OperationalError) -> tuple[Response, int, dict]:
        current_app.logger.error("database: %s", problem)
        body = error_body(
            "busy", phrase("The shop's database cannot be reached just now; nothing was changed. Try again.")
        )
        return jsonify(body), 503, {"Retry-After": "5"}

    @app.errorhandler(OSError)
    def _disk(problem: OSError) -> tuple[Response, int]:
        if problem.errno in (errno.ENOSPC, errno.EDQUOT):
            current_app.logger.error("disk full: %s", problem)
            return jsonify(
                error_body("full", phrase("The shop's disk is full. Keep the phone's copy and tell the owner."))
            ), 507
        return _unexpected(problem)

    @app.errorhandler(Exception)
    def _unexpected(problem: Exception) -> tuple[Response, int]:
        current_app.logger.exception("unexpected", exc_info=problem)
        return jsonify(error_body(_PLAIN[500][0], phrase(_PLAIN[500][1]))), 500
