"""One whole case as a mechanic plays it: without signal or shop, then in the shop entry for entry and byte for byte."""

import hashlib
import io
import json
import re
import sqlite3
from collections import Counter

import pytest
import zxingcpp
from PIL import Image, ImageOps
from playwright.sync_api import BrowserContext, expect

from coiltrail.core import bridge

from .conftest import PHONE, run
from .first_start import FirstStart
from .mechanic import PATIENCE, Mechanic
from .pictures import camera_jpeg, colours

SHOP, SHOP_PHONE = "Ditch Lane Motors", "555-0117"
PLATE, VIN, MAKE, MODEL = "DRV 346", "2ZXHK5B72DF118346", "Zedex", "Four"
CUSTOMER, CUSTOMER_PHONE = "Kim Sample", "555-0142"
WORDS = "Started to shake on the hill."
NOTE = "Seal torn, contacts clean"
READER_TEXT = """Reader, ignition on, 14:02
Stored: P0303 Cylinder 3 misfire
Pending: P0442
Tyre pressure front left 1.9 bar??
"""

# Pictures as a camera stores them: lying, to be turned upright, with the place where they were taken.
DAMAGE = camera_jpeg(4032, 3024, 6)
CONNECTORS = {cylinder: camera_jpeg(2400 + 80 * cylinder, 1800, 6) for cylinder in range(1, 5)}
REPAIR = camera_jpeg(2000, 1500, 6)

RECORDED = {
    "case_opened": 1,
    "complaint": 1,
    "photo": 6,
    "check": 4 + 4 + 4,
    "codes_read": 2,
    "parts_moved": 1,
    "repair": 1,
    "codes_cleared": 1,
    "road_test": 1,
    "answered": 1,
    "case_closed": 1,
    "tag_bound": 1,
}


@pytest.fixture
def served(tmp_path):
    shop = FirstStart(tmp_path / "shop")
    shop.start()
    yield shop
    shop.stop()


@pytest.fixture
def phone(chromium, served):
    context = chromium.new_context(base_url=served.address, **PHONE)
    yield context
    context.close()


@pytest.fixture
def stranger(chromium, served):
    context = chromium.new_context(base_url=served.address, **PHONE)
    yield context
    context.close()


def test_a_whole_case_without_signal_reaches_the_shop_once_and_whole(served, phone, stranger):
    troubles: list[str] = []
    phone.on("weberror", lambda trouble: troubles.append(str(trouble.error)))
    mechanic = Mechanic(phone)
    become_owner(mechanic, served)

    phone.set_offline(True)
    case = open_case(mechanic)
    look_at_connectors(mechanic)
    read_codes(mechanic)
    served.stop()
    drop_round(mechanic, dead=3, broken_off_after=2, asked=True)
    swap_coils(mechanic)
    drop_round(mechanic, dead=1)
    read_diagnosis(mechanic, case)
    repair(mechanic)
    prove(mechanic)
    close(mechanic)
    code = bind_tag(mechanic, served)
    show_report(mechanic)
    recorded = run(mechanic.page, "log.entriesOf(arg)", case)
    recorded_as_done(recorded, case, code)
    mechanic.sees(f"{sum(RECORDED.values()) + 6} unsent")

    phone.set_offline(False)
    send(mechanic, served)
    entries_arrived_once(served, recorded)
    photos_arrived_whole(served, recorded)
    address = label_is_read(phone, served, code)
    for as_scanned in (address, address.lower()):
        address_opens_the_part(mechanic, as_scanned)
        stranger_sees_the_shop_alone(stranger, as_scanned, [code, case, *(photos_of(recorded))])
    assert troubles == []


def become_owner(mechanic: Mechanic, served: FirstStart) -> None:
    mechanic.page.goto(re.search(r"http\S+/#owner=\S+", served.sign_in)[0])
    mechanic.sees_screen("Set up this shop")
    mechanic.write("Name of the shop", SHOP)
    mechanic.write("Phone of the shop", SHOP_PHONE)
    mechanic.write("Your name", "Robin Example")
    mechanic.write("Password", "four dry plug wells")
    mechanic.tap("Make me the owner")
    mechanic.sees("Ready to work offline")
    mechanic.tap("Good")


