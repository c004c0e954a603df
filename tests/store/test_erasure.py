"""Erasure on request: gone from the shop for good, findings and numbers stay, and no old phone brings it back."""

import hashlib
import json
from pathlib import Path

import pytest

from coiltrail.config import settings
from coiltrail.store import inspection
from coiltrail.store.clock import uuid7
from coiltrail.store.database import db
from coiltrail.store.models import Entry, PhotoFile, SetAside
from tests.conftest import new_phone
from tests.phone import jpeg, sha256

CUSTOMER = {"name": "Ada Invented", "phone": "555-0142"}


@pytest.fixture
def case():
    return uuid7()


def erasure(phone, case, *entries):
    return phone.entry("erased", {"entries": [entry["id"] for entry in entries]}, case=case)


def stored(app) -> str:
    """Everything the database holds as text."""
    with app.app_context():
        return "".join(
            [*db.session.scalars(db.select(Entry.content)), *db.session.scalars(db.select(SetAside.content))]
        )


def whole(app) -> list[str]:
    with app.app_context():
        return [finding.text for finding in inspection.inspect_shop().findings]


def test_what_is_personal_goes_and_the_finding_stays(app, phone, case):
    opened = phone.case_opened(case, customer=CUSTOMER)
    phone.sync(opened, phone.entry("complaint", {"words": "My sister knows", "lamp": "steady"}, case=case))
    phone.sync(erasure(phone, case, opened))
    assert "Ada" not in stored(app) and "XX-000" not in stored(app)
    assert "My sister knows" in stored(app)  # nobody asked for that
    [entry] = [e for e in read(phone, case) if e["kind"] == "case_opened"]
    assert entry["body"]["engine"]["cylinders"] == 4
    assert whole(app) == []


def test_another_phone_learns_what_stands_in_its_place(app, phone, case):
    opened = phone.case_opened(case, customer=CUSTOMER)
    phone.sync(opened)
    other = new_phone(app)
    other.fetch_all()
    phone.sync(erasure(phone, case, opened))
    answer = other.sync()
    [blanked] = answer["blanked"]
    assert blanked["id"] == opened["id"] and blanked["body"]["customer"] == {}
    assert blanked["n"] == opened["n"]


def test_the_phone_that_asked_is_told_too(phone, case):
    opened = phone.case_opened(case, customer=CUSTOMER)
    answer = phone.sync(opened, erasure(phone, case, opened))
    assert [entry["id"] for entry in answer["blanked"]] == [opened["id"]]
    assert len(answer["accepted"]) == 2


def test_an_old_phone_that_offers_it_again_brings_nothing_back(app, phone, case):
    opened = phone.case_opened(case, customer=CUSTOMER)
    phone.sync(opened)
    phone.sync(erasure(phone, case, opened))
    old = new_phone(app)
    answer = old.sync(opened)
    assert answer["accepted"] == [opened["id"]] and answer["set_aside"] == []
    assert [entry["body"]["customer"] for entry in answer["blanked"]] == [{}]
    assert "Ada" not in stored(app)


def test_an_old_phone_that_says_something_else_is_set_aside_without_what_was_erased(app, phone, case):
    opened = phone.case_opened(case, customer=CUSTOMER)
    phone.sync(opened)
    phone.sync(erasure(phone, case, opened))
    other = {**opened, "body": {**opened["body"], "altitude": {"si": 100.0, "typed": "100", "unit": "m"}}}
    assert [one["id"] for one in phone.sync(other)["set_aside"]] == [opened["id"]]
    assert "Ada" not in stored(app) and '"typed":"100"' in stored(app)
    assert whole(app) == []


def test_what_comes_after_its_erasure_comes_blanked(app, phone, case):
    opened = phone.case_opened(case, customer=CUSTOMER)
    first = erasure(phone, case, opened)
    answer = phone.sync(first)
    assert answer["accepted"] == [first["id"]]
    answer = phone.sync(opened)
    assert answer["accepted"] == [opened["id"]] and answer["blanked"][0]["body"]["customer"] == {}
    assert "Ada" not in stored(app)
    assert whole(app) == []


