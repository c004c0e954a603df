"""Rounds: one thumb, one screen a cylinder, and the same place again after whatever came between."""

import re

import pytest
from playwright.sync_api import Page, expect

from .conftest import run
from .pictures import camera_jpeg
from .worked_case import open_case, record, sign_in_here


@pytest.fixture
def page(new_phone):
    return sign_in_here(new_phone())


class Thumb:
    """Counts the taps it makes on ``page``."""

    def __init__(self, page: Page):
        self.page = page
        self.taps = 0

    def tap(self, role: str, name: str) -> None:
        self.page.get_by_role(role, name=name, exact=True).tap()
        self.taps += 1

    def photograph(self) -> None:
        with self.page.expect_file_chooser() as camera:
            self.page.get_by_text("Photo", exact=True).tap()
            self.taps += 1
        picture = camera_jpeg(1600, 1200, 6)
        self.taps += 1  # the shutter
        camera.value.set_files({"name": "a.jpg", "mimeType": "image/jpeg", "buffer": picture})
        expect(self.page.get_by_role("img", name="kept with the finding")).to_be_visible()


def at(page: Page, station: str) -> None:
    expect(page.get_by_role("heading", level=2, name=station, exact=True)).to_be_visible()


def checks_of(page: Page, case: str) -> list[dict]:
    return [entry["body"] for entry in run(page, "log.entriesOf(arg)", case) if entry["kind"] == "check"]


def test_connectors_of_four_cylinders_with_photos_take_thirteen_taps(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}")
    thumb = Thumb(page)
    thumb.tap("link", "Connectors")
    for cylinder in range(1, 5):
        at(page, f"Cylinder {cylinder}")
        thumb.photograph()
        thumb.tap("button", "Good")
    expect(page.get_by_role("heading", level=1, name="Coil connector, side by side")).to_be_visible()
    assert thumb.taps <= 13
    expect(page.get_by_role("img", name="Coil connector")).to_have_count(4)
    entries = run(page, "log.entriesOf(arg)", case)
    checks = {entry["id"]: entry["body"] for entry in entries if entry["kind"] == "check"}
    photos = [entry["body"] for entry in entries if entry["kind"] == "photo"]
    assert [body["place"] for body in checks.values()] == ["coil.1", "coil.2", "coil.3", "coil.4"]
    assert [checks[photo["of"]]["place"] for photo in photos] == [photo["place"] for photo in photos]


def test_a_drop_test_takes_two_taps_more_than_there_are_cylinders(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}")
    thumb = Thumb(page)
    thumb.tap("link", "Drop test")
    expect(page.get_by_text("Read and keep the codes first", exact=True)).to_be_visible()
    thumb.tap("radio", "Unplugging the injector")
    for cylinder in range(1, 5):
        at(page, f"Cylinder {cylinder}")
        thumb.tap("button", "No change" if cylinder == 3 else "Full drop")
        if cylinder == 3:
            expect(page.get_by_role("button", name="Cylinder 2, done", exact=True)).to_be_visible()
            expect(page.get_by_role("button", name="Cylinder 3, done, stands out", exact=True)).to_be_visible()
    expect(page.get_by_role("heading", level=1, name="Drop test, side by side")).to_be_visible()
    assert thumb.taps <= 6
    found = checks_of(page, case)
    assert [(body["cylinder"], body["finding"]) for body in found] == [
        (1, "full"),
        (2, "full"),
        (3, "none"),
        (4, "full"),
    ]
    assert {body["disabled"] for body in found} == {"injector"}
    assert len({body["round"] for body in found}) == 1