def open_case(mechanic: Mechanic) -> str:
    """Everything there is to say of car, engine and complaint; the case's id."""
    mechanic.follow("New case")
    mechanic.sees_screen("New case")
    mechanic.write("Plate", PLATE)
    mechanic.write("VIN", VIN.replace("F11", "FI1"))
    mechanic.tap(f"Take {VIN}")
    mechanic.sees("The check digit is right.")
    mechanic.write("Make", MAKE)
    mechanic.write("Model", MODEL)
    mechanic.write("Customer's name", CUSTOMER)
    mechanic.choose("Layout", "In line")
    mechanic.unfold("firing order")
    mechanic.choose("Ignition", "A coil on every plug")
    mechanic.write("Firing order", "1-3-4-2")
    mechanic.choose("Symptoms", "Shakes")
    mechanic.choose("When", "At idle", "Under load")
    mechanic.choose("Warning lamp", "Flashing")
    mechanic.sees("Damage in progress: do not drive")
    mechanic.unfold("Customer's words")
    mechanic.write("In the customer's words", WORDS)
    mechanic.unfold("Year, odometer")
    mechanic.write("Odometer", "118,200")
    mechanic.pick("Unit of odometer", "mi")
    mechanic.write("Phone", CUSTOMER_PHONE)
    mechanic.unfold("Damage already there")
    mechanic.photograph("Photo of damage", DAMAGE)
    mechanic.sees_picture("Damage, photo 1")
    mechanic.tap("Open the case")
    at_the_case(mechanic)
    return re.search(r"#/case/([0-9a-f-]{36})$", mechanic.page.url)[1]


def at_the_case(mechanic: Mechanic) -> None:
    mechanic.sees_screen(re.compile(f"{MAKE} {MODEL}"))


def at_station(mechanic: Mechanic, cylinder: int) -> None:
    """A round stands at this cylinder."""
    heading = mechanic.page.get_by_role("heading", level=2, name=f"Cylinder {cylinder}", exact=True)
    expect(heading).to_be_visible(timeout=PATIENCE)


def look_at_connectors(mechanic: Mechanic) -> None:
    """Every connector with a photo and a finding; at the third the page goes before the finding is recorded."""
    mechanic.begin("Connectors")
    for cylinder, finding in {1: "Good", 2: "Oil in it", 3: "Good", 4: "Good"}.items():
        at_station(mechanic, cylinder)
        mechanic.photograph("Photo", CONNECTORS[cylinder])
        mechanic.sees_picture(f"Cylinder {cylinder}, photo 1, kept with the finding")
        if cylinder == 3:
            mechanic.tap("Note")
            mechanic.write("Note", NOTE)
            mechanic.close_and_open(mechanic.page.url)
            at_station(mechanic, 3)
            expect(mechanic.page.get_by_label("Note", exact=True)).to_have_value(NOTE, timeout=PATIENCE)
            mechanic.sees_picture("Cylinder 3, photo 1, kept with the finding")
        mechanic.tap(finding, inside=mechanic.group("Finding"))
    mechanic.sees_screen("Coil connector, side by side")
    for cylinder in CONNECTORS:
        mechanic.sees_picture(f"Cylinder {cylinder}: Coil connector")
    mechanic.sees(NOTE)
    mechanic.tap("Done")
    at_the_case(mechanic)


def read_codes(mechanic: Mechanic) -> None:
    """One typed, more in a text, with a line in it that is no code."""
    mechanic.begin("Codes")
    mechanic.write("Code", "P0303")
    mechanic.sees("Misfire on cylinder 3")
    mechanic.tap("Add")
    mechanic.page.get_by_text("Paste a text with codes in it").click()
    mechanic.write("Text from a reader or a message", READER_TEXT)
    mechanic.tap("Find codes in it")
    mechanic.sees("2 codes found.")
    mechanic.sees(re.compile("Not understood.*"))
    mechanic.sees(re.compile(re.escape("Tyre pressure front left 1.9 bar??")))
    mechanic.tap("Keep 2 codes")
    at_the_case(mechanic)


def drop_round(mechanic: Mechanic, dead: int, broken_off_after: int | None = None, asked: bool = False) -> None:
    """A drop test on every cylinder; broken off, the phone comes back to it from its first screen.

    ``asked``: the case has not been told before how a cylinder is disabled.
    """
    mechanic.begin("Drop test")
    for cylinder in range(1, 5):
        at_station(mechanic, cylinder)
        if asked and cylinder == 1:
            mechanic.group("Cylinder disabled by").get_by_label("Unplugging the injector", exact=True).click()
        mechanic.sees("Disabled by: unplugging the injector")
        mechanic.tap("No change" if cylinder == dead else "Full drop", inside=mechanic.group("Finding"))
        if cylinder == broken_off_after:
            at_station(mechanic, cylinder + 1)
            mechanic.close_and_open("/")
            mechanic.follow(re.compile(PLATE))
            mechanic.follow(re.compile("Go on with: Drop test"))
    mechanic.sees_screen("Drop test, side by side")
    mechanic.tap("Done")
    at_the_case(mechanic)


