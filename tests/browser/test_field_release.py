"""One whole, checked release on the phone: it opens without a connection, and a newer one waits its turn."""

import json
import re

import pytest
from playwright.sync_api import Page, expect

from coiltrail.store import log

from .cases import CASE_OPENED
from .conftest import PHONE, open_bench, run, sign_in
from .pictures import noise_jpeg
from .release_site import ReleaseSite
from .test_field_log import OPEN_CASE
from .test_field_photos import as_file
from .test_field_sync import PHOTO_ENTRY


@pytest.fixture
def site():
    served = ReleaseSite()
    yield served
    served.stop()


@pytest.fixture
def visitor(chromium, site):
    context = chromium.new_context(base_url=site.address, **PHONE)
    yield context
    context.close()


def visit(visitor, path="/") -> Page:
    page = visitor.new_page()
    page.goto(path)
    return page


def expect_state(page: Page, **wanted) -> None:
    for name, value in wanted.items():
        pattern = re.compile(re.escape(json.dumps({name: value}, separators=(",", ":"))[1:-1]))
        expect(page.locator("html")).to_have_attribute("data-state", pattern)


def expect_release(page: Page, name: str) -> None:
    """Page and modules are of one release."""
    expect(page).to_have_title(name)
    expect(page.locator("html")).to_have_attribute("data-boot", name)


def look_again(page: Page) -> None:
    page.evaluate("() => window.dispatchEvent(new Event('online'))")


def caches(page: Page) -> list[str]:
    return page.evaluate("() => caches.keys()")


def test_after_one_visit_every_address_opens_without_a_connection(visitor, site):
    first = visit(visitor)
    expect_state(first, offline="ready", error="")
    first.close()
    visitor.set_offline(True)
    for path in ("/", "/?from=home", "/some/screen", "/T/0123456789"):
        expect_release(visit(visitor, path), "one")
    page = visit(visitor)
    listed = page.evaluate("() => fetch('/release.json').then((answer) => answer.json())")
    assert listed == site.release()
    assert page.evaluate("() => fetch('/api/count').then(() => 'answered', () => 'no connection')") == "no connection"


def test_a_file_that_is_not_its_hash_is_refused_and_nothing_is_installed(visitor, site):
    site.lies["/field/qr.js"] = b"/* a login page, perhaps */"
    page = visit(visitor)
    expect(page.locator("html")).to_have_attribute("data-state", re.compile("could not be put"))
    assert page.evaluate("() => navigator.serviceWorker.getRegistration().then((one) => one?.active ?? null)") is None
    visitor.set_offline(True)
    with pytest.raises(Exception, match="ERR_INTERNET_DISCONNECTED"):
        visit(visitor)


def test_a_spoilt_copy_in_the_browsers_own_cache_is_passed_over(visitor, site):
    site.never_newer.add("/field/qr.js")
    site.lies["/field/qr.js"] = b"/* spoilt */"
    page = visit(visitor, "/lies-elsewhere")
    assert page.evaluate("() => fetch('/field/qr.js').then((answer) => answer.text())") == "/* spoilt */"
    site.lies.clear()
    assert page.evaluate("() => fetch('/field/qr.js').then((answer) => answer.text())") == "/* spoilt */"
    page.goto("/")
    expect_state(page, offline="ready", error="")


def test_what_may_come_later_holds_up_no_first_start_and_is_kept_once_it_came(visitor, site):
    site.later = {"/field/qr.js"}
    site.lies["/field/qr.js"] = b"/* a login page, perhaps */"
    page = visit(visitor)
    expect_state(page, offline="ready", error="")
    held = "async () => (await caches.match('/field/qr.js'))?.text() ?? null"
    assert page.evaluate(held) is None
    site.lies.clear()
    look_again(page)
    while page.evaluate(held) is None:
        page.wait_for_timeout(50)
    assert page.evaluate(held) == site.files["/field/qr.js"].decode()


def test_a_redirected_file_is_refused(visitor, site):
    site.redirected.add("/field/qr.js")
    page = visit(visitor)
    expect(page.locator("html")).to_have_attribute("data-state", re.compile("could not be put"))


def test_a_second_attempt_fetches_only_what_is_missing(visitor, site):
    site.lies["/field/qr.js"] = b"broken off"
    page = visit(visitor)
    expect(page.locator("html")).to_have_attribute("data-state", re.compile("could not be put"))
    page.evaluate(
        "async () => { while ((await caches.keys()).length === 0) await new Promise((r) => setTimeout(r, 50)); }"
    )
    page.wait_for_load_state("networkidle")
    site.lies.clear()
    before = site.asked.copy()
    look_again(page)
    expect_state(page, offline="ready")
    assert site.asked["/field/qr.js"] == before["/field/qr.js"] + 1
    assert (
        site.asked["/vendor/idb/build/index.js"] <= before["/vendor/idb/build/index.js"] + 1
    )  # by the worker's import
    assert site.asked["/field/storage.js"] == before["/field/storage.js"]


