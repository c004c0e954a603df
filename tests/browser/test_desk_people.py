"""People and devices at the desk: inviting, pairing, shutting out, looking over, who did what, and the lock."""

import io
import re
import uuid

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import BrowserContext, Page, expect

from .conftest import open_bench, run
from .serving import OWNER
from .worked_case import open_case, record, sign_in_here, wait_until

CODE = "4711"


@pytest.fixture
def desk(chromium, shop) -> Page:
    """The owner at a wide screen."""
    context = chromium.new_context(base_url=shop.address, viewport={"width": 1440, "height": 900})
    page = context.new_page()
    page.goto("/")
    page.get_by_label("Your name").fill(OWNER["name"])
    page.get_by_label("Password").fill(OWNER["password"])
    page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_role("heading", level=1, name="Cases")).to_be_visible()
    yield page
    context.close()


def scan(page: Page, name: str) -> str:
    """What a phone's camera reads off the square on the screen."""
    square = page.get_by_role("img", name=name)
    expect(square).to_be_visible()
    (found,) = zxingcpp.read_barcodes(Image.open(io.BytesIO(square.screenshot())))
    return found.text


def invite(desk: Page, role: str) -> tuple[str, str]:
    """A new person's name, and the link on the square."""
    name = f"Alex {uuid.uuid4().hex[:6]}"
    desk.goto("/#/people")
    desk.get_by_label("Name", exact=True).fill(name)
    desk.get_by_role("group", name="Role", exact=True).get_by_label(role).check()
    desk.get_by_role("button", name="Invite").click()
    return name, scan(desk, f"Square with the invitation of {name}")


def join(phone: BrowserContext, link: str) -> Page:
    page = phone.new_page()
    page.goto(link)
    page.get_by_label("Password").fill("a password of my own")
    page.get_by_label("Name of this device").fill("Alex's phone")
    page.get_by_role("button", name="Join", exact=True).click()
    expect(page.get_by_role("heading", level=1, name="Cases")).to_be_visible()
    return page


def test_somebody_new_is_invited_and_written_down(desk, new_phone):
    name, link = invite(desk, "Mechanic")
    mechanic = join(new_phone(), link)
    mechanic.goto("/#/settings")
    expect(mechanic.get_by_text(f"{name}, mechanic, Demo shop")).to_be_visible()
    expect(mechanic.get_by_role("link", name="Who did what")).to_have_count(0)
    second = new_phone().new_page()
    second.goto(link)
    expect(second.get_by_text("This invitation has been used already.")).to_be_visible()
    expect(second.get_by_label("Password")).to_have_count(0)
    desk.goto("/#/audit")
    desk.get_by_label("Person").select_option(name)
    expect(desk.get_by_role("main").get_by_role("listitem")).to_have_count(1)
    expect(desk.get_by_text(f"{name} joined by invitation")).to_be_visible()


def test_a_withdrawn_link_says_so(desk, new_phone):
    name, link = invite(desk, "Desk")
    desk.get_by_role("button", name="Withdraw").first.click()
    desk.get_by_role("button", name=f"Withdraw the link for {name}").click()
    expect(desk.get_by_role("status").filter(has_text="good for nothing now")).to_be_visible()
    late = new_phone().new_page()
    late.goto(link)
    expect(late.get_by_text("This invitation was withdrawn. Ask the owner for a new one.")).to_be_visible()


def test_a_phone_is_paired_by_scanning_the_desk_s_screen(desk, new_phone):
    desk.goto("/#/pair")
    link = scan(desk, "Square that pairs a phone")
    phone = new_phone().new_page()
    phone.goto(link)
    phone.get_by_label("Name of this device").fill("Spare phone")
    phone.get_by_role("button", name="Pair this phone").click()
    expect(phone.get_by_role("heading", level=1, name="Cases")).to_be_visible()
    expect(desk.get_by_text("Spare phone is paired")).to_be_visible()
    assert "pair" not in phone.url
    second = new_phone().new_page()
    second.goto(link)
    second.get_by_role("button", name="Pair this phone").click()
    expect(second.get_by_text("This code has paired a phone already.")).to_be_visible()