def swap_coils(mechanic: Mechanic) -> None:
    mechanic.begin("Move parts")
    mechanic.tap("Coil 3: the coil that came in at 3")
    mechanic.sees("Holding the coil that came in at 3. Tap where it goes.")
    mechanic.tap("Coil 1: the coil that came in at 1")
    mechanic.tap("Record: swap the coils of cylinders 3 and 1")
    at_the_case(mechanic)


def read_diagnosis(mechanic: Mechanic, case: str) -> None:
    """The screen says what the core says where it runs on CPython: explanation, its weight, next step, its reason."""
    entries = run(mechanic.page, "log.entriesOf(arg)", case)
    told = json.loads(bridge.answer("diagnosis", json.dumps({"entries": entries})))
    leading, step = told["explanations"][0], told["steps"][0]
    assert leading["label"] == "The coil that came in at 3: dead (now at 1)"
    assert leading["p"] > 0.95
    assert step["kind"] == "repair" and step["body"]["place"] == "coil.1"

    first = mechanic.region("What it may be").get_by_role("button").first
    expect(first).to_contain_text(leading["label"], timeout=PATIENCE)
    expect(first).to_contain_text(percent(leading["p"]), timeout=PATIENCE)
    next_step = mechanic.region("Next step")
    expect(next_step).to_contain_text(f"{step['title']}{step['minutes']} min", timeout=PATIENCE)
    expect(next_step).to_contain_text(step["why"], timeout=PATIENCE)
    expect(next_step).to_contain_text("The maker's torque for this engine comes before any value shown here.")

    first.click()
    mechanic.sees("Against:")
    mechanic.sees("Together")
    why = json.loads(bridge.answer("why", json.dumps({"entries": entries, "index": 0})))
    for row in why["rows"]:
        expect(mechanic.region("What it may be").get_by_role("link", name=row["text"], exact=True)).to_be_visible()


def percent(share: float) -> str:
    return "over 99 %" if share > 0.99 else f"{share:.0%}".replace("%", " %")


def repair(mechanic: Mechanic) -> None:
    """By the key of the next step, which knows part and place."""
    mechanic.tap(re.compile("^Replace the coil that came in at 3"))
    mechanic.sees_screen("Repair")
    for question, answer in (("Work", "Part replaced"), ("Part", "Coil"), ("Coil at", "1")):
        expect(mechanic.group(question).get_by_label(answer, exact=True)).to_be_checked(timeout=PATIENCE)
    mechanic.write("Brand fitted", "Harrow")
    mechanic.choose("New or used", "New")
    mechanic.write("Torque", "10")
    mechanic.pick("Unit of torque", "N·m")
    mechanic.write("Where the torque was read", "Maker's manual of this engine")
    mechanic.photograph("Photo", REPAIR)
    mechanic.sees_picture("Photo 1, kept with this")
    mechanic.tap("Record the repair")
    mechanic.sees_screen("Tag the removed part")
    mechanic.tap("Not now")
    at_the_case(mechanic)


def prove(mechanic: Mechanic) -> None:
    """Clear, drive, read again: one code stays away, one returns."""
    mechanic.begin("Clear codes")
    mechanic.tap("Codes are cleared")
    at_the_case(mechanic)
    mechanic.begin("Road test")
    mechanic.tap("Start the clock")
    mechanic.tap("Stop the clock")
    mechanic.write("Minutes", "12")
    mechanic.choose("Misfire felt", "Not at all")
    mechanic.choose("Warning lamp", "Off")
    mechanic.choose("Conditions", "Under load")
    mechanic.tap("Record the road test")
    at_the_case(mechanic)
    mechanic.begin("Codes")
    mechanic.write("Code", "P0442")
    mechanic.tap("Add")
    mechanic.page.get_by_label("This is the whole list", exact=True).check()
    against = mechanic.region("Against the reading before")
    expect(against).to_contain_text("Returned after clearingP0442", timeout=PATIENCE)
    expect(against).to_contain_text("Stayed awayP0303", timeout=PATIENCE)
    mechanic.tap("Keep 1 code")
    at_the_case(mechanic)