def test_a_newer_release_waits_until_it_may_take_over_everywhere_at_once(visitor, site):
    page, other = visit(visitor), visit(visitor)
    expect_state(page, offline="ready", waiting=False)
    site.publish("two")
    look_again(page)
    expect_state(page, waiting=True)
    page.reload()
    expect_release(page, "one")
    expect_state(page, waiting=True)

    run(other, "Promise.resolve().then(() => { window.putDown = release.inHand(); })")
    assert run(page, "release.takeOver()") is False
    expect_release(page, "one")

    other.evaluate("() => window.putDown()")
    run(page, "Promise.resolve().then(() => { void release.takeOver(); })")
    for tab in (page, other):
        expect_release(tab, "two")
    expect_state(page, waiting=False, error="")
    assert caches(page) == [f"coiltrail-{site.release()['release']}"]
    visitor.set_offline(True)
    expect_release(visit(visitor), "two")


def test_a_newer_release_that_does_not_arrive_whole_changes_nothing(visitor, site):
    page = visit(visitor)
    expect_state(page, offline="ready")
    site.publish("two")
    site.lies["/boot.js"] = b"document.title = 'broken';"
    look_again(page)
    expect(page.locator("html")).to_have_attribute("data-state", re.compile("could not be put"))
    expect_state(page, offline="ready", waiting=False)
    visitor.set_offline(True)
    expect_release(visit(visitor), "one")


def test_the_shop_answers_for_its_api_each_time(visitor, site):
    page = visit(visitor)
    expect_state(page, offline="ready")
    page.reload()
    counts = [page.evaluate("() => fetch('/api/count').then((answer) => answer.json())") for _ in range(2)]
    assert counts == [1, 2]


def test_a_tag_shows_the_page_for_strangers_while_there_is_a_connection(visitor, site):
    expect_state(visit(visitor), offline="ready")
    expect(visit(visitor, "/T/0123456789")).to_have_title("A stranger's page")


def test_recorded_without_a_connection_and_there_after_a_reload(new_phone):
    """The real release of the real server."""
    phone = new_phone()
    page = open_bench(phone)
    sign_in(page)
    run(page, "Promise.resolve(release.watchRelease())")
    run(page, "navigator.serviceWorker.ready.then(() => release.releaseState.value)")
    page.close()
    phone.set_offline(True)
    page = phone.new_page()
    page.goto("/")
    expect(page).to_have_title(re.compile("Coiltrail"))
    case = run(page, OPEN_CASE, CASE_OPENED)
    entry = run(page, "log.record({case: arg, kind: 'note', body: {text: 'no signal'}})", case)
    page.reload()
    assert entry in run(page, "log.entriesOf(arg)", case)
    assert run(page, "core.ask('check_tag', {text: '0123456789'})").get("error") is None


def test_the_worker_exchanges_in_the_background_with_no_page_open(phone, page, shop):
    who = sign_in(page)
    run(page, "Promise.resolve(release.watchRelease())")
    run(page, "navigator.serviceWorker.ready.then(() => null)")
    case = run(page, OPEN_CASE, CASE_OPENED)
    photo = run(page, PHOTO_ENTRY, [*as_file(noise_jpeg(333, 250)), case])["body"]["sha256"]
    page.goto("about:blank")
    assert in_shop(shop, who, case) == 0
    tell_of_connection(phone, page, shop.address)
    kept = shop.data / "photos" / photo[:2] / photo
    for _ in range(100):
        if kept.exists():
            break
        page.wait_for_timeout(100)
    assert in_shop(shop, who, case) == 2
    assert kept.exists()


def in_shop(shop, who: dict, case: str) -> int:
    """How many entries of the case the shop's database holds."""
    with shop.app().app_context():
        return len(log.case_log(who["shop"]["id"], case))


def tell_of_connection(phone, page: Page, origin: str) -> None:
    """What the browser tells a worker when the connection is back (Background Sync)."""
    registered: list[str] = []
    devtools = phone.new_cdp_session(page)
    devtools.on(
        "ServiceWorker.workerRegistrationUpdated",
        lambda event: registered.extend(one["registrationId"] for one in event["registrations"]),
    )
    devtools.send("ServiceWorker.enable")
    while not registered:
        page.wait_for_timeout(50)
    news = {"origin": origin, "registrationId": registered[-1], "tag": "coiltrail", "lastChance": False}
    devtools.send("ServiceWorker.dispatchSyncEvent", news)