def test_a_lost_phone_hands_in_what_it_has_and_the_desk_decides(desk, new_phone):
    name, link = invite(desk, "Mechanic")
    phone = new_phone()
    lost = join(phone, link)
    wait_until(lost, "sync.syncNow()")
    phone.set_offline(True)

    desk.goto("/#/devices")
    row = desk.get_by_role("main").get_by_role("listitem").filter(has_text=name)
    row.get_by_role("button", name="Shut out", exact=True).click()
    row.get_by_role("button", name="Shut out Alex's phone").click()
    expect(row.get_by_text("shut out")).to_be_visible()

    # Recorded before the phone hears of it. Only now: a service worker that starts late asks past the cut network.
    case = open_case(lost)
    kept, doubted = f"Ticks when warm {case}", f"Not mine {case}"
    record(lost, case, ("note", {"text": kept}), ("note", {"text": doubted}))

    phone.set_offline(False)
    wait_until(lost, "sync.syncNow().then(() => syncState.syncState.value.error?.code === 'shut_out')")
    expect(lost.get_by_text("This device was shut out")).to_be_visible()
    assert run(lost, "syncState.countAgain()")["unsyncedEntries"] == 3  # until somebody has looked

    desk.goto("/#/handed-in")
    device = desk.get_by_role("region").or_(desk.locator("section")).filter(has_text=name)
    waiting = device.get_by_role("listitem")
    expect(waiting).to_have_count(3)
    waiting.filter(has_text=kept).get_by_role("button", name="Accept").click()
    expect(waiting).to_have_count(2)
    waiting.filter(has_text=doubted).get_by_role("button", name="Leave out").click()
    desk.get_by_label("Why is it left out?").fill("Whoever had the phone wrote it")
    desk.get_by_role("button", name="Leave out", exact=True).last.click()
    expect(device.get_by_text("Left out: Whoever had the phone wrote it")).to_be_visible()
    wait_until(desk, "sync.syncNow()")
    assert [entry["body"].get("text") for entry in run(desk, "log.entriesOf(arg)", case)] == [kept]


def lock(page: Page) -> None:
    page.goto("/#/lock")
    page.get_by_label("Code", exact=True).fill(CODE)
    page.get_by_label("The same once more").fill(CODE)
    page.get_by_role("button", name="Set the lock").click()
    expect(page.get_by_role("heading", level=2, name="Fingerprint or face")).to_be_visible()


def leave_lying(page: Page) -> None:
    """Nobody touches it for six minutes."""
    page.evaluate("() => localStorage.setItem('coiltrail.active', Date.now() - 6 * 60e3)")
    page.keyboard.press("Shift")
    expect(page.get_by_role("dialog", name="Locked")).to_be_visible()


def give(page: Page, code: str) -> None:
    page.get_by_label("Code", exact=True).fill(code)
    page.get_by_role("button", name="Open", exact=True).click()


def test_the_code_opens_it_without_a_connection_and_nothing_under_way_is_lost(new_phone):
    phone = new_phone()
    page = sign_in_here(phone)
    wait_until(page, "sync.syncNow()")
    lock(page)
    case = open_case(page)
    page.goto(f"/#/case/{case}/note")
    expect(page.get_by_text("Paired and ready")).to_have_count(0)
    page.get_by_label("Text", exact=True).fill("Half a thought")
    phone.set_offline(True)
    leave_lying(page)
    below = page.get_by_role("button", name="Keep the note")
    below.focus()
    expect(below).not_to_be_focused()  # out of reach
    give(page, "0000")
    expect(page.get_by_text("This is not the code. Try again.")).to_be_visible()
    page.keyboard.press("Escape")
    page.keyboard.press("Escape")
    expect(page.get_by_role("dialog", name="Locked")).to_be_visible()
    give(page, CODE)
    expect(page.get_by_role("dialog")).to_have_count(0)
    expect(page.get_by_label("Text", exact=True)).to_have_value("Half a thought")
    page.get_by_role("button", name="Keep the note").click()
    wait_until(page, "log.entriesOf(arg).then((all) => all.length === 2)", case)


