"""What a phone refuses, lacks or takes away in the middle of the work: the screen says so and what to do instead, the
round goes on, and nothing that was recorded is lost."""

import pytest
from PIL import Image
from playwright.sync_api import Page, expect

from .conftest import run
from .pictures import quarters, saved
from .test_screens_camera import SHUTTER, part_on_bench, photos_of
from .test_screens_round import at, checks_of
from .worked_case import open_case, sign_in_here, wait_until

REFUSED = "navigator.mediaDevices.getUserMedia = () => Promise.reject(new DOMException('', 'NotAllowedError'))"
NO_ROOM_IN = """(stores) => {
    const put = IDBObjectStore.prototype.put, add = IDBObjectStore.prototype.add;
    for (const [name, whole] of Object.entries({ put, add })) {
        IDBObjectStore.prototype[name] = function (...given) {
            if (stores.includes(this.name)) throw new DOMException('no room', 'QuotaExceededError');
            return whole.apply(this, given);
        };
    }
    window.makeRoom = () => Object.assign(IDBObjectStore.prototype, { put, add });
}"""
TAKE_AWAY = """() => {
    const [track] = document.querySelector('video').srcObject.getVideoTracks();
    track.stop();
    track.dispatchEvent(new Event('ended'));
}"""


@pytest.fixture
def page(new_phone) -> Page:
    return sign_in_here(new_phone(connected=True))


def in_a_round(page: Page) -> str:
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/connector_look")
    at(page, "Cylinder 1")
    return case


def goes_on(page: Page, case: str) -> None:
    """The finding of the first cylinder is kept, and the second one's is asked for."""
    page.get_by_role("button", name="Good", exact=True).tap()
    at(page, "Cylinder 2")
    assert [check["finding"] for check in checks_of(page, case)] == ["good"]


def test_a_camera_taken_away_once_is_opened_again_and_twice_leaves_the_phones_own(films):
    page = sign_in_here(films([part_on_bench()]))
    case = in_a_round(page)
    page.get_by_role("button", name="Photo", exact=True).tap()
    expect(page.get_by_role("button", name=SHUTTER)).to_be_enabled()
    page.evaluate("() => { window.first = document.querySelector('video').srcObject.id; }")
    page.evaluate(TAKE_AWAY)
    wait_until(page, "[document.querySelector('video').srcObject.id !== window.first][0]")
    expect(page.get_by_role("button", name=SHUTTER)).to_be_enabled()
    page.evaluate(TAKE_AWAY)
    told = page.get_by_role("alert").filter(has_text="The camera was taken away, by a call or another application.")
    expect(told).to_contain_text("own camera takes the photos meanwhile.")
    with page.expect_file_chooser() as camera:
        page.get_by_text("Photo", exact=True).tap()
    picture = saved(part_on_bench(), "JPEG", quality=90)
    camera.value.set_files({"name": "a.jpg", "mimeType": "image/jpeg", "buffer": picture})
    expect(page.get_by_role("img", name="kept with the finding")).to_be_visible()
    goes_on(page, case)
    assert len(photos_of(page, case)) == 1


def with_forty_megabytes(picture: bytes) -> bytes:
    """The JPEG with comments (ISO/IEC 10918-1, B.2.4.5) that no decoder shows."""
    comment = b"\xff\xfe\xff\xff" + bytes(65533)
    return picture[:2] + comment * 610 + picture[2:]


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "This file is empty. Take the photo again."),
        (b"A letter, and no picture.", "This file is not a picture. Choose a JPEG, PNG or WebP file."),
        (b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", "This browser cannot read HEIC pictures. Set the camera to JPEG"),
        (bytes(50_000_001), "This file has 50 MB; at most 50 MB can be taken in. Choose a smaller picture."),
        (saved(quarters(640, 480), "JPEG")[:2000], "This picture breaks off: its end is missing."),
    ],
    ids=["empty", "letter", "heic", "too large", "torn"],
)
def test_what_is_no_photo_is_refused_in_words_and_the_round_goes_on(page, tmp_path, content, words):
    file = tmp_path / "IMG_0001.jpg"
    file.write_bytes(content)
    case = in_a_round(page)
    with page.expect_file_chooser() as camera:
        page.get_by_text("Photo", exact=True).tap()
    camera.value.set_files(file)
    expect(page.get_by_role("alert").filter(has_text=words)).to_be_visible()
    goes_on(page, case)
    assert photos_of(page, case) == []


def test_a_photo_of_forty_megabytes_is_taken_in_small(page, tmp_path):
    large = tmp_path / "large.jpg"
    large.write_bytes(with_forty_megabytes(saved(part_on_bench(), "JPEG", quality=90)))
    assert large.stat().st_size > 39_000_000
    with Image.open(large) as picture:
        assert picture.size == (1280, 960)
    case = in_a_round(page)
    with page.expect_file_chooser() as camera:
        page.get_by_text("Photo", exact=True).tap()
    camera.value.set_files(large)
    expect(page.get_by_role("img", name="kept with the finding")).to_be_visible()
    goes_on(page, case)
    [photo] = photos_of(page, case)
    assert photo["bytes"] <= 300_000


