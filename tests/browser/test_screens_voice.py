"""Voice notes: spoken into the microphone, which here is the browser's own beep, kept and played like photos."""

import re

import pytest
from playwright.sync_api import expect

from coiltrail.store.models import PhotoFile

from .conftest import CHROMIUM, PHONE, run
from .test_screens_accessibility import faults_of
from .worked_case import open_case, reload_kept, sign_in_here, wait_until

SPOKEN = re.compile(r"Recording, (?!0:00).* of 3:00")  # for a second or more
MICROPHONE = ["--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream"]


@pytest.fixture
def new_phone(playwright, shop):
    """Makes phones with a microphone that may be used."""
    chromium = playwright.chromium.launch(**CHROMIUM | {"args": [*CHROMIUM["args"], *MICROPHONE]})

    def make():
        phone = chromium.new_context(base_url=shop.address, **PHONE)
        return phone

    yield make
    chromium.close()


# How far the sound has come (HTMLMediaElement.readyState), or what is the matter with it.
CAN_PLAY = """async (sound) => {
  const soon = () => new Promise((later) => setTimeout(later, 100));
  for (let n = 0; sound.readyState < 2 && !sound.error && n < 300; n += 1) await soon();
  return sound.error?.message ?? sound.readyState;
}"""


def recordings(page, case):
    return [entry["body"] for entry in run(page, "log.entriesOf(arg)", case) if entry["kind"] == "recording"]


def test_a_voice_note_is_kept_goes_to_the_shop_and_is_heard_on_another_phone(new_phone, shop):
    phone = new_phone()
    page = sign_in_here(phone)
    case = open_case(page)
    page.goto(f"/#/case/{case}/note")
    expect(page.get_by_role("button", name="Record a voice note")).to_be_visible()
    phone.set_offline(True)
    page.get_by_role("button", name="Record a voice note").click()
    expect(page.get_by_role("timer")).to_contain_text(SPOKEN)
    timer, keys = page.get_by_role("timer").bounding_box(), page.locator(".screen-keys").bounding_box()
    assert timer["y"] + timer["height"] <= keys["y"]
    assert faults_of(page) == []
    page.get_by_role("button", name="Stop and keep it").click()
    expect(page.get_by_text("Voice note saved on this device")).to_be_visible()
    (kept,) = recordings(page, case)
    assert kept["form"] == "voice"
    assert 1 <= kept["seconds"] < 180
    assert kept["bytes"] > 0
    phone.set_offline(False)
    wait_until(page, "sync.syncNow()")
    with shop.app().app_context():
        found = PhotoFile.query.filter_by(sha256=kept["sha256"]).one()
        assert (found.complete, found.media_type, found.size) == (True, "audio/webm", kept["bytes"])

    other = sign_in_here(new_phone())
    wait_until(other, "sync.syncNow()")
    other.goto(f"/#/case/{case}")
    expect(other.get_by_role("button", name="Listen")).to_be_visible()
    other.context.set_offline(True)
    other.get_by_role("button", name="Listen").click()
    expect(other.get_by_text("is in the shop and needs a connection")).to_be_visible()
    other.context.set_offline(False)
    other.get_by_role("button", name="Try again").click()
    heard = other.get_by_label("Voice note", exact=True)
    expect(heard).to_be_visible()
    assert heard.evaluate(CAN_PLAY) in (2, 3, 4)


def test_who_leaves_the_screen_while_speaking_loses_nothing(new_phone):
    page = sign_in_here(new_phone())
    case = open_case(page)
    page.goto(f"/#/case/{case}")
    page.goto(f"/#/case/{case}/note")
    page.get_by_role("button", name="Record a voice note").click()
    expect(page.get_by_role("timer")).to_contain_text(SPOKEN)
    page.go_back()
    expect(page.get_by_role("button", name="Listen")).to_be_visible()
    assert len(recordings(page, case)) == 1


def test_a_full_phone_says_what_to_do_and_keeps_what_was_said(new_phone):
    page = sign_in_here(new_phone())
    case = open_case(page)
    page.goto(f"/#/case/{case}/note")
    page.evaluate("() => { navigator.storage.estimate = async () => ({ quota: 1000, usage: 900 }); }")
    page.get_by_role("button", name="Record a voice note").click()
    expect(page.get_by_text("The phone is full: free some space, then record again.")).to_be_visible()
    page.evaluate("() => { navigator.storage.estimate = async () => ({ quota: 1e9, usage: 900 }); }")
    page.evaluate("""() => {
        const put = IDBObjectStore.prototype.put;
        IDBObjectStore.prototype.put = function (...given) {
            if (this.name === 'photos') throw new DOMException('no room', 'QuotaExceededError');
            return put.apply(this, given);
        };
        window.makeRoom = () => { IDBObjectStore.prototype.put = put; };
    }""")
    page.get_by_role("button", name="Record a voice note").click()
    expect(page.get_by_role("timer")).to_contain_text(SPOKEN)
    page.get_by_role("button", name="Stop and keep it").click()
    expect(page.get_by_text("The voice note is not kept yet")).to_be_visible()
    assert recordings(page, case) == []
    page.evaluate("() => window.makeRoom()")
    page.get_by_role("button", name="Keep it now").click()
    expect(page.get_by_role("button", name="Listen")).to_be_visible()
    assert len(recordings(page, case)) == 1