def test_guessing_the_code_gets_slow_also_across_reloads_and_the_password_opens_it_too(new_phone):
    page = sign_in_here(new_phone())
    wait_until(page, "sync.syncNow()")
    lock(page)
    leave_lying(page)
    for guess in range(5):
        give(page, f"{guess}000")
        expect(page.get_by_label("Code", exact=True)).to_have_attribute("aria-invalid", "true")
        expect(page.get_by_label("Code", exact=True)).to_have_value("")
    expect(page.get_by_text("Wait 30 seconds")).to_be_visible()
    page.reload()
    expect(page.get_by_role("dialog", name="Locked")).to_be_visible()
    give(page, CODE)
    expect(page.get_by_text("seconds, then try again")).to_be_visible()
    page.get_by_role("button", name="I do not know the code").click()
    page.get_by_label(f"Password of {OWNER['name']}").fill(OWNER["password"])
    page.get_by_role("button", name="Sign in", exact=True).click()
    expect(page.get_by_role("dialog")).to_have_count(0)


def virtual_authenticator(page: Page) -> tuple:
    """A fingerprint reader of Chromium's own, which recognises its holder until told otherwise."""
    devtools = page.context.new_cdp_session(page)
    devtools.send("WebAuthn.enable")
    options = {"protocol": "ctap2", "transport": "internal", "hasUserVerification": True, "isUserVerified": True}
    made = devtools.send("WebAuthn.addVirtualAuthenticator", {"options": options | {"hasResidentKey": True}})
    return devtools, made["authenticatorId"]


def test_a_fingerprint_opens_it_and_another_s_does_not(new_phone):
    phone = new_phone()
    page = sign_in_here(phone)
    wait_until(page, "sync.syncNow()")
    devtools, authenticator = virtual_authenticator(page)
    lock(page)
    page.get_by_role("button", name="Open it by fingerprint or face too").click()
    expect(page.get_by_text("What opens this device")).to_be_visible()
    phone.set_offline(True)
    leave_lying(page)
    devtools.send("WebAuthn.setUserVerified", {"authenticatorId": authenticator, "isUserVerified": False})
    page.get_by_role("button", name="Fingerprint or face").click()
    expect(page.get_by_text("did not recognize you")).to_be_visible()
    devtools.send("WebAuthn.setUserVerified", {"authenticatorId": authenticator, "isUserVerified": True})
    page.get_by_role("button", name="Fingerprint or face").click()
    expect(page.get_by_role("dialog")).to_have_count(0)


def test_a_phone_without_a_lock_never_locks(new_phone):
    page = open_bench(new_phone())
    run(page, "session.signIn({...arg, deviceName: 'Plain phone'})", OWNER)
    page.goto("/#/settings")
    page.evaluate("() => localStorage.setItem('coiltrail.active', 1)")
    page.keyboard.press("Shift")
    page.reload()
    expect(page.get_by_role("heading", level=1, name="Settings")).to_be_visible()
    expect(page.get_by_role("dialog")).to_have_count(0)


def test_the_desk_says_who_recorded_an_entry_without_a_connection_too(desk, new_phone):
    name, link = invite(desk, "mechanic")
    page = join(new_phone(), link)
    case = open_case(page)
    [noted] = record(page, case, ("note", {"text": "Heat shield rattles"}))
    assert run(page, "sync.syncNow()") is True
    desk.goto("/")
    desk.reload()
    expect(desk.get_by_role("heading", level=1, name="Cases")).to_be_visible()
    wait_until(desk, "session.me().then((me) => me.people.some(({name}) => name === arg))", name)
    run(desk, "fetchCase.fetchCase(arg)", case)
    desk.context.set_offline(True)
    desk.goto(f"/#/case/{case}/entry/{noted['id']}")
    expect(desk.get_by_text(re.compile(f"sent to the shop, by {name}$"))).to_be_visible()
    desk.context.set_offline(False)
