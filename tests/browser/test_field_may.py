"""What its recorder may not do has no effect on any phone, is shown with the reason, and can be left out."""

import uuid

import pytest
from playwright.sync_api import expect

from coiltrail.store import people
from coiltrail.store.database import db
from coiltrail.store.models import Shop

from .conftest import open_bench, run
from .test_field_sync import state_of, sync
from .worked_case import open_case, record, sign_in_here

SHOP_ID = "session.me().then((who) => who.shop.id)"
MAY_NOT_PRICE = "Only the owner or the desk may set what the shop charges: ask them to do it."


@pytest.fixture
def theirs(new_phone, shop):
    """A mechanic's phone."""
    name = f"Alex {uuid.uuid4().hex[:6]}"
    app = shop.app()
    with app.app_context():
        people.add_person(db.session.query(Shop).one().id, name, "mechanic", "a password of my own")
        db.engine.dispose()
    page = open_bench(new_phone())
    run(page, "session.signIn({...arg, deviceName: 'Theirs'})", {"name": name, "password": "a password of my own"})
    return page


def test_a_mechanic_s_prices_and_erasure_count_nowhere(theirs, new_phone):
    """As a phone of an earlier release may offer them."""
    owner = sign_in_here(new_phone())
    case = open_case(owner)
    sync(owner)
    sync(theirs)
    shop_id = run(theirs, SHOP_ID)
    (opened,) = run(theirs, "log.entriesOf(arg)", case)
    record(theirs, shop_id, ("prices_set", {"currency": "EUR", "labour_rate": 7200}))
    record(theirs, case, ("erased", {"entries": [opened["id"]]}), ("note", {"text": "Goes in all the same"}))
    sync(theirs)
    sync(owner)
    for page in (theirs, owner):
        assert [entry["kind"] for entry in run(page, "log.entriesOf(arg)", case)] == ["case_opened", "note"]
        assert next(one for one in run(page, "log.caseList()") if one["case"] == case)["customer"] == "Kim Sample"
        prices = run(page, "log.entriesOf(arg)", shop_id)
        assert 7200 not in [entry["body"].get("labour_rate") for entry in prices]
        assert {"prices_set", "erased"} <= {one["entry"]["kind"] for one in state_of(page)["setAside"]}

    theirs.goto("/#/set-aside")
    row = theirs.get_by_role("listitem").filter(has=theirs.get_by_role("heading", name="Prices set"))
    expect(row).to_contain_text(MAY_NOT_PRICE)
    row.get_by_role("button", name="Leave it out").click()
    expect(row).to_have_count(0)
    expect(theirs.get_by_role("heading", name="Erased on request")).to_be_visible()
    assert sync(theirs)[0] is True

    # The owner is of the same mind about the erasure: it is taken in by the owner's word.
    owner.goto("/#/set-aside")
    row = owner.get_by_role("listitem").filter(has=owner.get_by_role("heading", name="Erased on request"))
    row.get_by_role("button", name="Offer it again").click()
    expect(row).to_have_count(0)
    for page in (owner, theirs):
        sync(page)
    for page in (owner, theirs):
        found = [entry for entry in run(page, "log.entriesOf(arg)", case) if entry["kind"] != "struck"]
        assert [entry["kind"] for entry in found] == ["case_opened", "erased", "note"]
        assert found[0]["body"]["customer"] == {}


def test_the_screens_say_who_may(theirs, new_phone):
    case = open_case(theirs)
    theirs.goto("/#/prices")
    expect(theirs.get_by_text("Only the owner or the desk may set what the shop charges")).to_be_visible()
    expect(theirs.get_by_role("button", name="Keep these prices")).to_have_count(0)
    theirs.goto(f"/#/case/{case}/erase")
    expect(theirs.get_by_text("Only the owner or the desk may erase a person's data")).to_be_visible()
    expect(theirs.get_by_role("button", name="Erase")).to_have_count(0)
    theirs.goto("/#/settings")
    expect(theirs.get_by_role("link", name="Password", exact=True)).to_be_visible()
    expect(theirs.get_by_role("link", name="Prices and taxes")).to_have_count(0)
