"""What only some roles may record: refused from others with a reason, kept apart, and taken in from whoever may."""

import pytest

from coiltrail.api import may
from coiltrail.core import entries
from coiltrail.store import people
from coiltrail.store.clock import uuid7
from coiltrail.store.database import db
from coiltrail.store.models import Entry
from tests.conftest import PASSWORD, new_phone

CUSTOMER = {"name": "Ada Invented"}
PRICES = {"currency": "EUR", "labour_rate": 7200}


@pytest.fixture
def theirs(app, shop_id):
    """A phone of somebody else's, by role."""

    def phone_of(role):
        with app.app_context():
            people.add_person(shop_id, f"Bo the {role}", role, PASSWORD)
        return new_phone(app, f"Bo the {role}")

    return phone_of


def kinds_in_log(app):
    with app.app_context():
        return list(db.session.scalars(db.select(Entry.kind).order_by(Entry.number)))


def test_every_kind_that_is_a_deed_is_a_kind_and_a_deed():
    assert set(may.RECORDED) <= set(entries.BY_KIND) and set(may.RECORDED.values()) <= set(may.MAY)


def test_a_mechanic_sets_no_prices_and_the_rest_of_what_came_with_them_is_taken_in(app, theirs, shop_id):
    phone = theirs("mechanic")
    note, prices, later = phone.entry(), phone.entry("prices_set", PRICES, case=shop_id), phone.entry()
    answer = phone.sync(note, prices, later)
    assert answer["accepted"] == [note["id"], later["id"]]
    assert answer["set_aside"] == [
        {
            "id": prices["id"],
            "field": "by",
            "message": "Only the owner or the desk may set what the shop charges: ask them to do it.",
        }
    ]
    assert kinds_in_log(app) == ["note", "note"]


def test_a_mechanic_erases_nobody(app, phone, theirs):
    case = uuid7()
    opened = phone.case_opened(case, customer=CUSTOMER)
    phone.sync(opened)
    mechanic = theirs("mechanic")
    answer = mechanic.sync(mechanic.entry("erased", {"entries": [opened["id"]]}, case=case))
    assert [one["field"] for one in answer["set_aside"]] == ["by"] and answer["blanked"] == []
    assert "erase a person's data" in answer["set_aside"][0]["message"]
    assert new_phone(app).sync()["entries"] == [opened]


def test_a_mechanic_strikes_no_prices(app, phone, theirs, shop_id):
    prices = phone.entry("prices_set", PRICES, case=shop_id)
    phone.sync(prices)
    mechanic = theirs("mechanic")
    strike = mechanic.entry("struck", {"entry": prices["id"], "why": "Too dear"}, case=shop_id)
    assert [one["id"] for one in mechanic.sync(strike)["set_aside"]] == [strike["id"]]
    note = mechanic.entry()
    assert len(mechanic.sync(note, mechanic.entry("struck", {"entry": note["id"], "why": "A slip"}))["accepted"]) == 2


@pytest.mark.parametrize("role", ["owner", "desk"])
def test_who_may_is_believed(app, theirs, shop_id, role):
    phone = theirs(role)
    assert phone.sync(phone.entry("prices_set", PRICES, case=shop_id))["set_aside"] == []
    assert kinds_in_log(app) == ["prices_set"]


def test_what_was_refused_is_taken_in_from_whoever_may(app, phone, theirs, shop_id):
    """So a shop that was put back gets its prices from the owner's phone, whichever phone came first."""
    mechanic = theirs("mechanic")
    prices = mechanic.entry("prices_set", PRICES, case=shop_id)
    mechanic.sync(prices)
    (apart,) = phone.sync()["apart"]
    assert apart["entry"] == prices and apart["field"] == "by"
    assert phone.sync(prices)["accepted"] == [prices["id"]]
    assert mechanic.sync()["entries"] == [prices]
    assert new_phone(app).sync()["apart"] == []


def test_what_the_log_holds_stays_though_today_it_would_be_refused(app, theirs, shop_id, monkeypatch):
    phone = theirs("mechanic")
    prices = phone.entry("prices_set", PRICES, case=shop_id)
    with monkeypatch.context() as before:
        before.setattr(may, "RECORDED", {})
        phone.sync(prices)
    assert phone.sync(prices)["accepted"] == [prices["id"]]


def test_what_was_handed_in_is_taken_in_by_the_word_of_whoever_accepts_it(app, phone, theirs, shop_id):
    mechanic = theirs("mechanic")
    assert phone.client.delete(f"/api/devices/{mechanic.device}").status_code == 204
    prices = mechanic.entry("prices_set", PRICES, case=shop_id)
    mechanic.client.post("/api/handed-in", json={"entries": [prices]})
    (row,) = phone.client.get("/api/handed-in").json["devices"][0]["entries"]
    assert phone.client.post("/api/handed-in/accept", json={"ids": [row["id"]]}).json["set_aside"] == []
    assert kinds_in_log(app) == ["prices_set"]
