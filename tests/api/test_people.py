"""Signing up, in and out."""

import pytest

from coiltrail.store import people, throttle
from coiltrail.store.clock import uuid7
from tests.conftest import PASSWORD, client_of, new_phone

from .error_shape import assert_error


def credentials(**given):
    return {"name": "Ada", "password": PASSWORD, "device": uuid7(), "device_name": "A phone"} | given


def cookie_of(response):
    return response.headers.get("Set-Cookie", "")


def test_the_first_owner_signs_up_with_the_link(empty_app):
    client = client_of(empty_app)
    assert client.get("/api/state").json["needs_owner"]
    with empty_app.app_context():
        token = people.new_owner_link()
    given = credentials(token=token, shop="Driveway Motors", phone="555-0134")
    response = client.post("/api/owner", json=given)
    assert response.status_code == 200
    assert response.json["person"] | {"id": ""} == {"id": "", "name": "Ada", "role": "owner"}
    assert response.json["shop"]["phone"] == "555-0134"
    assert [one["name"] for one in response.json["people"]] == ["Ada"]
    assert client.get("/api/me").json == response.json
    state = client.get("/api/state").json
    assert (state["needs_owner"], state["shop_name"]) == (False, "Driveway Motors")
    assert_error(client_of(empty_app).post("/api/owner", json=given), 403, "link_ended")


def test_a_guessed_link_makes_no_owner(empty_app):
    given = credentials(token="guessed", shop="Mine", phone="")
    assert_error(client_of(empty_app).post("/api/owner", json=given), 403, "link_ended", "token")
    assert client_of(empty_app).get("/api/state").json["needs_owner"]


def test_the_shops_phone_may_be_left_out(empty_app):
    with empty_app.app_context():
        token = people.new_owner_link()
    given = credentials(token=token, shop="Driveway Motors")
    assert client_of(empty_app).post("/api/owner", json=given).json["shop"]["phone"] == ""


def test_signing_in_gives_a_cookie_that_scripts_and_other_sites_cannot_use(stranger):
    response = stranger.post("/api/sign-in", json=credentials())
    assert response.status_code == 200
    cookie = cookie_of(response)
    assert cookie.startswith("coiltrail_device=")
    for part in ("HttpOnly", "SameSite=Lax", "Path=/", "Max-Age=31536000"):
        assert part in cookie
    assert "Secure" not in cookie
    assert stranger.get("/api/me").status_code == 200


def test_under_https_the_cookie_is_secure(stranger):
    response = stranger.post("/api/sign-in", json=credentials(), base_url="https://shop.example")
    assert "Secure" in cookie_of(response)


def test_wrong_name_and_wrong_password_are_answered_alike(stranger):
    answers = [
        stranger.post("/api/sign-in", json=credentials(**given))
        for given in ({"password": "wrong password"}, {"name": "Nobody"}, {"name": "Nobody", "password": "x"})
    ]
    for answer in answers:
        assert_error(answer, 401, "wrong_sign_in")
    assert len({answer.data for answer in answers}) == 1
    assert not any(cookie_of(answer) for answer in answers)


def test_guessing_gets_slow_and_says_how_long(stranger, monkeypatch):
    monkeypatch.setattr(throttle, "now_ms", lambda: 1_800_000_000_000)
    for _ in range(throttle.FREE_FOR_NAME):
        assert_error(stranger.post("/api/sign-in", json=credentials(password="wrong")), 401)
    response = stranger.post("/api/sign-in", json=credentials())
    assert "wait 1 second" in assert_error(response, 429, "wait")
    assert response.headers["Retry-After"] == "1"


def test_signing_out_ends_the_cookie_on_both_sides(phone):
    token = phone.client.get_cookie("coiltrail_device").value
    response = phone.client.post("/api/sign-out")
    assert (response.status_code, response.data) == (204, b"")
    assert phone.client.get_cookie("coiltrail_device") is None
    phone.client.set_cookie("coiltrail_device", token)
    assert_error(phone.client.get("/api/me"), 401, "signed_out")


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"name": ""}, "name"),
        ({"name": "x" * 121}, "name"),
        ({"name": "\ud800"}, "name"),
        ({"name": "A\0da"}, "name"),
        ({"name": ["Ada"]}, "name"),
        ({"password": None}, "password"),
        ({"password": "x" * 100_000}, "password"),
        ({"device": "my phone"}, "device"),
        ({"device_name": 5}, "device_name"),
    ],
)
def test_fields_that_make_no_sense_are_named(stranger, given, field):
    assert_error(stranger.post("/api/sign-in", json=credentials(**given)), 422, "invalid", field)


def test_fields_of_a_newer_phone_are_passed_over(stranger):
    assert stranger.post("/api/sign-in", json=credentials(colour="green")).status_code == 200


def test_the_owner_lets_somebody_in(app, phone, stranger):
    given = {"name": "Bob", "role": "mechanic", "password": "another password"}
    response = phone.client.post("/api/people", json=given)
    assert response.status_code == 201
    assert response.json | {"id": ""} == {"id": "", "name": "Bob", "role": "mechanic"}
    assert [one["name"] for one in phone.client.get("/api/people").json["people"]] == ["Ada", "Bob"]
    signed_in = stranger.post("/api/sign-in", json=credentials(name="bob", password="another password"))
    assert signed_in.json["person"]["name"] == "Bob"
    assert_error(stranger.post("/api/people", json=given | {"name": "Eve"}), 403, "forbidden")


