"""Who did what is written down, for the owner to read."""

import re
from pathlib import Path

import pytest

from coiltrail.api import audit as audit_api
from coiltrail.store import audit
from coiltrail.store.audit import By
from coiltrail.store.clock import uuid7
from coiltrail.store.database import writing
from tests.conftest import PASSWORD, client_of, new_phone

from .error_shape import assert_error


def lines(phone, **filters):
    answer = phone.client.get("/api/audit", query_string=filters)
    assert answer.status_code == 200, answer.text
    return answer.json["lines"]


def test_a_day_in_the_shop_is_written_down(app, phone, stranger):
    credentials = {"name": "Ada", "password": PASSWORD, "device": uuid7(), "device_name": "Desk"}
    stranger.post("/api/sign-in", json=credentials | {"password": "wrong"})
    stranger.post("/api/sign-in", json=credentials | {"name": "hunter2 typed here"})
    stranger.post("/api/sign-in", json=credentials)
    made = phone.client.post("/api/invitations", json={"name": "Bob", "role": "mechanic"}).json
    token = made["link"].partition("#join=")[2]
    joining = {"token": token, "password": "a long password", "device": uuid7(), "device_name": "Bob's phone"}
    bob = client_of(app).post("/api/invitations/join", json=joining).json
    phone.client.patch(f"/api/people/{bob['person']['id']}", json={"role": "desk"})
    phone.client.delete(f"/api/devices/{bob['device']}")
    found = [(one["deed"], one["person"], one["about"]) for one in reversed(lines(phone))]
    assert found[-7:] == [
        ("sign_in_failed", "Ada", ""),
        ("sign_in_failed", None, "a name that nobody has"),
        ("signed_in", "Ada", "Desk"),
        ("invited", "Ada", "Bob, mechanic"),
        ("joined", "Bob", ""),
        ("role_changed", "Ada", "Bob: mechanic to desk"),
        ("shut_out", "Ada", "Bob's phone of Bob"),
    ]
    assert "hunter2" not in phone.client.get("/api/audit").text
    assert {one["address"] for one in lines(phone, deed="invited")} == {"127.0.0.1"}


def test_details_are_told_in_the_language_of_who_reads(app, phone):
    phone.client.post("/api/people", json={"name": "Dee", "role": "owner", "password": "another password"})
    case = uuid7()
    phone.sync(phone.case_opened(case))
    phone.client.get(f"/api/cases/{case}/log.jsonl")
    told = {}
    for language in ("en", "es"):
        answer = phone.client.get("/api/audit", headers={"Accept-Language": language})
        told[language] = [one["about"] for one in answer.json["lines"][:2]]
    assert told["en"] == [f"the log of case {case}", "Dee, owner"]
    assert told["es"] == [f"el registro del caso {case}", "Dee, propietario"]


@pytest.mark.parametrize("about", ["case 0192 kept in English alone", "2011", "{", '{"en": 7}', '{"de": "Brot"}', "[]"])
def test_what_was_kept_in_other_ways_is_told_as_it_is(about):
    assert audit.in_words(about) in (about, "7")


def test_it_is_filtered_and_read_on(app, phone, shop_id, monkeypatch):
    monkeypatch.setattr(audit_api, "PAGE", 3)
    ada = phone.client.get("/api/me").json["person"]["id"]
    with app.app_context(), writing() as session:
        for number in range(7):
            audit.note(session, By(shop_id, ada if number % 2 else None), "exported", str(number))
    told, before = [], ""
    while True:
        answer = phone.client.get(
            "/api/audit", query_string={"deed": "exported"} | ({"before": before} if before else {})
        )
        told += [one["about"] for one in answer.json["lines"]]
        if not answer.json["more"]:
            break
        before = answer.json["lines"][-1]["id"]
    assert told == ["6", "5", "4", "3", "2", "1", "0"]
    assert [one["about"] for one in lines(phone, deed="exported", person=ada)] == ["5", "3", "1"]
    assert lines(phone, before=uuid7()) == []
    assert_error(phone.client.get("/api/audit?deed=nothing"), 422, "invalid", "deed")


def test_only_the_owner_reads_it(app, phone):
    phone.client.post("/api/people", json={"name": "Dee", "role": "desk", "password": "another password"})
    assert_error(new_phone(app, "Dee").client.get("/api/audit"), 403, "forbidden")


def test_a_deed_that_fails_leaves_no_line(app, phone):
    before = len(lines(phone))
    phone.client.post("/api/people", json={"name": "ADA", "role": "desk", "password": "another password"})
    assert len(lines(phone)) == before


def test_no_deed_goes_by_a_name_of_its_own(app, shop_id):
    with app.app_context(), pytest.raises(ValueError, match="no deed"), writing() as session:
        audit.note(session, By(shop_id), "made_coffee")


def test_every_deed_is_written_somewhere():
    source = "".join(
        path.read_text(encoding="utf-8")
        for path in (Path(audit.__file__).parents[1]).rglob("*.py")
        if path != Path(audit.__file__)
    )
    unused = {deed for deed in audit.DEEDS if not re.search(f'"{deed}"', source)}
    assert unused <= {"erased"}
