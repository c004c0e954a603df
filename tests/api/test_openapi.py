"""The API's documentation covers the API."""

import re
from pathlib import Path

import pytest

from coiltrail.api import guard
from coiltrail.config import SETTINGS
from coiltrail.core import entries

NEVER_SIGNED_OUT = ("state.read", "people.make_owner", "invitations.look", "invitations.join", "pairings.pair")
DEVELOPERS = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text(encoding="utf-8")


@pytest.fixture
def spec(stranger):
    return stranger.get("/api/openapi.json").json


def test_every_route_is_documented(app, spec):
    for rule in app.url_map.iter_rules():
        if rule.rule.startswith("/api/") and rule.endpoint != "api-docs.openapi_json":
            path = re.sub(r"<(?:\w+:)?(\w+)>", r"{\1}", rule.rule)
            for method in rule.methods - {"OPTIONS", "HEAD"}:
                operation = spec["paths"][path][method.lower()]
                assert operation.get("summary") or operation.get("description"), (path, method)


def test_what_needs_no_sign_in_is_documented_so(app, spec):
    assert spec["security"] == [{"device": []}]
    for rule in app.url_map.iter_rules():
        if rule.rule.startswith("/api/") and rule.endpoint != "api-docs.openapi_json":
            path = re.sub(r"<(?:\w+:)?(\w+)>", r"{\1}", rule.rule)
            for method in rule.methods - {"OPTIONS", "HEAD"}:
                documented = spec["paths"][path][method.lower()]
                assert (documented.get("security") == []) == (rule.endpoint in guard.OPEN), rule.endpoint
                assert ("401" in documented["responses"]) == (rule.endpoint not in NEVER_SIGNED_OUT)
                assert "default" not in documented["responses"]


def test_every_route_stands_in_developers_md(app):
    for rule in app.url_map.iter_rules():
        if rule.rule.startswith("/api/") and rule.endpoint != "api-docs.openapi_json":
            named = re.sub(r"<[^>]+>", "<", rule.rule).replace("/thumb", "").split("<")[0].rstrip("/")
            assert named in DEVELOPERS, rule.rule


def test_errors_are_documented_in_their_one_form(spec):
    assert set(spec["components"]["schemas"]["Error"]["properties"]) == {"error"}
    assert set(spec["components"]["schemas"]["ErrorDetail"]["properties"]) == {"code", "message", "field"}


def test_every_setting_stands_in_developers_md():
    for name, what in SETTINGS.items():
        assert f"| `{name}` | {what} |" in DEVELOPERS, name


def test_every_kind_of_entry_is_documented_with_its_fields(spec):
    for kind in entries.KINDS:
        documented = spec["components"]["schemas"][kind["kind"]]
        assert set(documented["properties"]) == {field["name"] for field in kind["fields"]}
        required = {field["name"] for field in kind["fields"] if field.get("required")}
        assert set(documented.get("required", [])) == required


def test_choices_and_limits_are_documented(spec):
    schemas = spec["components"]["schemas"]
    lamp = schemas["complaint"]["properties"]["lamp"]
    assert lamp["enum"] == ["off", "steady", "flashing", "flashed"]
    assert "Warning lamp" in lamp["description"]
    assert schemas["note"]["properties"]["text"]["maxLength"] == entries.LONG_TEXT
    minutes = schemas["road_test"]["properties"]["minutes"]
    assert (minutes["type"], minutes["minimum"], minutes["maximum"]) == ("number", 0, 1440)
    assert schemas["check"]["properties"]["cylinder"]["type"] == "integer"
    assert schemas["tag_bound"]["properties"]["code"]["pattern"] == f"^({entries.TAG_PATTERN})$"
    assert schemas["codes_read"]["properties"]["codes"]["maxItems"] == 100
    symptoms = schemas["complaint"]["properties"]["symptoms"]
    assert symptoms["type"] == "array" and "shakes" in symptoms["items"]["enum"]
    assert schemas["case_opened"]["properties"]["odometer"]["required"] == ["si", "typed", "unit"]