def test_a_drop_test_asks_first_how_the_cylinder_is_disabled(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/drop")
    page.get_by_role("button", name="No change").click()
    expect(page.get_by_role("alert")).to_contain_text("Say first how the cylinder is disabled.")
    at(page, "Cylinder 1")
    assert checks_of(page, case) == []


def test_the_warning_to_read_codes_first_is_gone_once_they_are_kept(page):
    case = open_case(page)
    record(page, case, ("codes_read", {"codes": [{"code": "P0303", "status": "stored"}]}))
    page.goto(f"/#/case/{case}/round/drop")
    at(page, "Cylinder 1")
    expect(page.get_by_text("Engine at idle, warm.")).to_be_visible()
    expect(page.get_by_text("Read and keep the codes first", exact=True)).to_have_count(0)


def test_the_order_of_firing_is_followed_and_kept_for_the_next_round(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/plug_look")
    page.get_by_role("button", name="Go by firing order").click()
    for cylinder in (1, 3, 4, 2):
        at(page, f"Cylinder {cylinder}")
        page.get_by_role("button", name="Good", exact=True).click()
    expect(page.get_by_role("heading", level=1, name="Spark plug, side by side")).to_be_visible()
    assert [body["place"] for body in checks_of(page, case)] == ["plug.1", "plug.3", "plug.4", "plug.2"]
    page.goto(f"/#/case/{case}/round/injector_sound")
    at(page, "Cylinder 1")
    page.get_by_role("button", name="Clicks").click()
    at(page, "Cylinder 3")


def test_a_round_goes_on_where_the_page_was_lost(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/connector_look")
    page.get_by_role("button", name="Good", exact=True).click()
    at(page, "Cylinder 2")
    page.get_by_role("button", name="Note", exact=True).click()
    page.get_by_label("Note", exact=True).fill("Green at the second pin")
    Thumb(page).photograph()
    page.reload()
    at(page, "Cylinder 2")
    expect(page.get_by_label("Note", exact=True)).to_have_value("Green at the second pin")
    expect(page.get_by_role("img", name="Cylinder 2, photo 1, kept with the finding")).to_be_visible()
    page.goto(f"/#/case/{case}")
    page.get_by_role("link", name="Go on with: Coil connector").click()
    at(page, "Cylinder 2")
    page.get_by_role("button", name="Green or corroded").click()
    at(page, "Cylinder 3")
    assert checks_of(page, case)[1]["note"] == "Green at the second pin"


def test_a_skipped_cylinder_is_named_at_the_end_and_its_photo_is_not_lost(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/connector_look")
    at(page, "Cylinder 1")
    Thumb(page).photograph()
    page.get_by_role("button", name="Skip").click()
    for cylinder in (2, 3, 4):
        at(page, f"Cylinder {cylinder}")
        page.get_by_role("button", name="Good", exact=True).click()
    expect(page.get_by_text("Left out: cylinder 1.")).to_be_visible()
    photos = [entry["body"] for entry in run(page, "log.entriesOf(arg)", case) if entry["kind"] == "photo"]
    assert [(photo["place"], photo["shows"], "of" in photo) for photo in photos] == [("coil.1", "connector", False)]


def test_a_finding_corrected_in_the_round_strikes_the_first_and_deletes_nothing(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/connector_look")
    page.get_by_role("button", name="Good", exact=True).click()
    at(page, "Cylinder 2")
    page.get_by_role("button", name="Back", exact=True).click()
    at(page, "Cylinder 1")
    page.get_by_role("button", name="Oil in it").click()
    at(page, "Cylinder 2")
    entries = run(page, "log.entriesOf(arg)", case)
    checks = [entry for entry in entries if entry["kind"] == "check"]
    assert [entry["body"]["finding"] for entry in checks] == ["good", "oily"]
    assert [entry["body"]["entry"] for entry in entries if entry["kind"] == "struck"] == [checks[0]["id"]]


def test_waste_spark_has_a_station_for_each_coil(page):
    case = open_case(page, ignition="waste_spark")
    page.goto(f"/#/case/{case}/round/connector_look")
    at(page, "Coil 1 (cylinders 1, 4)")
    page.get_by_role("button", name="Good", exact=True).click()
    at(page, "Coil 2 (cylinders 2, 3)")
    page.get_by_role("button", name="Good", exact=True).click()
    expect(page.get_by_role("heading", level=1, name="Coil connector, side by side")).to_be_visible()


def test_a_compression_reading_is_kept_in_si_with_what_was_typed(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/compression")
    page.get_by_label("Unit of reading").select_option("psi")
    page.get_by_label("Reading", exact=True).fill("170")
    page.get_by_role("button", name="Like the best").click()
    at(page, "Cylinder 2")
    expect(page.get_by_label("Reading", exact=True)).to_have_value("")
    page.get_by_label("Reading", exact=True).fill("95")
    expect(page.get_by_text("It is 56 % of the best in this round.")).to_be_visible()
    page.get_by_role("button", name="Keep the reading: Low").click()
    at(page, "Cylinder 3")
    first, second = checks_of(page, case)
    assert first["reading"] == {"si": pytest.approx(170 * 6894.757293168361), "typed": "170", "unit": "psi"}
    assert (second["reading"]["typed"], "finding" in second) == ("95", False)


def test_compression_is_typed_from_cylinder_to_cylinder_without_a_tap_between(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}")
    thumb = Thumb(page)
    thumb.tap("link", "Check")
    thumb.tap("link", "Round: Compression on every cylinder")
    at(page, "Cylinder 1")
    thumb.taps += 1  # into the field
    page.get_by_label("Reading", exact=True).fill("1200")
    page.get_by_label("Reading", exact=True).press("Enter")
    for cylinder, kilopascal in ((2, "1150"), (3, "700"), (4, "1200")):
        at(page, f"Cylinder {cylinder}")
        expect(page.get_by_label("Reading", exact=True)).to_be_focused()
        page.keyboard.type(kilopascal)
        page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1, name="Compression, side by side")).to_be_visible()
    assert thumb.taps == 3
    assert [body["reading"]["typed"] for body in checks_of(page, case)] == ["1200", "1150", "700", "1200"]
    expect(page.get_by_text(re.compile("^Low, 700 kPa"))).to_be_visible()


def test_plugs_of_four_cylinders_with_photos_take_one_tap_more_than_connectors(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}")
    thumb = Thumb(page)
    thumb.tap("link", "Check")
    thumb.tap("link", "Round: Spark plug on every cylinder")
    for cylinder in range(1, 5):
        at(page, f"Cylinder {cylinder}")
        thumb.photograph()
        thumb.tap("button", "Electrodes worn" if cylinder == 2 else "Good")
    expect(page.get_by_role("heading", level=1, name="Spark plug, side by side")).to_be_visible()
    assert thumb.taps <= 14
    expect(page.get_by_role("img", name="Spark plug")).to_have_count(4)
