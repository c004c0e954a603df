"""Inviting by a link, and what is said of one that does not work."""

import pytest

from coiltrail.store import invitations, people
from coiltrail.store.clock import now_ms, uuid7
from coiltrail.store.database import db, writing
from coiltrail.store.models import Invitation
from coiltrail.store.tokens import hash_of_token
from tests.conftest import client_of

from .error_shape import assert_error


def invite(phone, **given):
    answer = phone.client.post("/api/invitations", json={"name": "Bob", "role": "mechanic"} | given)
    assert answer.status_code == 201, answer.text
    assert answer.json["link"].startswith("http://localhost:8000/#join=")
    return answer.json | {"token": answer.json["link"].partition("#join=")[2]}


def joining(token, **given):
    return {"token": token, "password": "a long password", "device": uuid7(), "device_name": "Bob's phone"} | given


def test_somebody_joins_by_the_link_once(app, phone, stranger):
    made = invite(phone)
    told = stranger.post("/api/invitations/look", json={"token": made["token"]}).json
    assert told | {"id": ""} == {
        "id": "",
        "shop": "Driveway Motors",
        "name": "Bob",
        "role": "mechanic",
        "new_password": False,
    }
    joined = stranger.post("/api/invitations/join", json=joining(made["token"]))
    assert (joined.json["person"]["name"], joined.json["person"]["role"]) == ("Bob", "mechanic")
    assert stranger.get("/api/me").json == joined.json
    assert phone.client.get("/api/invitations").json == {"invitations": []}
    again = client_of(app).post("/api/invitations/join", json=joining(made["token"], password="another password"))
    assert "used already" in assert_error(again, 403, "link_ended", "token")
    with app.app_context():
        assert people.who("Bob", "a long password") and not people.who("Bob", "another password")


def test_only_the_hash_of_a_link_is_kept(app, phone):
    made = invite(phone)
    with app.app_context():
        row = db.session.query(Invitation).one()
        assert made["token"] not in str(vars(row)) and row.token_sha256 == hash_of_token(made["token"])


def test_a_withdrawn_one_is_good_for_nothing(phone, stranger):
    made = invite(phone)
    listed = phone.client.get("/api/invitations").json["invitations"]
    assert [(one["id"], one["name"], one["role"]) for one in listed] == [(made["id"], "Bob", "mechanic")]
    assert phone.client.delete(f"/api/invitations/{made['id']}").status_code == 204
    for call in ("look", "join"):
        answer = stranger.post(f"/api/invitations/{call}", json=joining(made["token"]))
        assert "withdrawn" in assert_error(answer, 403, "link_ended", "token")
    assert_error(phone.client.delete(f"/api/invitations/{made['id']}"), 404, "not_found")
    assert [one["name"] for one in phone.client.get("/api/people").json["people"]] == ["Ada"]


def test_one_that_has_run_out_and_one_that_never_was(app, phone, stranger):
    made = invite(phone)
    with app.app_context(), writing() as session:
        session.query(Invitation).one().expires_ms = now_ms()
    assert "run out" in assert_error(stranger.post("/api/invitations/join", json=joining(made["token"])), 403)
    assert "no such" in assert_error(stranger.post("/api/invitations/join", json=joining("guessed")), 403)
    assert phone.client.get("/api/invitations").json == {"invitations": []}


def test_a_password_too_short_leaves_the_link_good(phone, stranger):
    made = invite(phone)
    short = stranger.post("/api/invitations/join", json=joining(made["token"], password="short"))
    assert_error(short, 422, "invalid", "password")
    assert stranger.post("/api/invitations/join", json=joining(made["token"])).status_code == 200


def test_a_name_that_somebody_has(phone):
    taken = phone.client.post("/api/invitations", json={"name": " ADA ", "role": "desk"})
    assert_error(taken, 409, "name_taken", "name")
    assert_error(phone.client.post("/api/invitations", json={"name": "Bob", "role": "boss"}), 422, "invalid", "role")


def test_two_invitations_for_one_name_make_one_person(app, phone, stranger):
    one, two = invite(phone), invite(phone)
    assert stranger.post("/api/invitations/join", json=joining(one["token"])).status_code == 200
    late = client_of(app).post("/api/invitations/join", json=joining(two["token"]))
    assert "has this name" in assert_error(late, 403, "link_ended")
    assert len(phone.client.get("/api/people").json["people"]) == 2


def test_a_link_for_a_new_password_ends_with_the_sign_in(app, shop_id):
    by = invitations.By(shop_id)
    with app.app_context():
        bob = people.add_person(shop_id, "Bob", "mechanic", "another password").id
        _, token = invitations.password_link(bob, by)
        people.end_sign_in(bob, by)
        with pytest.raises(people.Refused, match="withdrawn"):
            invitations.join(token, "a new password", uuid7(), "")
        with pytest.raises(LookupError):
            invitations.password_link(bob, by)
        people.give_back_sign_in(bob, by)
        assert people.who("Bob", "another password")