def close(mechanic: Mechanic) -> None:
    """With what the findings say, and the code that has nothing to do with it left for later."""
    mechanic.begin("Close the case")
    mechanic.tap("It stays there on purpose")
    mechanic.sees("1 point is open.")
    mechanic.group("What the findings say").get_by_role(
        "radio", name=re.compile("^The coil that came in at 3")
    ).first.check()
    expect(mechanic.page.get_by_label("Confirmed cause", exact=True)).to_have_value(
        re.compile("^The coil that came in at 3")
    )
    mechanic.write("P0442: what and why", "Fuel vapor system: small leak. No hurry.")
    mechanic.write("Advice to the owner", "Have the seals of the plug wells looked at.")
    mechanic.write("Why it is closed with points open", "The coil is tagged at the shop")
    mechanic.tap("Close the case")
    mechanic.sees_screen("Report")
    mechanic.follow("Back to the case")
    mechanic.sees("Closed")


def bind_tag(mechanic: Mechanic, served: FirstStart) -> str:
    """The removed coil gets a code drawn here, and a label that can be read off the screen; the code."""
    mechanic.begin("Tag")
    expect(mechanic.group("Off the engine").get_by_label("The coil that came in at 3", exact=True)).to_be_checked()
    mechanic.tap("Make a tag for it")
    mechanic.sees_screen("Label")
    square = mechanic.page.get_by_role("img", name=re.compile("^Square with the address of tag"))
    [read] = zxingcpp.read_barcodes(Image.open(io.BytesIO(square.screenshot())))
    code = read.text.rpartition("/")[2]
    assert read.text == f"{served.address}/t/{code}".upper()
    mechanic.follow("Back to the case")
    return code


def show_report(mechanic: Mechanic) -> None:
    mechanic.follow("The owner's report")
    report = mechanic.page.get_by_role("article")
    for told in (
        SHOP,
        PLATE,
        CUSTOMER,
        WORDS,
        "What was wrong",
        "Harrow",
        "10\u00a0N·m",
        "P0442",
        "No hurry.",
        "plug wells",
    ):
        mechanic.sees(re.compile(re.escape(told)), inside=report)
    mechanic.sees_picture(re.compile("Damage that was there before"), inside=report)


def recorded_as_done(recorded: list[dict], case: str, code: str) -> None:
    """The log holds what was done on the screens, in that order."""
    said: dict[str, list[dict]] = {}
    for entry in recorded:
        said.setdefault(entry["kind"], []).append(entry["body"])
    assert {kind: len(bodies) for kind, bodies in said.items()} == RECORDED
    opened, complaint = said["case_opened"][0], said["complaint"][0]
    assert opened["vehicle"] == {"plate": PLATE, "vin": VIN, "make": MAKE, "model": MODEL}
    assert opened["engine"]["firing_order"] == [1, 3, 4, 2]
    assert opened["odometer"] == {"si": pytest.approx(118_200 * 1609.344), "typed": "118,200", "unit": "mi"}
    assert opened["customer"] == {"name": CUSTOMER, "phone": CUSTOMER_PHONE}
    assert (complaint["lamp"], complaint["circumstances"], complaint["words"]) == ("flashing", ["idle", "load"], WORDS)

    checks = [entry for entry in recorded if entry["kind"] == "check"]
    looks, drops = [check["body"] for check in checks[:4]], [check["body"] for check in checks[4:]]
    assert [look["place"] for look in looks] == ["coil.1", "coil.2", "coil.3", "coil.4"]
    assert [look["finding"] for look in looks] == ["good", "oily", "good", "good"]
    assert [look.get("note") for look in looks] == [None, None, NOTE, None]
    assert [drop["cylinder"] for drop in drops] == [1, 2, 3, 4] * 2
    assert [drop["finding"] for drop in drops] == ["full", "full", "none", "full", "none", "full", "full", "full"]
    assert len({drop["round"] for drop in drops[:4]}) == len({drop["round"] for drop in drops[4:]}) == 1
    connectors = [photo for photo in said["photo"] if photo["shows"] == "connector"]
    assert [photo["of"] for photo in connectors] == [check["id"] for check in checks[:4]]

    before, after = said["codes_read"]
    assert [one["code"] for one in before["codes"]] == ["P0303", "P0442"]
    assert (before["raw"], "Tyre pressure" in before["not_understood"]) == (READER_TEXT, True)
    assert (after["codes"], after["complete"]) == ([{"code": "P0442", "status": "stored"}], True)
    moves = {(move["from"], move["to"]) for move in said["parts_moved"][0]["moves"]}
    assert moves == {("coil.3", "coil.1"), ("coil.1", "coil.3")}
    replaced = said["repair"][0]
    assert (replaced["work"], replaced["place"], replaced["brand"]) == ("replaced", "coil.1", "Harrow")
    assert replaced["torque"] == {"si": 10, "typed": "10", "unit": "N·m"}
    assert (said["road_test"][0]["minutes"], said["road_test"][0]["felt"]) == (12, "none")
    assert [later["code"] for later in said["case_closed"][0]["later"]] == ["P0442"]
    assert said["tag_bound"] == [{"code": code, "part": f"{case}.coil.3"}]