def test_without_a_microphone_the_note_is_typed(chromium, shop):
    phone = chromium.new_context(base_url=shop.address, **PHONE)
    page = sign_in_here(phone)
    page.goto(f"/#/case/{open_case(page)}/note")
    page.get_by_role("button", name="Record a voice note").click()
    expect(page.get_by_text("This device has no microphone. Type the note.")).to_be_visible()
    phone.close()


def test_what_was_heard_before_the_page_was_killed_is_offered_again(new_phone):
    phone = new_phone()
    page = sign_in_here(phone)
    case = open_case(page)
    page.goto(f"/#/case/{case}/note")
    page.get_by_role("button", name="Record a voice note").click()
    wait_until(page, "drafts.kept('voice/' + arg).then(Boolean)", case)
    page.close()
    page = phone.new_page()
    page.goto(f"/#/case/{case}/note")
    expect(page.get_by_text("The page went while it was recorded.")).to_be_visible()
    page.get_by_role("button", name="Keep it now").click()
    expect(page.get_by_role("button", name="Listen")).to_be_visible()
    assert len(recordings(page, case)) == 1
    assert run(page, "drafts.kept('voice/' + arg).then((left) => left ?? null)", case) is None


def speak(page):
    page.get_by_role("button", name="Record a voice note").click()
    expect(page.get_by_role("timer")).to_contain_text(SPOKEN)
    page.get_by_role("button", name="Stop and keep it").click()


def test_a_note_spoken_at_a_cylinder_of_a_round_hangs_on_its_finding(new_phone):
    page = sign_in_here(new_phone())
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/connector_look")
    page.get_by_role("button", name="Note", exact=True).click()
    speak(page)
    expect(page.get_by_role("button", name="Listen")).to_be_visible()
    reload_kept(page)
    expect(page.get_by_role("button", name="Listen")).to_be_visible()
    page.get_by_role("button", name="Lock tab broken").click()
    expect(page.get_by_role("heading", level=2, name="Cylinder 2", exact=True)).to_be_visible()
    expect(page.get_by_role("button", name="Listen")).to_have_count(0)
    (check,) = [entry for entry in run(page, "log.entriesOf(arg)", case) if entry["kind"] == "check"]
    (kept,) = recordings(page, case)
    assert kept["of"] == check["id"]
    page.goto(f"/#/case/{case}/entry/{check['id']}")
    expect(page.get_by_role("button", name="Listen")).to_be_visible()
    page.goto(f"/#/case/{case}")
    expect(page.get_by_text("On: Coil connector, coil 1: Lock tab broken")).to_be_visible(timeout=60_000)


def test_a_note_spoken_over_a_repair_hangs_on_it_and_one_taken_out_is_not_kept(new_phone):
    page = sign_in_here(new_phone())
    case = open_case(page)
    page.goto(f"/#/case/{case}/repair")
    speak(page)
    expect(page.get_by_role("button", name="Listen")).to_have_count(1)
    speak(page)
    expect(page.get_by_role("button", name="Listen")).to_have_count(2)
    page.get_by_role("button", name="Take it out", exact=True).first.click()
    page.get_by_role("button", name="Take it out for good").click()
    expect(page.get_by_role("button", name="Listen")).to_have_count(1)
    page.get_by_role("group", name="Work").get_by_label("Part replaced").check()
    page.get_by_role("group", name="Part", exact=True).get_by_label("Coil", exact=True).check()
    page.get_by_role("group", name="Coil at").get_by_label("3", exact=True).check()
    page.get_by_role("button", name="Record the repair").click()
    expect(page.get_by_role("heading", level=1, name="Tag the removed part")).to_be_visible()
    (repair,) = [entry for entry in run(page, "log.entriesOf(arg)", case) if entry["kind"] == "repair"]
    assert [kept["of"] for kept in recordings(page, case)] == [repair["id"]]


def test_the_stop_key_of_a_note_spoken_in_a_round_stands_clear_of_the_keys(new_phone):
    page = sign_in_here(new_phone())
    page.goto(f"/#/case/{open_case(page)}/round/connector_look")
    page.get_by_role("button", name="Note", exact=True).click()
    page.get_by_role("button", name="Record a voice note").click()
    timer = page.get_by_role("timer")
    expect(timer).to_be_visible()
    box, keys = timer.bounding_box(), page.locator(".screen-keys").bounding_box()
    assert box["y"] + box["height"] <= keys["y"]
    expect(page.get_by_role("button", name="Stop and keep it")).to_be_in_viewport(ratio=1)
    page.get_by_role("button", name="Stop and keep it").click()
