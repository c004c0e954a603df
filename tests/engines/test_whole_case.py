"""A case in WebKit and in Firefox: without signal, through a killed browser and a scanned tag, into the shop whole."""

import base64
import hashlib
import json
import re
import sqlite3
from pathlib import Path

import pytest
from PIL import Image

from coiltrail.core import bridge, tags
from coiltrail.labels import draw
from tests.browser.pictures import camera_jpeg, colours, saved
from tests.browser.serving import Shop
from tests.browser.test_screens_scan import READER, on_bench

from .browsers import Phone
from .conftest import sign_in
from .hand import Hand

CODE = tags.new_tag(b"driveway")  # of a tag that was printed ahead

# A picture stands before the camera instead of the phone's surroundings.
BEFORE_THE_CAMERA = """
const bytes = Uint8Array.from(atob(arguments[0]), (letter) => letter.charCodeAt(0));
return createImageBitmap(new Blob([bytes])).then((picture) => {
    const canvas = document.createElement('canvas');
    [canvas.width, canvas.height] = [picture.width, picture.height];
    setInterval(() => canvas.getContext('2d').drawImage(picture, 0, 0), 50);
    MediaDevices.prototype.getUserMedia = async () => canvas.captureStream(20);
})"""


def test_a_case_without_signal_reaches_the_shop_whole(phone, own_shop, tmp_path):
    hand = sign_in(phone, own_shop)
    hand.until(
        lambda: hand.driver.run("return caches.match(arguments[0]).then(Boolean)", READER), "the reader of squares"
    )
    own_shop.stop()
    open_case(hand)
    look_at_connectors(hand, tmp_path)
    read_code(hand)
    hand = drop_round_through_a_killed_browser(hand, phone, own_shop)
    swap_coils(hand)
    case = reads_what_the_core_says(hand)
    replace_coil(hand)
    bind_by_scan(hand, own_shop)
    find_by_typing(hand)
    show_report(hand)
    arrives_whole(hand, own_shop, case)


def open_case(hand: Hand) -> None:
    hand.follow("New case")
    hand.write("Plate", "DRV 346")
    hand.write("Make", "Zedex")
    hand.write("Model", "Four")
    hand.choose("Layout", "In line")
    hand.choose("Warning lamp", "Flashing")
    hand.sees("Damage in progress: do not drive")
    hand.tap("Year, odometer; phone, address")
    hand.write("Odometer", "118,200")
    hand.pick("Unit of odometer", "mi")
    hand.tap("Open the case")
    hand.sees_screen("Zedex Four…")


def look_at_connectors(hand: Hand, folder: Path) -> None:
    """Each with a finding, two with a photo as a phone's camera stores it."""
    hand.follow("Connectors", "Record")
    for cylinder, finding in {1: "Good", 2: "Oil in it", 3: "Good", 4: "Good"}.items():
        hand.sees(f"Cylinder {cylinder}")
        if cylinder < 3:
            picture = folder / f"{cylinder}.jpg"
            picture.write_bytes(camera_jpeg(2400 + 80 * cylinder, 1800, 6))
            hand.give("Photo", picture)
            hand.sees_picture(f"Cylinder {cylinder}, photo 1, kept with the finding")
        hand.tap(finding, "Finding")
    hand.sees_screen("Coil connector, side by side")
    hand.sees_picture("Cylinder 1: Coil connector")
    hand.tap("Done")


def read_code(hand: Hand) -> None:
    hand.follow("Codes", "Record")
    hand.write("Code", "P0303")
    hand.sees("Misfire on cylinder 3")
    hand.tap("Add")
    hand.tap("Keep 1 code")


def drop_round_through_a_killed_browser(hand: Hand, phone: Phone, shop: Shop) -> Hand:
    hand.follow("Drop test", "Record")
    for cylinder, finding in {1: "Full drop", 2: "Full drop", 3: "No change", 4: "Full drop"}.items():
        if cylinder == 3:
            hand.sees("Cylinder 3")
            hand.field_run("drafts.kept('any')")  # answered after the place in the round is written
            phone.kill()
            hand = Hand(phone.start())
            hand.driver.go(shop.address)
            hand.follow("Zedex Four…")
            hand.follow("Go on with: Drop test…")
        hand.sees(f"Cylinder {cylinder}")
        if cylinder == 1:
            hand.answer("Cylinder disabled by", "Unplugging the injector")
        hand.sees("Disabled by: unplugging the injector")
        hand.tap(finding, "Finding")
    hand.sees_screen("Drop test, side by side")
    hand.tap("Done")
    return hand