def test_a_phone_that_is_full_in_the_middle_of_a_photo_says_so_and_the_finding_goes_in(page):
    case = in_a_round(page)
    page.evaluate(NO_ROOM_IN, ["photos", "thumbs"])
    with page.expect_file_chooser() as camera:
        page.get_by_text("Photo", exact=True).tap()
    picture = {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": saved(part_on_bench(), "JPEG", quality=90)}
    camera.value.set_files(picture)
    told = page.get_by_role("alert").filter(has_text="The phone is full: free some space, then take the photo again.")
    expect(told).to_contain_text("Findings can still be recorded.")
    page.evaluate("() => window.makeRoom()")
    with page.expect_file_chooser() as camera:
        page.get_by_text("Photo", exact=True).tap()
    camera.value.set_files(picture)
    expect(page.get_by_role("img", name="kept with the finding")).to_be_visible()
    goes_on(page, case)
    assert len(photos_of(page, case)) == 1


def test_a_finding_that_the_full_phone_does_not_take_is_held_and_saved_once_there_is_room(page):
    case = in_a_round(page)
    page.evaluate(NO_ROOM_IN, ["entries"])
    page.get_by_role("button", name="Good", exact=True).tap()
    expect(page.get_by_text("Not saved yet: the phone is full.").first).to_be_visible()
    at(page, "Cylinder 2")
    page.get_by_role("button", name="Lock tab broken").tap()
    at(page, "Cylinder 3")
    assert checks_of(page, case) == []
    page.evaluate("() => window.makeRoom()")
    page.get_by_role("button", name="Good", exact=True).tap()
    at(page, "Cylinder 4")
    kept = [(check["place"], check["finding"]) for check in checks_of(page, case)]
    assert kept == [("coil.1", "good"), ("coil.2", "latch_broken"), ("coil.3", "good")]


@pytest.mark.parametrize("name", ["SecurityError", "InvalidStateError"])
def test_a_browser_that_lets_the_page_keep_nothing_is_told_what_to_change(new_phone, name):
    phone = new_phone()
    phone.add_init_script(f"IDBFactory.prototype.open = () => {{ throw new DOMException('refused', '{name}'); }}")
    page = phone.new_page()
    page.goto("/")
    expect(page.get_by_role("heading", level=1, name="Coiltrail could not start")).to_be_visible()
    expect(page.get_by_text("The browser lets this page keep nothing. Leave private browsing")).to_be_visible()
    expect(page.get_by_role("button", name="Try again")).to_be_visible()


def test_stores_of_a_newer_release_are_told_in_words(page):
    run(page, "log.caseList()")
    later = page.context.new_page()
    later.goto("/")
    expect(later.get_by_role("heading", level=1, name="Cases")).to_be_visible()
    page.evaluate("""async () => {
        const [{ name, version }] = await indexedDB.databases();
        await new Promise((resolve) => { indexedDB.open(name, version + 1).onsuccess = resolve; });
    }""")
    run(later, "log.caseList().catch(() => null)")
    expect(later.get_by_text("A newer release of this application is open: load this page anew.")).to_be_visible()
    later.reload()
    expect(later.get_by_role("heading", level=1, name="Coiltrail could not start")).to_be_visible()
    expect(later.get_by_text("A newer release of this application is open: load this page anew.")).to_be_visible()


def test_storage_that_the_browser_does_not_promise_to_keep_is_said_with_what_helps(page):
    page.add_init_script(
        "Object.assign(navigator.storage, { persisted: async () => false, persist: async () => false })"
    )
    page.goto("/")
    page.reload()
    page.goto("/#/settings")
    expect(page.get_by_text("The browser may clear the records when room runs short.")).to_be_visible()
    expect(page.get_by_text("Put Coiltrail on the home screen")).to_be_visible()


def test_a_refused_microphone_leaves_the_note_to_be_typed(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/note")
    page.evaluate(f"() => {{ {REFUSED} }}")
    page.get_by_label("Text", exact=True).fill("It hisses at 3")
    page.get_by_role("button", name="Record a voice note").tap()
    expect(page.get_by_role("alert").filter(has_text="The microphone is not allowed here.")).to_be_visible()
    page.get_by_role("button", name="Keep the note").tap()
    expect(page.get_by_role("navigation", name="Record", exact=True)).to_be_visible()
    notes = [entry["body"]["text"] for entry in run(page, "log.entriesOf(arg)", case) if entry["kind"] == "note"]
    assert notes == ["It hisses at 3"]
