"""A phone that was shut out hands in what it recorded; somebody looks it over; the phone learns nothing."""

import pytest

from coiltrail.store import handed_in, people
from coiltrail.store.clock import now_ms, uuid7
from coiltrail.store.database import db
from coiltrail.store.models import HandedIn
from tests.conftest import new_phone
from tests.phone import jpeg, sha256

from .error_shape import assert_error


@pytest.fixture
def lost(app, phone):
    """A phone that was shut out after it synced once."""
    lost = new_phone(app)
    lost.sync(lost.case_opened(uuid7()))
    assert phone.client.delete(f"/api/devices/{lost.device}").status_code == 204
    return lost


def hand_in(lost, *entries):
    answer = lost.client.post("/api/handed-in", json={"entries": list(entries)})
    assert answer.status_code == 200, answer.text
    return answer.json


def listed(phone):
    return phone.client.get("/api/handed-in").json["devices"]


def before(entry):
    return entry | {"at": [now_ms() - 3_600_000, 1]}


def test_it_is_told_what_arrived_and_nothing_else(phone, lost):
    entries = [before(lost.entry()) for _ in range(3)]
    assert hand_in(lost, *entries) == {"received": [entry["id"] for entry in entries]}
    assert hand_in(lost, *entries) == {"received": [entry["id"] for entry in entries]}
    (device,) = listed(phone)
    assert (device["device"], device["person"]) == (lost.device, "Ada")
    assert [one["entry"] for one in device["entries"]] == entries
    assert phone.fetch_all()[1:] == []


def test_it_may_do_nothing_else(phone, lost):
    for path in (
        "/api/me",
        "/api/people",
        "/api/devices",
        "/api/audit",
        "/api/handed-in",
        f"/api/cases/{uuid7()}/log.jsonl",
    ):
        assert_error(lost.client.get(path), 401, "shut_out")
    assert_error(lost.send([lost.entry()]), 401, "shut_out")
    assert_error(lost.client.post("/api/pairings"), 401, "shut_out")
    assert lost.client.get("/t/0000000000").data != phone.client.get("/t/0000000000").data


def test_an_accepted_entry_is_in_the_log_of_all(phone, lost):
    entry, bad = before(lost.entry()), before(lost.entry(body={"text": ""}))
    hand_in(lost, entry, bad)
    ids = [one["id"] for one in listed(phone)[0]["entries"]]
    accepted = phone.client.post("/api/handed-in/accept", json={"ids": ids})
    assert [one["id"] for one in accepted.json["set_aside"]] == [bad["id"]]
    assert entry in phone.fetch_all()
    assert listed(phone) == []
    assert_error(phone.client.post("/api/handed-in/accept", json={"ids": ids}), 404, "not_found")


def test_what_is_left_out_stays_apart_with_the_reason_and_may_be_accepted_later(phone, lost):
    entry = before(lost.entry())
    hand_in(lost, entry)
    (row,) = listed(phone)[0]["entries"]
    assert_error(phone.client.post("/api/handed-in/leave", json={"ids": [row["id"]], "reason": " "}), 422)
    given = {"ids": [row["id"]], "reason": "Recorded by whoever has the phone now"}
    assert phone.client.post("/api/handed-in/leave", json=given).status_code == 204
    assert listed(phone)[0]["entries"][0]["left"] == given["reason"]
    assert entry not in phone.fetch_all()
    hand_in(lost, entry)
    assert len(listed(phone)[0]["entries"]) == 1
    assert phone.client.post("/api/handed-in/accept", json={"ids": [row["id"]]}).status_code == 200
    assert entry in phone.fetch_all()


def test_what_was_recorded_after_the_shut_out_is_marked(phone, lost):
    early, late = before(lost.entry()), lost.entry() | {"at": [now_ms() + 60_000, 1]}
    hand_in(lost, early, late)
    assert {one["entry"]["id"]: one["late"] for one in listed(phone)[0]["entries"]} == {
        early["id"]: False,
        late["id"]: True,
    }


def test_another_entry_under_an_id_of_the_log_does_not_replace_it(phone, lost):
    (mine,) = (entry for entry in phone.fetch_all() if entry["device"] == lost.device)
    forged = mine | {"body": mine["body"] | {"vehicle": {"plate": "FORGED"}}}
    hand_in(lost, mine, forged)
    (row,) = listed(phone)[0]["entries"]
    assert row["entry"] == forged
    accepted = phone.client.post("/api/handed-in/accept", json={"ids": [row["id"]]}).json
    assert accepted["set_aside"][0]["field"] == "id"
    phone.forget()
    assert mine in phone.fetch_all()