def swap_coils(hand: Hand) -> None:
    hand.follow("Move parts", "Record")
    hand.tap("Coil 3: the coil that came in at 3")
    hand.tap("Coil 1: the coil that came in at 1")
    hand.tap("Record: swap the coils of cylinders 3 and 1")
    hand.sees_screen("Zedex Four…")


def reads_what_the_core_says(hand: Hand) -> str:
    """The screen says what the core says where it runs on CPython; the case's id."""
    case = re.search(r"#/case/([0-9a-f-]{36})$", hand.driver.run("return location.hash"))[1]
    entries = hand.field_run("log.entriesOf(arguments[0])", case)
    told = json.loads(bridge.answer("diagnosis", json.dumps({"entries": entries})))
    leading = told["explanations"][0]
    assert leading["label"] == "The coil that came in at 3: dead (now at 1)"
    hand.find("button", f"{leading['label']}{leading['p']:.0%}".replace("%", " %"), "What it may be")
    return case


def replace_coil(hand: Hand) -> None:
    hand.follow("Repair", "Record")
    hand.choose("Work", "Part replaced")
    hand.choose("Part", "Coil")
    hand.choose("Coil at", "1")
    hand.write("Torque", "8,5")
    hand.pick("Unit of torque", "N·m")
    hand.tap("Record the repair")
    hand.sees_screen("Tag the removed part")
    hand.tap("Not now")
    hand.sees_screen("Zedex Four…")


def bind_by_scan(hand: Hand, shop: Shop) -> None:
    """A tag that was printed ahead is scanned, bound to the part that came off, and found by the next scan."""
    label = draw(f"{shop.address.upper()}/T/{CODE}", tags.with_groups(CODE), ["Demo shop"], 203, "50x25")
    hand.driver.run(BEFORE_THE_CAMERA, base64.b64encode(saved(on_bench(label), "PNG")).decode())
    hand.driver.run("location.hash = '#/tags'")
    hand.tap("Scan the square")
    hand.follow("Zedex Four…")
    hand.tap("Scan the square")
    hand.sees_screen("Label")
    hand.driver.run("location.hash = '#/tags'")
    hand.tap("Scan the square")
    hand.sees_screen("The coil that came in at 3")


def find_by_typing(hand: Hand) -> None:
    """Two symbols that changed places are noticed, since the check symbol does not fit any more."""
    slip = CODE[1] + CODE[0] + CODE[2:]
    hand.driver.run("location.hash = '#/tags'")
    hand.write("Code under the square", slip)
    hand.sees(tags.check_tag(slip)["message"])
    hand.write("Code under the square", tags.with_groups(CODE).lower())
    hand.tap("Find the part")
    hand.sees_screen("The coil that came in at 3")
    hand.follow("Back to the case")


def show_report(hand: Hand) -> None:
    hand.tap("More", "Record")
    hand.follow("Report")
    hand.sees("DRV 346")
    hand.sees("118,200 mi")
    hand.follow("Back to the case")


def arrives_whole(hand: Hand, shop: Shop, case: str) -> None:
    recorded = hand.field_run("log.entriesOf(arguments[0])", case)
    kinds = [entry["kind"] for entry in recorded]
    assert sorted(set(kinds)) == sorted(
        ["case_opened", "check", "codes_read", "complaint", "parts_moved", "photo", "repair", "tag_bound"]
    )
    assert (kinds.count("check"), kinds.count("photo"), len(kinds)) == (8, 2, 16)
    bodies = {entry["kind"]: entry["body"] for entry in recorded}
    assert bodies["case_opened"]["odometer"] == {
        "si": pytest.approx(118_200 * 1609.344),
        "typed": "118,200",
        "unit": "mi",
    }
    assert bodies["repair"]["torque"] == {"si": 8.5, "typed": "8,5", "unit": "N·m"}
    assert bodies["tag_bound"] == {"code": CODE, "part": f"{case}.coil.3"}
    hand.sees("18 unsent…")

    shop.start()
    hand.follow("18 unsent…")
    hand.tap("Send now")
    hand.sees("Everything recorded here is in the shop too.")
    database = sqlite3.connect(f"file:{shop.data / 'coiltrail.sqlite3'}?mode=ro", uri=True)
    rows = database.execute("SELECT content FROM entry ORDER BY n").fetchall()
    database.close()
    assert [json.loads(content) for (content,) in rows] == recorded
    photos = {path.name: path for path in (shop.data / "photos").rglob("*") if path.is_file()}
    assert photos.keys() == {entry["body"]["sha256"] for entry in recorded if entry["kind"] == "photo"}
    for name, path in photos.items():
        assert hashlib.sha256(path.read_bytes()).hexdigest() == name
        with Image.open(path) as picture:  # turned upright
            assert (picture.height, colours(picture)) == (1600, ["blue", "red", "white", "green"])
