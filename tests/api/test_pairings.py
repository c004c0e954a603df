"""Pairing a phone by the code that a desk shows."""

from coiltrail.store.clock import now_ms, uuid7
from coiltrail.store.database import db, writing
from coiltrail.store.models import Pairing
from coiltrail.store.tokens import hash_of_token
from tests.conftest import client_of, new_phone

from .error_shape import assert_error


def show(phone):
    answer = phone.client.post("/api/pairings")
    assert answer.status_code == 201, answer.text
    assert answer.json["link"].startswith("http://localhost:8000/#pair=")
    return answer.json | {"token": answer.json["link"].partition("#pair=")[2]}


def bringing(token, **given):
    return {"token": token, "device": uuid7(), "device_name": "New phone"} | given


def test_the_phone_that_brings_the_code_is_signed_in_once(app, phone, stranger):
    shown = show(phone)
    assert phone.client.get(f"/api/pairings/{shown['id']}").json["device"] is None
    paired = stranger.post("/api/pairings/pair", json=bringing(shown["token"]))
    assert paired.json["person"]["name"] == "Ada"
    assert stranger.get("/api/me").json == paired.json
    assert phone.client.get(f"/api/pairings/{shown['id']}").json["device"] == "New phone"
    again = client_of(app).post("/api/pairings/pair", json=bringing(shown["token"]))
    assert "paired a phone already" in assert_error(again, 403, "code_ended", "token")
    assert len(phone.client.get("/api/devices").json["devices"]) == 2


def test_a_code_lasts_minutes_and_a_newer_one_ends_it(app, phone, stranger):
    first, second = show(phone), show(phone)
    assert 0 < second["expires_ms"] - now_ms() <= 5 * 60_000
    assert "run out" in assert_error(stranger.post("/api/pairings/pair", json=bringing(first["token"])), 403)
    with app.app_context(), writing() as session:
        session.get(Pairing, second["id"]).expires_ms = now_ms()
    assert "run out" in assert_error(stranger.post("/api/pairings/pair", json=bringing(second["token"])), 403)
    assert "no such code" in assert_error(stranger.post("/api/pairings/pair", json=bringing("guessed")), 403)
    assert len(phone.client.get("/api/devices").json["devices"]) == 1


def test_only_the_hash_is_kept(app, phone):
    shown = show(phone)
    with app.app_context():
        assert db.session.query(Pairing).one().token_sha256 == hash_of_token(shown["token"])


def test_a_pairing_is_its_person_s_own(app, phone):
    shown = show(phone)
    phone.client.post("/api/people", json={"name": "Bob", "role": "owner", "password": "another password"})
    assert_error(new_phone(app, "Bob").client.get(f"/api/pairings/{shown['id']}"), 404, "not_found")


def test_who_has_left_pairs_no_phone(app, phone, stranger):
    made = phone.client.post("/api/people", json={"name": "Bob", "role": "mechanic", "password": "another password"})
    shown = show(new_phone(app, "Bob"))
    phone.client.patch(f"/api/people/{made.json['id']}", json={"works_here": False})
    assert_error(stranger.post("/api/pairings/pair", json=bringing(shown["token"])), 403, "code_ended")
