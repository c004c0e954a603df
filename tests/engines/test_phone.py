"""What an engine may do otherwise than Chromium: modules, stores, camera, the question before the motion sensor."""

from tests.browser.cases import CASE_OPENED

from .conftest import sign_in
from .hand import Hand

OPEN_CASE = "log.record({case: log.newCaseId(), kind: 'case_opened', body: arguments[0]}).then((entry) => entry.case)"
FIRST_CASE = "return document.querySelector('.case-list li a')?.href"
RECORD_WITHOUT_END = """log.caseList().then(() => {
    window.saved = [];
    void (async () => {
        for (;;) saved.push((await log.record({case: arguments[0], kind: 'note', body: {text: 'one more'}})).id);
    })();
})"""
PHOTOS = "log.entriesOf(arguments[0]).then((entries) => entries.filter(({kind}) => kind === 'photo'))"
ENOUGH = 40  # notes that are called saved before the browser is killed

# iOS has the sensor behind a question that only a tap may ask; no engine here has both.
MOTION_BEHIND_A_QUESTION = """
window.DeviceMotionEvent = class extends Event {
    static async requestPermission() {
        window.askedInATap = navigator.userActivation.isActive;
        return 'denied';
    }
}"""


def at_a_case(hand: Hand) -> str:
    """A case is opened, and the list of cases begins with it; the case's id."""
    case = hand.field_run(OPEN_CASE, CASE_OPENED)
    # Cases of earlier tests look alike and come from the shop.
    hand.until(lambda: case in (hand.driver.run(FIRST_CASE) or ""), "the case, first of the list")
    return case


def test_a_page_opened_again_shows_its_cases_and_the_first_one_tapped(phone, shop):
    """In WebKit an await outside functions left screens undefined, and a page that was left kept the stores locked."""
    hand = sign_in(phone, shop)
    at_a_case(hand)
    for _ in range(6):
        hand.driver.go("about:blank")
        hand.driver.go(shop.address)
        hand.follow("2011 Modell Sechs…")
        hand.find("group", "Record")


def test_what_was_called_saved_survives_a_killed_browser(phone, shop):
    hand = sign_in(phone, shop)
    case = at_a_case(hand)
    hand.field_run(RECORD_WITHOUT_END, case)
    saved = hand.until(
        lambda: hand.driver.run("return saved.length >= arguments[0] && saved", ENOUGH), "enough is saved"
    )
    phone.kill()
    hand = Hand(phone.start())
    hand.driver.go(shop.address)
    entries = hand.field_run("log.entriesOf(arguments[0])", case)
    assert set(saved) <= {entry["id"] for entry in entries}
    assert sorted(entry["n"] for entry in entries) == list(range(1, len(entries) + 1))


def test_a_photo_by_the_camera_inside_the_page(iphone, shop):
    hand = sign_in(iphone, shop)
    case = at_a_case(hand)
    hand.follow("2011 Modell Sechs…")
    hand.follow("Photo", "Record")
    hand.tap("Take a photo")
    hand.until(lambda: hand.driver.run("return document.querySelector('video')?.videoWidth"), "the camera's picture")
    hand.tap("Take the photo")

    keep = "Keep it as it is"  # some frames that the engine makes up look blurred or too dark
    hand.until(lambda: hand.shows("button", keep) or hand.field_run(PHOTOS, case), "the photo, kept or doubted")
    if hand.shows("button", keep):
        hand.tap(keep)
    (photo,) = hand.until(lambda: hand.field_run(PHOTOS, case), "the photo's entry")
    assert sorted((photo["body"]["width"], photo["body"]["height"])) == [1200, 1600]


def test_the_motion_sensor_is_asked_for_within_the_tap(iphone, shop):
    hand = sign_in(iphone, shop)
    at_a_case(hand)
    hand.follow("2011 Modell Sechs…")
    hand.tap("More", "Record")
    hand.follow("Engine shake")
    hand.driver.run(MOTION_BEHIND_A_QUESTION)
    hand.tap("Measure")
    hand.sees("The motion sensor was refused. Allow it in the browser's settings, or go by ear.")
    assert hand.driver.run("return window.askedInATap") is True


def test_files_that_are_no_photo_and_a_microphone_that_is_not_there_are_told_in_words(phone, shop, tmp_path):
    hand = sign_in(phone, shop)
    case = at_a_case(hand)
    hand.follow("2011 Modell Sechs…")
    hand.follow("Photo", "Record")
    for content, words in (
        (b"", "This file is empty. Take the photo again."),
        (b"A letter, and no picture.", "This file is not a picture. Choose a JPEG, PNG or WebP file."),
        (b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", "This browser cannot read HEIC pictures…"),
    ):
        file = tmp_path / "IMG_0001.jpg"
        file.write_bytes(content)
        hand.give("From the files", file)
        hand.sees(words)
    assert hand.field_run(PHOTOS, case) == []
    hand.driver.go(f"{shop.address}/#/case/{case}/note")
    hand.driver.run(
        "navigator.mediaDevices.getUserMedia = () => Promise.reject(new DOMException('', 'NotAllowedError'))"
    )
    hand.tap("Record a voice note")
    hand.until(lambda: "ype the note" in hand.driver.run("return document.body.innerText"), "what to do instead")
    hand.write("Text", "It hisses at 3")
    hand.tap("Keep the note")
    hand.find("group", "Record")
    notes = hand.field_run("log.entriesOf(arguments[0]).then((all) => all.map(({body}) => body.text))", case)
    assert notes[-1] == "It hisses at 3"
