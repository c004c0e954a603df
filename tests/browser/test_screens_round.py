"""Rounds: one thumb, one screen a cylinder, and the same place again after whatever came between."""

import re

import pytest
from playwright.sync_api import Locator, Page, expect

from .conftest import run
from .pictures import camera_jpeg
from .worked_case import drop_round, open_case, record, reload_kept, sign_in_here


@pytest.fixture
def page(new_phone):
    return sign_in_here(new_phone(connected=True))


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


PAPER, INK = "rgb(246, 241, 227)", "rgb(23, 32, 43)"  # of the light theme, styles/paper.css


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


@pytest.mark.parametrize("check", ["connector_look", "plug_look", "compression"])
def test_a_caution_stands_above_the_keys_and_what_they_cover_is_said_and_reached(page, check):
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/{check}")
    at(page, "Cylinder 1")
    keys, read_on = page.get_by_role("group", name="Finding"), page.get_by_role("button", name="Read on")
    last = page.get_by_text("What each finding means")
    expect(read_on).to_be_visible()
    assert bottom(page.locator(".notice.warn")) <= read_on.bounding_box()["y"] < keys.bounding_box()["y"]
    for _ in range(4):
        if read_on.is_visible():
            read_on.tap()
            run(page, "new Promise((drawn) => requestAnimationFrame(() => requestAnimationFrame(drawn)))")
    expect(read_on).to_have_count(0)
    assert bottom(last) <= keys.bounding_box()["y"]
    assert keys.get_by_role("button").first.bounding_box()["height"] >= 48


