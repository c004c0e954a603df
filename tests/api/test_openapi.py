"""The API's documentation covers the API."""

import re
from pathlib import Path

import pytest

from coiltrail.config import SETTINGS

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
