"""The HTTP side: one blueprint a resource."""

from flask import Flask
from flask_smorest import Api

from ..store.entry_check import BODY_SCHEMAS
from . import (
    audit,
    cases,
    devices,
    drain,
    errors,
    guard,
    handed_in,
    headers,
    invitations,
    pairings,
    people,
    photos,
    report_links,
    shelf,
    state,
    sync,
    tag_page,
    tags,
)
from .errors import ErrorSchema, answer_http_error
from .strict_json import StrictJSON


class _Api(Api):
    ERROR_SCHEMA = ErrorSchema
    DEFAULT_ERROR_RESPONSE_NAME = None  # every call names its own refusals

    def handle_http_exception(self, error):
        return answer_http_error(error)


def register(app: Flask) -> None:
    """Give ``app`` all of the API, its guard and its documentation (``/api/openapi.json``)."""
    app.json = StrictJSON(app)
    app.config.update(
        API_TITLE="Coiltrail",
        API_VERSION="1",
        OPENAPI_VERSION="3.0.3",
        OPENAPI_URL_PREFIX="/api",
        OPENAPI_JSON_PATH="openapi.json",
        API_SPEC_OPTIONS={"security": [{"device": []}]},
    )
    drain.register(app)
    guard.register(app)
    headers.register(app)
    api = _Api(app)
    api.spec.components.security_scheme("device", {"type": "apiKey", "in": "cookie", "name": guard.COOKIE})
    for resource in (
        state,
        people,
        invitations,
        pairings,
        devices,
        sync,
        handed_in,
        photos,
        tags,
        shelf,
        cases,
        report_links,
        audit,
    ):
        api.register_blueprint(resource.blueprint)
    for kind, schema in BODY_SCHEMAS.items():
        api.spec.components.schema(kind, schema=schema)
    tag_page.register(app)
    app.register_blueprint(report_links.pages)
    errors.register(app)