def test_how_a_check_is_made_can_still_be_read_at_the_second_cylinder(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/connector_look")
    expect(page.get_by_text("Press the lock, pull the connector straight off")).to_be_in_viewport()
    page.get_by_role("button", name="Good", exact=True).click()
    at(page, "Cylinder 2")
    expect(page.get_by_text("Press the lock, pull the connector straight off")).to_be_hidden()
    page.get_by_text("How it is made").click()
    expect(page.get_by_text("Press the lock, pull the connector straight off")).to_be_visible()


def color_of(one: Locator, what: str) -> str:
    return one.evaluate("(node, what) => getComputedStyle(node).getPropertyValue(what)", what)


def bottom(of: Locator) -> float:
    box = of.bounding_box()
    return box["y"] + box["height"]


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
    # Nobody takes photos of a drop test: findings stand under each other, without frames for pictures.
    findings = ["Full drop", "Full drop", "No change", "Full drop"]
    expect(page.get_by_role("main").get_by_role("listitem").locator(".compared-finding")).to_have_text(findings)
    expect(page.get_by_text("no photo")).to_have_count(0)
    found = checks_of(page, case)
    assert [(body["cylinder"], body["finding"]) for body in found] == [
        (1, "full"),
        (2, "full"),
        (3, "none"),
        (4, "full"),
    ]
    assert {body["disabled"] for body in found} == {"injector"}
    assert len({body["round"] for body in found}) == 1


def test_after_a_swap_the_next_step_is_a_round_over_the_two_cylinders_alone(page):
    case = open_case(page)
    drop_round(page, case, dead=3)
    there_and_back = [{"from": "coil.3", "to": "coil.1"}, {"from": "coil.1", "to": "coil.3"}]
    record(page, case, ("parts_moved", {"moves": there_and_back}))
    page.goto(f"/#/case/{case}")
    page.get_by_role("region", name="Next step").get_by_role("button", name="Drop test, cylinders 1 and 3").click()
    at(page, "Cylinder 1")
    expect(page.get_by_text("Disabled by: the scan tool")).to_be_visible()
    page.get_by_role("button", name="No change").click()
    at(page, "Cylinder 3")
    reload_kept(page)
    at(page, "Cylinder 3")
    page.get_by_role("button", name="Full drop").click()
    expect(page.get_by_role("heading", level=1, name="Drop test, side by side")).to_be_visible()
    assert [(body["cylinder"], body["finding"]) for body in checks_of(page, case)[4:]] == [(1, "none"), (3, "full")]


def test_the_speed_before_is_typed_once_for_the_whole_drop_test_and_told_at_its_end(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/drop")
    page.get_by_role("radio", name="Unplugging the injector").click()
    before = page.get_by_label("Engine speed before")
    before.fill("740")
    for cylinder in range(1, 5):
        at(page, f"Cylinder {cylinder}")
        expect(before).to_have_value("740")
        page.get_by_role("button", name="Full drop").click()
    expect(page.locator(".compared-finding + .figures")).to_have_text(["740\xa0rpm before"] * 4)
    assert [(body["finding"], body["rpm_before"]) for body in checks_of(page, case)] == [("full", 740)] * 4


def test_a_drop_test_asks_first_how_the_cylinder_is_disabled_and_files_nothing_by_the_answer(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/drop")
    for choice in page.get_by_role("group", name="Cylinder disabled by").get_by_role("radio").all():
        expect(choice).to_be_in_viewport()
    page.get_by_role("button", name="No change").click()
    expect(page.get_by_text("Say this first, then tap what was found.")).to_be_in_viewport()
    expect(page.get_by_role("radio", name="Unplugging the coil")).to_be_focused()
    page.get_by_role("radio", name="Unplugging the coil").click()
    expect(page.get_by_text("Disabled by: unplugging the coil")).to_be_in_viewport()
    at(page, "Cylinder 1")
    assert checks_of(page, case) == []
    page.get_by_role("button", name="Full drop").click()
    at(page, "Cylinder 2")
    (found,) = checks_of(page, case)
    assert (found["cylinder"], found["finding"], found["disabled"]) == (1, "full", "coil")


def test_the_caution_is_that_of_the_way_chosen_and_is_read_again_when_another_is(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/drop")
    caution, way = (
        page.locator(".notice.warn", has_text="catalyst"),
        page.get_by_role("group", name="Cylinder disabled by"),
    )
    expect(caution).to_contain_text("pacemaker")
    way.get_by_label("Unplugging the injector").click()
    expect(caution).to_contain_text("open no fuel line")
    expect(caution).not_to_contain_text("pacemaker")
    page.get_by_role("button", name="Full drop", exact=True).click()
    at(page, "Cylinder 2")
    expect(caution).to_be_hidden()
    page.get_by_role("button", name="Change how it is disabled").click()
    way.get_by_label("Unplugging the coil").click()
    expect(caution).to_contain_text("pacemaker")
    expect(caution).to_be_visible()


def test_how_the_cylinder_is_disabled_is_remembered_for_the_case_and_for_the_next_one(page):
    case, other = open_case(page), open_case(page)
    drop_round(page, case, dead=3)  # by the scan tool
    page.goto(f"/#/case/{other}/round/drop")
    page.get_by_role("radio", name="Unplugging the injector").click()
    page.goto(f"/#/case/{case}/round/drop")
    expect(page.get_by_text("Disabled by: the scan tool")).to_be_visible()
    page.goto(f"/#/case/{open_case(page)}/round/drop")
    expect(page.get_by_text("Disabled by: unplugging the injector")).to_be_visible()
    page.get_by_role("button", name="Change how it is disabled").click()
    page.get_by_role("radio", name="Unplugging the coil").click()
    expect(page.get_by_text("Disabled by: unplugging the coil")).to_be_visible()


def test_the_end_of_a_round_leads_straight_to_what_the_advice_puts_first(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}")
    page.get_by_role("link", name="Connectors").click()
    for cylinder in range(1, 5):
        at(page, f"Cylinder {cylinder}")
        page.get_by_role("button", name="Good", exact=True).click()
    page.get_by_role("button", name="Next: Read the codes").click(timeout=60_000)
    expect(page.get_by_role("heading", level=1, name="Codes")).to_be_visible()
    page.go_back()
    expect(page.get_by_role("heading", level=1, name="2011 Zedex Four")).to_be_visible()
    expect(page.get_by_role("link", name="Go on with")).to_have_count(0)


def test_the_warning_to_read_codes_first_is_gone_once_they_are_kept(page):
    case = open_case(page)
    record(page, case, ("codes_read", {"codes": [{"code": "P0303", "status": "stored"}]}))
    page.goto(f"/#/case/{case}/round/drop")
    at(page, "Cylinder 1")
    expect(page.get_by_text("Engine at idle, warm.")).to_be_visible()
    expect(page.get_by_text("Read and keep the codes first", exact=True)).to_have_count(0)


def test_who_has_nothing_to_read_codes_with_is_not_told_to_read_them_first(page):
    case = open_case(page)
    page.goto("/#/van")
    page.get_by_role("checkbox", name="Code reader").uncheck()
    page.goto(f"/#/case/{case}/round/drop")
    expect(page.get_by_text("Read and keep the codes first", exact=True)).to_be_visible()  # the scan tool reads them
    page.goto("/#/van")
    page.get_by_role("checkbox", name="Scan tool with live data").uncheck()
    page.goto(f"/#/case/{case}/round/drop")
    at(page, "Cylinder 1")
    expect(page.get_by_text("Read and keep the codes first", exact=True)).to_have_count(0)


def test_the_order_of_firing_is_followed_and_kept_for_the_next_round(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/plug_look")
    page.get_by_role("button", name="By firing order").click()
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
    reload_kept(page)
    at(page, "Cylinder 2")
    expect(page.get_by_label("Note", exact=True)).to_have_value("Green at the second pin")
    expect(page.get_by_role("img", name="Cylinder 2, photo 1, kept with the finding")).to_be_visible()
    page.goto(f"/#/case/{case}")
    expect(page.get_by_text("1 of 4 looked at, still missing: 2, 3, 4")).to_be_in_viewport()
    page.get_by_role("link", name="Go on with: Coil connector, cylinder 2").click()
    at(page, "Cylinder 2")
    page.get_by_role("button", name="Green or corroded").click()
    at(page, "Cylinder 3")
    assert checks_of(page, case)[1]["note"] == "Green at the second pin"


def test_a_round_over_some_cylinders_that_is_broken_off_is_named_at_the_case_and_goes_on(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/compression/1-3-4")
    page.get_by_label("Reading", exact=True).fill("170")
    page.get_by_label("Reading", exact=True).press("Enter")
    at(page, "Cylinder 3")
    page.get_by_role("link", name="Back to the case").click()
    expect(page.get_by_text("1 of 3 looked at, still missing: 3, 4")).to_be_in_viewport()
    on = page.get_by_role("link", name="Go on with: Compression, cylinder 3")
    step = page.get_by_role("region", name="Next step").locator(".one-step.first > .key.main")
    expect(step).to_be_visible(timeout=60_000)
    quiet, dark = (color_of(one, "color") for one in (step, on))
    assert quiet != dark
    on.click()
    for cylinder in (3, 4):
        at(page, f"Cylinder {cylinder}")
        page.get_by_role("button", name="Like the best").click()
    expect(page.get_by_role("heading", level=1, name="Compression, side by side")).to_be_visible()
    page.get_by_role("button", name="Done", exact=True).click()
    expect(page.get_by_role("link", name="Go on with")).to_have_count(0)


def test_a_single_check_counts_in_the_round_as_long_as_the_part_has_not_changed(page):
    case = open_case(page)
    record(page, case, ("check", {"check": "plug_look", "place": "plug.2", "finding": "cracked"}))
    page.goto(f"/#/case/{case}/round/plug_look")
    expect(page.get_by_role("button", name="Cylinder 2, done, stands out")).to_be_visible()
    for _ in range(4):
        page.get_by_role("button", name="Skip", exact=True).click()
    expect(page.get_by_text("Left out: cylinder 1, cylinder 3, cylinder 4.")).to_be_visible()
    expect(page.get_by_role("listitem").filter(has_text="Insulator cracked")).to_have_count(1)
    record(page, case, ("repair", {"work": "replaced", "place": "plug.2"}))
    expect(page.get_by_text("Left out: cylinder 1, cylinder 2, cylinder 3, cylinder 4.")).to_be_visible()


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


def test_a_photo_stays_at_the_cylinder_it_was_taken_at_whichever_way_that_is_left(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/connector_look")
    page.get_by_role("button", name="Good", exact=True).click()
    at(page, "Cylinder 2")
    Thumb(page).photograph()
    page.get_by_role("button", name="Back", exact=True).click()
    at(page, "Cylinder 1")
    expect(page.get_by_role("img", name="photo")).to_have_count(0)
    page.get_by_role("button", name="Cylinder 2", exact=True).click()
    at(page, "Cylinder 2")
    expect(page.get_by_role("img", name="Cylinder 2, photo taken before")).to_be_visible()
    Thumb(page).photograph()
    page.get_by_role("button", name="Cylinder 4", exact=True).click()
    at(page, "Cylinder 4")
    page.get_by_role("button", name="Good", exact=True).click()
    expect(page.get_by_role("heading", level=1, name="Coil connector, side by side")).to_be_visible()
    photos = [entry["body"] for entry in run(page, "log.entriesOf(arg)", case) if entry["kind"] == "photo"]
    assert [(photo["place"], "of" in photo) for photo in photos] == [("coil.2", False)] * 2


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
    expect(page.get_by_text("It is 56 % of the best cylinder.")).to_be_visible()
    page.get_by_role("button", name="Keep the reading: Low").click()
    at(page, "Cylinder 3")
    first, second = checks_of(page, case)
    assert first["reading"] == {"si": pytest.approx(170 * 6894.757293168361), "typed": "170", "unit": "psi"}
    assert (second["reading"]["typed"], "finding" in second) == ("95", False)


def test_a_secondary_winding_is_read_in_kilohm_at_first_and_a_primary_in_ohm(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/coil_secondary")
    expect(page.get_by_label("Unit of reading")).to_have_value("kΩ")
    page.get_by_label("Unit of reading").select_option("Ω")
    expect(page.get_by_label("Unit of reading")).to_have_value("Ω")
    page.goto(f"/#/case/{case}/round/coil_primary")
    expect(page.get_by_label("Unit of reading")).to_have_value("Ω")


def test_compression_is_typed_from_cylinder_to_cylinder_without_a_tap_between(new_phone):
    page = sign_in_here(new_phone(locale="en-AU"))  # where pressure is written in kilopascal
    case = open_case(page)
    page.goto(f"/#/case/{case}")
    thumb = Thumb(page)
    thumb.tap("link", "Check")
    thumb.tap("link", "All cylinders: Compression")
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
    low = page.get_by_role("listitem").filter(has_text="Low")
    expect(low.locator(".figures")).to_have_text("700 kPa")


def test_plugs_of_four_cylinders_with_photos_take_one_tap_more_than_connectors(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}")
    thumb = Thumb(page)
    thumb.tap("link", "Check")
    thumb.tap("link", "All cylinders: Spark plug")
    for cylinder in range(1, 5):
        at(page, f"Cylinder {cylinder}")
        thumb.photograph()
        thumb.tap("button", "Electrodes worn" if cylinder == 2 else "Good")
    expect(page.get_by_role("heading", level=1, name="Spark plug, side by side")).to_be_visible()
    assert thumb.taps <= 14
    expect(page.get_by_role("img", name="Spark plug")).to_have_count(4)


def test_speeds_typed_and_not_yet_kept_come_back_when_the_page_is_lost_and_go_when_they_are_kept(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/drop")
    page.get_by_role("radio", name="Unplugging the injector").click()
    before, during = page.get_by_label("Engine speed before"), page.get_by_label("Engine speed during")
    before.fill("702")
    during.fill("66")
    reload_kept(page)
    expect(before).to_have_value("702")
    expect(during).to_have_value("66")
    during.fill("660")
    page.get_by_role("button", name="Keep the reading").click()
    at(page, "Cylinder 2")
    expect(before).to_have_value("702")
    expect(during).to_have_value("")
    during.fill("65")
    page.get_by_role("button", name="Skip", exact=True).click()
    at(page, "Cylinder 3")
    page.get_by_role("button", name="Back", exact=True).click()
    at(page, "Cylinder 2")
    expect(during).to_have_value("")
    (kept,) = checks_of(page, case)
    assert (kept["rpm_before"], kept["rpm_during"]) == (702, 660)


def test_a_reading_that_can_hardly_be_meant_is_asked_about_and_the_kept_figure_shown_again(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/compression")
    reading, question = page.get_by_label("Reading", exact=True), page.get_by_role("alertdialog")
    page.get_by_label("Unit of reading").select_option("psi")
    reading.fill("1780")
    reading.press("Enter")
    expect(question).to_contain_text("1780 psi is far above the compression of an engine")
    expect(question).to_be_in_viewport()
    assert bottom(question) <= page.get_by_role("group", name="Finding").bounding_box()["y"]
    assert checks_of(page, case) == []
    question.get_by_role("button", name="It was 178 psi").click()
    at(page, "Cylinder 2")
    reading.fill("1820")
    page.get_by_role("button", name="Low", exact=True).click()
    expect(question).to_contain_text("1820 psi")
    reading.fill("182")
    expect(question).to_have_count(0)
    page.get_by_role("button", name="Keep the reading: Like the best").click()
    at(page, "Cylinder 3")
    reading.fill("1790")
    reading.press("Enter")
    question.get_by_role("button", name="1790 psi was read, keep it").click()
    at(page, "Cylinder 4")
    assert [body["reading"]["typed"] for body in checks_of(page, case)] == ["178", "182", "1790"]
    page.get_by_role("button", name="Cylinder 2, done").click()
    at(page, "Cylinder 2")
    expect(page.get_by_text("Found: No compression, 182 psi.")).to_be_visible()
    expect(reading).to_have_value("182")


def test_a_speed_no_engine_runs_at_is_asked_about_in_a_single_check_too(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/check/drop/3")
    page.get_by_role("radio", name="Unplugging the injector").click()
    page.get_by_label("Engine speed before").fill("702")
    page.get_by_label("Engine speed during").fill("60")
    page.get_by_role("button", name="Full drop", exact=True).click()
    question = page.get_by_role("alertdialog")
    expect(question).to_contain_text("60 rpm is far below the speed of a running engine")
    question.get_by_role("button", name="Type it anew").click()
    expect(page.get_by_label("Engine speed during")).to_be_focused()
    assert checks_of(page, case) == []
    page.get_by_label("Engine speed during").fill("660")
    page.get_by_role("button", name="Full drop", exact=True).click()
    expect(page.get_by_role("heading", level=1, name="2011 Zedex Four")).to_be_visible()
    assert [body["rpm_during"] for body in checks_of(page, case)] == [660]


def test_a_second_round_of_a_day_begins_at_the_speed_during_with_the_caution_folded(page):
    case = open_case(page)
    body = {"check": "drop", "disabled": "tool", "rpm_before": 702, "rpm_during": 640}
    record(page, case, *(("check", body | {"cylinder": cylinder}) for cylinder in range(1, 5)))
    page.goto(f"/#/case/{case}/round/drop/1-3")
    at(page, "Cylinder 1")
    before, during = page.get_by_label("Engine speed before"), page.get_by_label("Engine speed during")
    expect(before).to_have_value("702")
    caution = page.locator(".notice.warn", has_text="catalyst")
    expect(caution).to_be_hidden()
    expect(before).to_be_in_viewport()
    expect(during).to_be_focused()
    during.fill("700")
    keep = page.get_by_role("button", name="Keep the reading: No change")
    expect(keep).to_be_visible()
    assert bottom(keep) <= page.get_by_role("group", name="Finding").bounding_box()["y"]
    page.get_by_text("What to beware of").click()
    expect(caution).to_be_visible()
    # A speed that nobody has looked at in this round is not told as read in it.
    during.fill("")
    page.get_by_role("button", name="Skip", exact=True).click()
    at(page, "Cylinder 3")
    page.get_by_role("button", name="Full drop", exact=True).click()
    expect(page.get_by_role("heading", level=1, name="Drop test, side by side")).to_be_visible()
    assert "rpm_before" not in checks_of(page, case)[-1]


def test_a_round_that_is_left_there_gives_the_advice_its_place_back(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/plug_look")
    page.get_by_role("button", name="Good", exact=True).click()
    at(page, "Cylinder 2")
    page.get_by_role("link", name="Back to the case").click()
    page.get_by_role("button", name="Leave the round there").click()
    expect(page.get_by_role("link", name="Go on with")).to_have_count(0)
    reload_kept(page)
    expect(page.get_by_role("region", name="Next step")).to_be_visible()
    expect(page.get_by_role("link", name="Go on with")).to_have_count(0)
    assert [body["place"] for body in checks_of(page, case)] == ["plug.1"]


def test_two_taps_on_the_key_that_keeps_a_reading_record_it_once(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/compression")
    page.get_by_label("Unit of reading").select_option("psi")
    page.get_by_label("Reading", exact=True).fill("170")
    keep = page.get_by_role("button", name="Keep the reading")
    expect(keep).to_be_enabled()
    keep.evaluate("(key) => { key.click(); key.click(); }")  # while the core is asked whether it is meant
    at(page, "Cylinder 2")
    reload_kept(page)
    at(page, "Cylinder 2")
    assert [one["cylinder"] for one in checks_of(page, case)] == [1]


def test_a_round_of_which_nothing_is_missing_leaves_the_advice_the_main_thing(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/connector_look")
    for number in range(1, 5):
        at(page, f"Cylinder {number}")
        page.get_by_role("group", name="Finding").get_by_role("button").first.click()
    page.get_by_role("button", name="Done").first.wait_for()
    page.goto(f"/#/case/{case}")
    on = page.get_by_role("link", name="Go on with: Coil connector")
    expect(page.get_by_text("All recorded, not ended yet")).to_be_visible()
    step = page.get_by_role("region", name="Next step").locator(".key.main").first
    expect(step).to_be_visible()
    # Paper on ink is the main thing, ink on paper is not.
    expect(step).to_have_css("color", PAPER)
    expect(on).to_have_css("color", INK)


def test_a_cylinder_kept_by_its_reading_alone_is_marked_by_what_the_reading_came_to(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/drop")
    page.get_by_role("radio", name="Unplugging the injector").click()
    page.get_by_label("Engine speed before").fill("690")
    page.get_by_label("Engine speed during").fill("686")
    page.get_by_role("button", name="Keep the reading: No change").click()
    at(page, "Cylinder 2")
    page.get_by_label("Engine speed during").fill("602")
    page.get_by_role("button", name="Keep the reading: Full drop").click()
    expect(page.get_by_role("button", name="Cylinder 2, done", exact=True)).to_be_visible()
    page.get_by_role("button", name="Cylinder 1, done, stands out", exact=True).click()
    expect(page.get_by_text("Found: No change, 690 to 686 rpm.")).to_be_visible()
    expect(page.get_by_role("button", name="No change", exact=True)).to_have_class(re.compile("chosen"))


def test_a_finding_against_its_own_reading_is_asked_about_in_the_round(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/drop")
    page.get_by_role("radio", name="Unplugging the injector").click()
    page.get_by_label("Engine speed before").fill("690")
    page.get_by_label("Engine speed during").fill("602")
    page.get_by_role("button", name="No change", exact=True).click()
    question = page.get_by_role("alertdialog")
    expect(question).to_contain_text("That is “Full drop”; you tapped “No change”.")
    assert checks_of(page, case) == []
    question.get_by_role("button", name="Type it anew").click()
    expect(page.get_by_label("Engine speed during")).to_be_focused()
    page.get_by_role("button", name="No change", exact=True).click()
    question.get_by_role("button", name="It was “Full drop”").click()
    at(page, "Cylinder 2")
    page.get_by_label("Engine speed during").fill("688")
    page.get_by_role("button", name="Full drop", exact=True).click()
    question.get_by_role("button", name="“Full drop” was found, keep it").click()
    at(page, "Cylinder 3")
    assert [body["finding"] for body in checks_of(page, case)] == ["full", "full"]


def test_a_finding_against_its_own_reading_is_asked_about_in_a_single_check_too(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/check/drop/3")
    page.get_by_role("radio", name="Unplugging the injector").click()
    page.get_by_label("Engine speed before").fill("690")
    page.get_by_label("Engine speed during").fill("602")
    page.get_by_role("button", name="No change", exact=True).click()
    page.get_by_role("alertdialog").get_by_role("button", name="It was “Full drop”").click()
    expect(page.get_by_role("heading", level=1, name="2011 Zedex Four")).to_be_visible()
    assert [body["finding"] for body in checks_of(page, case)] == ["full"]