def test_what_is_no_entry_is_passed_over(phone, lost):
    assert hand_in(lost, 5, None, {"id": "x"}, {"id": uuid7()}) == {"received": []}
    assert listed(phone) == []


def test_photos_come_along_with_their_entries_and_no_others(phone, lost):
    photo, other = jpeg(50, 40), jpeg(40, 50)
    assert lost.upload(photo).status_code == 404
    hand_in(lost, before(lost.entry("photo", {"sha256": sha256(photo), "bytes": len(photo)})))
    assert lost.upload(photo).status_code == 204
    assert lost.upload(other).status_code == 404
    assert phone.client.get(f"/api/photos/{sha256(photo)}").data == photo
    assert_error(lost.client.get(f"/api/photos/{sha256(photo)}"), 401, "shut_out")


def test_a_photo_that_the_log_waits_for_still_comes(app, phone):
    lost, photo = new_phone(app), jpeg(50, 40)
    lost.sync(lost.entry("photo", {"sha256": sha256(photo), "bytes": len(photo)}))
    phone.client.delete(f"/api/devices/{lost.device}")
    assert lost.upload(photo).status_code == 204
    assert phone.client.get(f"/api/photos/{sha256(photo)}").data == photo


def test_only_so_much_is_kept_for_one_device(app, phone, lost, monkeypatch):
    monkeypatch.setattr(handed_in, "MOST_BYTES", 1000)
    hand_in(lost, before(lost.entry()))
    much = [before(lost.entry(body={"text": "x" * 900}))]
    assert_error(lost.client.post("/api/handed-in", json={"entries": much}), 413, "too_large")
    with app.app_context():
        assert db.session.query(HandedIn).count() == 1


def test_signing_in_on_it_again_ends_it(app, phone, lost):
    entry = before(lost.entry())
    hand_in(lost, entry)
    with app.app_context():
        _, token = people.sign_in(people.find("Ada"), lost.device, "Found again")
    lost.client.set_cookie("coiltrail_device", token)
    assert_error(lost.client.post("/api/handed-in", json={"entries": [entry]}), 403, "not_shut_out")
    assert lost.sync(entry)["accepted"] == [entry["id"]]
    assert listed(phone) == []


def test_what_was_left_out_stays_out_when_its_phone_signs_in_again(app, phone, lost):
    kept, doubted = before(lost.entry()), before(lost.entry())
    hand_in(lost, kept, doubted)
    row = next(one["id"] for one in listed(phone)[0]["entries"] if one["entry"]["id"] == doubted["id"])
    phone.client.post("/api/handed-in/leave", json={"ids": [row], "reason": "Not one of ours"})
    with app.app_context():
        _, token = people.sign_in(people.find("Ada"), lost.device, "Found again")
    lost.client.set_cookie("coiltrail_device", token)
    answer = lost.sync(kept, doubted)
    assert answer["accepted"] == [kept["id"]]
    assert [one["id"] for one in answer["set_aside"]] == [doubted["id"]]
    assert "left it out: Not one of ours" in answer["set_aside"][0]["message"]
    assert phone.client.post("/api/handed-in/accept", json={"ids": [row]}).json == {"set_aside": []}
    assert lost.sync(doubted)["accepted"] == [doubted["id"]]


def test_a_signed_out_device_and_a_stranger_hand_in_nothing(phone, stranger):
    assert_error(stranger.post("/api/handed-in", json={"entries": []}), 401, "signed_out")
    phone.client.post("/api/sign-out")
    assert_error(phone.client.post("/api/handed-in", json={"entries": []}), 401, "signed_out")


def test_what_is_erased_is_erased_here_too_and_does_not_come_back(app, phone, lost):
    entry = before(lost.case_opened(uuid7(), customer={"name": "Kim Sample", "phone": "555-0142"}))
    hand_in(lost, entry)
    phone.sync(phone.entry("erased", {"entries": [entry["id"]], "why": "asked"}, case=entry["case"]))
    for _ in range(2):
        (row,) = listed(phone)[0]["entries"]
        assert row["entry"]["id"] == entry["id"] and "Kim" not in str(row["entry"])
        hand_in(lost, entry)
    late = before(lost.case_opened(entry["case"], customer={"name": "Kim Sample"}))
    phone.sync(phone.entry("erased", {"entries": [late["id"]], "why": "asked"}, case=late["case"]))
    hand_in(lost, late)
    assert "Kim" not in phone.client.get("/api/handed-in").text
    with app.app_context():
        assert not any("Kim" in row.content for row in db.session.query(HandedIn))
