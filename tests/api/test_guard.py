"""Requests of other pages, sign-ins that last, and what needs none."""

import pytest

from coiltrail.store import people
from coiltrail.store.clock import now_ms
from coiltrail.store.database import db, writing
from coiltrail.store.models import Device
from tests.conftest import config_in, running

from .error_shape import assert_error


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "", "http://localhost.evil.example", "file://"])
def test_another_origin_is_refused_even_with_the_header(phone, origin):
    response = phone.client.post("/api/sync", json={"cursor": 0}, headers={"Origin": origin})
    assert_error(response, 403, "wrong_origin")


@pytest.mark.parametrize("origin", ["http://localhost", "http://localhost:8000"])
def test_the_hosts_own_origin_and_the_shops_address_are_taken(phone, origin):
    assert phone.client.post("/api/sync", json={"cursor": 0}, headers={"Origin": origin}).status_code == 200


@pytest.mark.parametrize("value", ["", "0", "true", "1, 1"])
def test_another_header_is_refused(phone, value):
    response = phone.client.post("/api/sync", json={"cursor": 0}, headers={"X-Coiltrail": value})
    assert_error(response, 403, "wrong_origin")


def test_no_answer_invites_other_origins(phone):
    response = phone.client.options("/api/sync", headers={"Origin": "http://evil.example"})
    assert not any(name.lower().startswith("access-control") for name, _ in response.headers)


@pytest.mark.parametrize("cookie", ["", "x", "' OR 1=1 --", "\xc3\xa9", "\xff", "x" * 5000])
def test_a_made_up_cookie_is_nobody(stranger, cookie):
    response = stranger.get("/api/me", headers={"Cookie": f"coiltrail_device={cookie}"})
    assert_error(response, 401, "signed_out")


def test_the_year_begins_anew_once_a_day(app, phone):
    assert "Set-Cookie" not in phone.client.get("/api/me").headers
    with app.app_context(), writing() as session:
        session.get(Device, phone.device).last_seen_ms = now_ms() - people.DAY_MS - 1
    cookie = phone.client.get("/api/me").headers["Set-Cookie"]
    assert phone.client.get_cookie("coiltrail_device").value in cookie and "Max-Age=31536000" in cookie
    assert "Set-Cookie" not in phone.client.get("/api/me").headers
    with app.app_context():
        assert db.session.get(Device, phone.device).last_seen_ms > now_ms() - 60_000


def test_signing_out_is_not_undone_by_the_renewal(app, phone):
    with app.app_context(), writing() as session:
        session.get(Device, phone.device).last_seen_ms = now_ms() - people.DAY_MS - 1
    cookies = phone.client.post("/api/sign-out").headers.getlist("Set-Cookie")
    assert len(cookies) == 1 and "Max-Age=0" in cookies[0]


def test_behind_a_trusted_proxy_the_address_is_the_phones(folder):
    for app in running(config_in(folder, trusted_proxies=1)):
        with app.test_request_context(
            headers={"X-Forwarded-For": "203.0.113.9, 198.51.100.7", "X-Forwarded-Proto": "https"}
        ) as context:
            seen = {}

            def look(environ, start, seen=seen):
                seen.update(environ)
                return []

            app.wsgi_app.app = look
            app.wsgi_app(dict(context.request.environ), None)
            assert (seen["REMOTE_ADDR"], seen["wsgi.url_scheme"]) == ("198.51.100.7", "https")


def test_without_a_proxy_nobody_chooses_their_address(app):
    with app.test_request_context(headers={"X-Forwarded-For": "203.0.113.9"}) as context:
        assert context.request.remote_addr != "203.0.113.9"
