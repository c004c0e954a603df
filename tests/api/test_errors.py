"""Every endpoint answers every kind of error in the one documented form."""

import errno

import pytest
from sqlalchemy.exc import OperationalError

from coiltrail.api import guard
from coiltrail.store import log
from coiltrail.store.clock import uuid7

from .error_shape import assert_error

ID = "01890000-0000-7000-8000-000000000001"
ANY = {"code": "0123456789", "sha256": "0" * 64, "folder": "app", "rest": "x.js", "token": "x" * 43}
ANY |= dict.fromkeys(("device_id", "case_id", "person_id", "invitation_id", "pairing_id", "link_id"), ID)


def rules(app):
    """Every address with every method it takes, one filled-in address each."""
    for rule in app.url_map.iter_rules():
        adapter = app.url_map.bind("localhost")
        address = adapter.build(rule.endpoint, {name: ANY[name] for name in rule.arguments})
        yield rule, address


def api_rules(app):
    return [(rule, address) for rule, address in rules(app) if rule.rule.startswith("/api/")]


def test_every_endpoint_is_visited(app):
    assert len(api_rules(app)) >= 18
    assert {rule.endpoint for rule, _ in api_rules(app)} >= guard.OPEN


def test_what_needs_a_sign_in_says_so(app, stranger):
    for rule, address in api_rules(app):
        for method in rule.methods - {"OPTIONS", "HEAD"}:
            if rule.endpoint not in guard.OPEN:
                assert_error(stranger.open(address, method=method, json={}), 401, "signed_out")


def test_unsafe_requests_from_elsewhere_are_refused_everywhere(app):
    client = app.test_client()  # without the header
    for _, address in rules(app):
        for method in {"POST", "PUT", "PATCH", "DELETE"}:
            assert_error(client.open(address, method=method, json={}), 403, "wrong_origin")


def test_wrong_methods_are_named_everywhere(app, phone):
    for _, address in rules(app):
        response = phone.client.put(address, json={})
        assert_error(response, 405, "wrong_method")
        assert response.headers["Allow"]


@pytest.mark.parametrize("address", ["/nothing", "/api/nothing", "/api/", "/api", "/app/nothing.js", "/t/", "/sync"])
def test_addresses_that_lead_nowhere(phone, address):
    assert_error(phone.client.get(address), 404, "not_found")


@pytest.mark.parametrize("address", ["/api/owner", "/api/sign-in", "/api/people", "/api/sync"])
@pytest.mark.parametrize(
    ("body", "status", "code"),
    [
        (b"", 400, "bad_json"),
        (b"{", 400, "bad_json"),
        (b"\xff\xfe", 400, "bad_json"),
        (b'{"a": NaN}', 400, "bad_json"),
        (b'{"a": 1e999}', 400, "bad_json"),
        (b'{"a": ' + b"9" * 5000 + b"}", 400, "bad_json"),
        (b"[" * 100_000, 400, "bad_json"),
        (b'{"a":' * 900 + b"1" + b"}" * 900, 400, "bad_json"),
        (b"[]", 422, "invalid"),
        (b"3", 422, "invalid"),
        (b"null", 422, "invalid"),
        (b"{}", 422, "invalid"),
    ],
    ids=["empty", "cut", "bytes", "nan", "inf", "long number", "deep list", "deep object", "list", "3", "null", "{}"],
)
def test_bodies_that_cannot_be_read(phone, address, body, status, code):
    assert_error(phone.client.post(address, data=body, content_type="application/json"), status, code)


@pytest.mark.parametrize("address", ["/api/owner", "/api/sign-in", "/api/people", "/api/sync"])
@pytest.mark.parametrize("type_", [None, "text/plain", "application/x-www-form-urlencoded", "multipart/form-data"])
def test_bodies_of_another_type(phone, address, type_):
    message = assert_error(phone.client.post(address, data=b"{}", content_type=type_), 415, "wrong_type")
    assert "application/json" in message


@pytest.mark.parametrize("address", ["/api/owner", "/api/sign-in", "/api/people", "/api/sync"])
def test_bodies_over_the_limit(phone, address):
    body = b'{"a": "' + b"x" * 2_000_000 + b'"}'
    assert_error(phone.client.post(address, data=body, content_type="application/json"), 413, "too_large")


def breaking(monkeypatch, error):
    def broken(*_, **__):
        raise error

    monkeypatch.setattr(log, "page_after", broken)


def test_something_unforeseen_is_an_error_like_others(phone, monkeypatch, caplog):
    breaking(monkeypatch, RuntimeError("secret detail"))
    message = assert_error(phone.send([]), 500, "broken")
    assert "secret" not in message
    assert "secret detail" in caplog.text


def test_a_database_out_of_reach_says_try_again(phone, monkeypatch):
    breaking(monkeypatch, OperationalError("SELECT", {}, Exception("database is locked")))
    response = phone.send([])
    assert_error(response, 503, "busy")
    assert response.headers["Retry-After"] == "5"


@pytest.mark.parametrize(("number", "status", "code"), [(errno.ENOSPC, 507, "full"), (errno.EIO, 500, "broken")])
def test_a_full_disk_says_so(phone, monkeypatch, number, status, code):
    breaking(monkeypatch, OSError(number, "from the disk"))
    assert_error(phone.send([]), status, code)


def test_a_refusal_speaks_the_language_of_whoever_asks(stranger):
    given = {"name": "Nobody", "password": "wrong", "device": uuid7()}
    refused = stranger.post("/api/sign-in", json=given, headers={"Accept-Language": "es"})
    assert refused.json["error"]["message"].startswith("El nombre o la contraseña están mal.")
    lacking = stranger.post("/api/sign-in", json={}, headers={"Accept-Language": "es"})
    assert lacking.json["error"]["message"].endswith(": complete este dato.")