def test_what_was_set_aside_is_blanked_where_it_lies(app, phone, case):
    for body in ({"customer": CUSTOMER}, {"customer": {"name": "Ada I."}}):
        bad = phone.case_opened(case, **body)
        bad |= {"id": "01900000-0000-7000-8000-0000000000aa", "body": {**bad["body"], "engine": {}}}
        assert phone.sync(bad)["set_aside"]
    phone.sync(erasure(phone, case, bad))
    assert "Ada" not in stored(app)
    assert [text for text in whole(app) if "hash" in text or "Number" in text] == []


def test_an_erasure_reaches_no_other_case(app, phone, case):
    opened = phone.case_opened(uuid7(), customer=CUSTOMER)
    phone.sync(opened)
    answer = phone.sync(erasure(phone, case, opened))
    assert "Ada" in stored(app) and answer["blanked"] == []


def test_no_phone_takes_it_for_a_restored_backup(app, phone, case):
    opened = phone.case_opened(case, customer=CUSTOMER)
    phone.sync(opened)
    other = new_phone(app)
    other.fetch_all()
    epoch = other.epoch
    phone.sync(erasure(phone, case, opened))
    assert other.sync()["epoch"] == epoch


def test_a_blanked_entry_that_is_damaged_later_is_still_found(app, phone, case):
    opened = phone.case_opened(case, customer=CUSTOMER)
    phone.sync(opened, erasure(phone, case, opened))
    with app.app_context():
        row = db.session.scalars(db.select(Entry).where(Entry.id == opened["id"])).one()
        row.content = row.content.replace('"cylinders":4', '"cylinders":6')
        db.session.commit()
    assert any("changed or damaged" in text for text in whole(app))


class TestPictures:
    def sent(self, phone, case, kind="photo", **body):
        content = jpeg(colour=(1, 2, 3))
        name = sha256(content)
        field = "signature" if kind == "agreed" else "sha256"
        entry = phone.entry(kind, {field: name, **body}, case=case)
        phone.sync(phone.case_opened(case), entry)
        assert phone.upload(content).status_code == 204
        return entry, name, content

    def on_disk(self, app, name) -> list[Path]:
        with app.app_context():
            return [path for path in settings().data.rglob("*") if path.is_file() and name in path.name]

    def test_a_signature_goes_from_the_disk(self, app, phone, case):
        entry, name, _ = self.sent(phone, case, "agreed", what="One coil", how="signed", name="Ada Invented")
        assert phone.client.get(f"/api/photos/{name}/thumb").status_code == 200
        assert len(self.on_disk(app, name)) == 2
        phone.sync(erasure(phone, case, entry))
        assert self.on_disk(app, name) == []
        assert "Ada" not in stored(app) and name not in stored(app)
        assert phone.client.get(f"/api/photos/{name}").status_code == 404

    def test_a_photo_named_goes_and_is_never_taken_again(self, app, phone, case):
        entry, name, content = self.sent(phone, case, bytes=1000)
        phone.sync(erasure(phone, case, entry))
        assert self.on_disk(app, name) == []
        refused = phone.upload(content)
        assert refused.status_code == 422 and "erased" in refused.json["error"]["message"]
        assert self.on_disk(app, name) == []
        assert name not in phone.sync()["photos_wanted"]

    def test_nothing_goes_when_the_transaction_fails(self, app, phone, case, monkeypatch):
        entry, name, _ = self.sent(phone, case, bytes=1000)
        monkeypatch.setattr("coiltrail.store.exchange._note", lambda *_: 1 / 0)
        app.testing = False
        assert phone.send([erasure(phone, case, entry)]).status_code == 500
        assert len(self.on_disk(app, name)) == 1
        with app.app_context():
            assert db.session.get(PhotoFile, (db.session.scalar(db.select(PhotoFile.shop_id)), name)).complete


def read(phone, case) -> list[dict]:
    text = phone.client.get(f"/api/cases/{case}/log.jsonl").text
    return [json.loads(line) for line in text.splitlines()]


def test_the_hash_of_what_stands_is_kept(app, phone, case):
    opened = phone.case_opened(case, customer=CUSTOMER)
    phone.sync(opened, erasure(phone, case, opened))
    with app.app_context():
        row = db.session.scalars(db.select(Entry).where(Entry.id == opened["id"])).one()
        assert row.blanked_sha256 == hashlib.sha256(row.content.encode()).hexdigest()
