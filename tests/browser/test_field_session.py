"""Who works on the phone: signing in and out, known without a connection, and what the shop refuses."""

import pytest
from playwright.sync_api import expect

from coiltrail.store import people

from .cases import CASE_OPENED
from .conftest import open_bench, refusal, run, sign_in
from .serving import OWNER, Shop
from .test_field_log import OPEN_CASE

SIGN_IN = "session.signIn({...arg, deviceName: 'Bench phone'})"


def test_the_person_is_known_without_a_connection_after_signing_in(page, phone):
    assert run(page, "session.me()") is None
    who = sign_in(page)
    assert who["person"]["name"] == OWNER["name"] and who["shop"]["name"] == "Demo shop"
    assert who["device"] == run(page, "session.deviceId()")
    other = open_bench(phone)
    run(other, "session.deviceId()")
    phone.set_offline(True)
    assert run(other, "session.me()") == who


def test_the_device_id_is_made_once_by_two_tabs_at_once(page, phone):
    tabs = [page, open_bench(phone)]
    for tab in tabs:
        run(tab, "Promise.resolve().then(() => { window.device = session.deviceId(); })")
    first, second = (tab.evaluate("() => window.device") for tab in tabs)
    assert first == second
    assert run(page, "session.deviceId()") == first


def test_a_wrong_password_is_refused_with_the_shops_words(page):
    refused = refusal(page, SIGN_IN, {**OWNER, "password": "another one"})
    assert refused["code"] == "wrong_sign_in"
    assert "wrong" in refused["message"]
    assert run(page, "session.me()") is None


def test_without_a_connection_signing_in_says_so(page, phone):
    run(page, "session.deviceId()")
    phone.set_offline(True)
    assert refusal(page, SIGN_IN, OWNER)["code"] == "no_connection"


def test_signing_out_ends_the_session_and_keeps_the_log(signed_in):
    case = run(signed_in, OPEN_CASE, CASE_OPENED)
    run(signed_in, "session.signOut()")
    assert run(signed_in, "session.me()") is None
    assert signed_in.evaluate("() => fetch('/api/me').then((answer) => answer.status)") == 401
    assert len(run(signed_in, "log.entriesOf(arg)", case)) == 1
    sign_in(signed_in)
    assert run(signed_in, "log.record({case: arg, kind: 'note', body: {text: 'back'}})", case)["n"] == 2


def test_signing_out_without_a_connection_changes_nothing(signed_in, phone):
    phone.set_offline(True)
    assert refusal(signed_in, "session.signOut()")["code"] == "no_connection"
    assert run(signed_in, "session.me()")["person"]["name"] == OWNER["name"]


def test_a_link_that_has_ended_makes_no_owner(page):
    owner = {"token": "x" * 32, "shop": "Other shop", "name": "Kim Sample", "password": "four dry plugs"}
    refused = refusal(page, "session.makeOwner({...arg, deviceName: 'Bench phone'})", owner)
    assert (refused["code"], refused["field"]) == ("link_ended", "token")


def test_the_one_time_link_makes_the_owner(tmp_path, new_phone):
    shop = Shop(tmp_path / "new shop", owner=False)
    with shop.app().app_context():
        token = people.new_owner_link()
    shop.start()
    try:
        page = open_bench(new_phone(shop))
        assert run(page, "session.shopState()")["needs_owner"] is True
        owner = {
            "token": token,
            "shop": "New shop",
            "phone": "555-0101",
            "name": "Kim Sample",
            "password": "four dry plugs",
        }
        who = run(page, "session.makeOwner({...arg, deviceName: 'Bench phone'})", owner)
        assert (who["person"]["role"], who["shop"]["name"], who["shop"]["phone"]) == ("owner", "New shop", "555-0101")
        assert run(page, "session.shopState()")["needs_owner"] is False
    finally:
        shop.stop()


@pytest.mark.parametrize("tab", ["same", "other"])
def test_signing_in_and_out_is_heard_in_every_tab(page, phone, tab):
    listener = page if tab == "same" else open_bench(phone)
    count = (
        """Promise.resolve(session.onSession(() => { document.title = String(Number(document.title || 0) + 1); }))"""
    )
    listener.evaluate("() => { document.title = ''; }")
    run(listener, count)
    sign_in(page)
    run(page, "session.signOut()")
    expect(listener).to_have_title("2")