def test_people_that_cannot_be_added_are_refused(phone):
    def adding(**given):
        return phone.client.post("/api/people", json={"name": "Bob", "role": "desk", "password": "long enough"} | given)

    assert "8 characters" in assert_error(adding(password="short"), 422, "invalid", "password")
    assert_error(adding(role="boss"), 422, "invalid", "role")
    assert_error(adding(name="ADA"), 409, "name_taken", "name")
    assert adding().status_code == 201


def test_another_person_may_take_over_a_phone(app, phone):
    phone.client.post("/api/people", json={"name": "Bob", "role": "mechanic", "password": "another password"})
    answer = phone.client.post(
        "/api/sign-in", json=credentials(name="Bob", password="another password", device=phone.device)
    )
    assert answer.json["person"]["name"] == "Bob"
    assert phone.client.get("/api/me").json["device"] == phone.device
    assert new_phone(app).client.get("/api/me").json["person"]["name"] == "Ada"


def bob_of(phone):
    given = {"name": "Bob", "role": "mechanic", "password": "another password"}
    return phone.client.post("/api/people", json=given).json["id"]


def test_the_owner_gives_another_role_and_ends_a_sign_in(app, phone):
    bob = bob_of(phone)
    theirs = new_phone(app, "Bob")
    changed = phone.client.patch(f"/api/people/{bob}", json={"role": "desk"})
    assert changed.json == {"id": bob, "name": "Bob", "role": "desk", "works_here": True}
    assert theirs.client.get("/api/me").json["person"]["role"] == "desk"
    assert phone.client.patch(f"/api/people/{bob}", json={"works_here": False}).json["works_here"] is False
    assert_error(theirs.client.get("/api/me"), 401, "shut_out")
    wrong = theirs.client.post("/api/sign-in", json=credentials(name="Bob", password="another password"))
    assert_error(wrong, 401, "wrong_sign_in")
    assert phone.client.patch(f"/api/people/{bob}", json={"works_here": True}).json["works_here"] is True


def test_only_the_owner_changes_people(app, phone):
    bob = bob_of(phone)
    theirs = new_phone(app, "Bob")
    ada = phone.client.get("/api/me").json["person"]["id"]
    for answer in (
        theirs.client.patch(f"/api/people/{bob}", json={"role": "owner"}),
        theirs.client.patch(f"/api/people/{ada}", json={"works_here": False}),
        theirs.client.post(f"/api/people/{ada}/password-link"),
        theirs.client.post("/api/invitations", json={"name": "Eve", "role": "owner"}),
        theirs.client.get("/api/invitations"),
        theirs.client.get("/api/audit"),
        theirs.client.get("/api/handed-in"),
    ):
        assert_error(answer, 403, "forbidden")
    roles = {one["name"]: one["role"] for one in phone.client.get("/api/people").json["people"]}
    assert roles == {"Ada": "owner", "Bob": "mechanic"}


def test_changes_that_make_no_sense(phone):
    ada = phone.client.get("/api/me").json["person"]["id"]
    said = assert_error(phone.client.patch(f"/api/people/{ada}", json={"works_here": False}), 409, "last_owner")
    assert "owner first" in said
    assert_error(phone.client.patch(f"/api/people/{ada}", json={"role": "boss"}), 422, "invalid", "role")
    assert_error(phone.client.patch(f"/api/people/{uuid7()}", json={"role": "desk"}), 404, "not_found")
    assert_error(phone.client.post(f"/api/people/{uuid7()}/password-link"), 404, "not_found")


def test_one_s_own_password_is_changed_with_the_old_one(phone, stranger):
    def change(old, new):
        return phone.client.post("/api/password", json={"password": old, "new_password": new})

    assert_error(change("wrong", "a new long password"), 403, "wrong_sign_in", "password")
    assert_error(change(PASSWORD, "short"), 422, "invalid", "new_password")
    assert change(PASSWORD, "a new long password").status_code == 204
    assert_error(stranger.post("/api/sign-in", json=credentials()), 401, "wrong_sign_in")
    assert stranger.post("/api/sign-in", json=credentials(password="a new long password")).status_code == 200
    assert phone.client.get("/api/me").status_code == 200


def test_guessing_the_old_password_on_a_phone_left_lying_gets_slow(phone, monkeypatch):
    monkeypatch.setattr(throttle, "now_ms", lambda: 1_800_000_000_000)
    for _ in range(throttle.FREE_FOR_NAME):
        wrong = phone.client.post("/api/password", json={"password": "wrong", "new_password": "a new long password"})
        assert_error(wrong, 403, "wrong_sign_in")
    again = phone.client.post("/api/password", json={"password": PASSWORD, "new_password": "a new long password"})
    assert_error(again, 429, "wait")


def test_who_forgot_their_password_sets_a_new_one_by_a_link(app, phone, stranger):
    bob = bob_of(phone)
    first, second = (phone.client.post(f"/api/people/{bob}/password-link").json["link"] for _ in range(2))
    tokens = [link.partition("#join=")[2] for link in (first, second)]
    assert "withdrawn" in assert_error(stranger.post("/api/invitations/look", json={"token": tokens[0]}), 403)
    told = stranger.post("/api/invitations/look", json={"token": tokens[1]}).json
    assert (told["name"], told["new_password"]) == ("Bob", True)
    given = {"token": tokens[1], "password": "set by the link", "device": uuid7(), "device_name": "A phone"}
    assert stranger.post("/api/invitations/join", json=given).json["person"]["id"] == bob
    other = client_of(app)
    assert other.post("/api/sign-in", json=credentials(name="Bob", password="set by the link")).status_code == 200
    assert len(phone.client.get("/api/people").json["people"]) == 2