def send(mechanic: Mechanic, served: FirstStart) -> None:
    """With a connection but no shop nothing is lost; with the shop back, by a new process, everything goes."""
    mechanic.follow(re.compile("unsent"))
    mechanic.tap("Send now")
    mechanic.sees("Only what is in the shop survives a lost phone.")
    served.start()
    assert served.sign_in == "Sign in with your name and password."
    mechanic.tap("Send now")
    mechanic.sees("Everything recorded here is in the shop too.")
    expect(mechanic.page.get_by_role("link", name="All sent to the shop")).to_be_visible()


def entries_arrived_once(served: FirstStart, recorded: list[dict]) -> None:
    database = sqlite3.connect(f"file:{served.data / 'coiltrail.sqlite3'}?mode=ro", uri=True)
    rows = database.execute("SELECT id, device, n, content FROM entry ORDER BY n").fetchall()
    set_aside = database.execute("SELECT field, message FROM set_aside").fetchall()
    database.close()
    assert set_aside == []
    assert [json.loads(content) for *_, content in rows] == recorded
    assert [(id_, device, n) for id_, device, n, _ in rows] == [(e["id"], e["device"], e["n"]) for e in recorded]
    assert len({entry["id"] for entry in recorded}) == len(recorded)
    assert len({entry["device"] for entry in recorded}) == 1
    assert [entry["n"] for entry in recorded] == list(range(1, len(recorded) + 1))


def photos_of(recorded: list[dict]) -> list[str]:
    return [entry["body"]["sha256"] for entry in recorded if entry["kind"] == "photo"]


def photos_arrived_whole(served: FirstStart, recorded: list[dict]) -> None:
    bodies = {entry["body"]["sha256"]: entry["body"] for entry in recorded if entry["kind"] == "photo"}
    assert len(bodies) == RECORDED["photo"]
    assert Counter(body["shows"] for body in bodies.values()) == {"damage_before": 1, "connector": 4, "repair": 1}
    files = {path.name: path for path in (served.data / "photos").rglob("*") if path.is_file()}
    assert files.keys() == bodies.keys()
    assert [path for path in (served.data / "uploads").rglob("*") if path.is_file()] == []
    upright = colours(ImageOps.exif_transpose(Image.open(io.BytesIO(DAMAGE))))
    for name, path in files.items():
        content = path.read_bytes()
        assert hashlib.sha256(content).hexdigest() == name
        assert len(content) == bodies[name]["bytes"]
        assert b"Exif" not in content
        with Image.open(path) as picture:
            assert not picture.getexif()
            assert picture.size == (bodies[name]["width"], bodies[name]["height"])
            assert max(picture.size) <= 1600 and picture.height > picture.width
            assert colours(picture) == upright


def label_is_read(phone: BrowserContext, served: FirstStart, code: str) -> str:
    """The address on the label that the shop prints."""
    answer = phone.request.get(f"/api/tags/{code}/label.png?dpi=203")
    assert (answer.status, answer.headers["content-type"]) == (200, "image/png")
    [read] = zxingcpp.read_barcodes(Image.open(io.BytesIO(answer.body())))
    assert read.text == f"{served.address}/t/{code}".upper()
    return read.text


def address_opens_the_part(mechanic: Mechanic, address: str) -> None:
    mechanic.page.goto(address)
    mechanic.sees_screen("The coil that came in at 3")
    mechanic.sees("Off the engine")
    mechanic.sees(f"{MAKE} {MODEL}")
    mechanic.follow("Back to the case")
    at_the_case(mechanic)


def stranger_sees_the_shop_alone(stranger: BrowserContext, address: str, ids: list[str]) -> None:
    page = stranger.new_page()
    page.goto(address)
    expect(page.get_by_role("heading", level=1)).to_contain_text(SHOP)
    expect(page.get_by_role("link", name=SHOP_PHONE)).to_be_visible()
    code, case, *photos = ids
    for secret in (PLATE, VIN, MAKE, CUSTOMER, CUSTOMER_PHONE, WORDS, "coil that came", case, *photos):
        assert secret not in page.content()
    for path in (f"tags/{code}", f"tags/{code}/label.png", f"cases/{case}/log.jsonl", f"photos/{photos[0]}"):
        assert stranger.request.get(f"/api/{path}").status == 401
    page.close()
