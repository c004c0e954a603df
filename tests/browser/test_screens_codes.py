"""Codes: typed, found in any text, compared after clearing; recorded even where the core is away."""

import re

import pytest
from playwright.sync_api import Page, expect

from .conftest import run
from .worked_case import open_case, record, sign_in_here, wait_until


@pytest.fixture
def page(new_phone):
    return sign_in_here(new_phone(connected=True))


def to_codes(page: Page, case: str) -> None:
    page.goto(f"/#/case/{case}/codes")
    expect(page.get_by_label("Code", exact=True)).to_be_visible()


def add(page: Page, code: str) -> None:
    page.get_by_label("Code", exact=True).fill(code)
    page.get_by_role("button", name="Add", exact=True).click()


def readings(page: Page, case: str) -> list[dict]:
    return [entry["body"] for entry in run(page, "log.entriesOf(arg)", case) if entry["kind"] == "codes_read"]


def test_a_code_is_explained_while_it_is_typed_and_kept_with_its_status(page):
    case = open_case(page)
    to_codes(page, case)
    page.get_by_label("Code", exact=True).press_sequentially("p0303")
    expect(page.get_by_text("Misfire on cylinder 3")).to_be_visible()
    page.get_by_role("radio", name="Pending").check()
    page.keyboard.press("Shift+Tab")
    page.get_by_role("button", name="Add", exact=True).click()
    page.get_by_role("checkbox", name="This is the whole list").check()
    page.get_by_role("button", name="Keep 1 code").click()
    expect(page.get_by_role("navigation", name="Record")).to_be_visible()
    (kept,) = readings(page, case)
    assert kept == {"codes": [{"code": "P0303", "status": "pending"}], "complete": True, "obtained": "typed"}


@pytest.mark.parametrize("typed", ["P9303", "X0303", "P03", "P03031"])
def test_what_is_no_code_is_refused_and_stays_in_the_field(page, typed):
    to_codes(page, open_case(page))
    add(page, typed)
    expect(page.get_by_label("Code", exact=True)).to_have_attribute("aria-invalid", "true")
    expect(page.get_by_label("Code", exact=True)).to_have_value(typed)
    expect(page.get_by_role("region", name="This reading")).to_have_count(0)


def test_codes_are_found_in_pasted_text_and_the_rest_is_shown_and_kept(page):
    case = open_case(page)
    to_codes(page, case)
    page.get_by_text("Paste a text with codes in it").click()
    text = "Stored: P0303 Cylinder 3 misfire\nPending: P0442\nsee you at nine"
    page.get_by_label("Text from a reader or a message").fill(text)
    page.get_by_role("button", name="Find codes in it").click()
    expect(page.get_by_text("2 codes found.")).to_be_visible()
    expect(page.get_by_text("see you at nine", exact=True)).to_be_visible()
    page.get_by_label("Status of P0442").select_option("stored")
    page.get_by_role("button", name="Take P0303 out").click()
    page.get_by_role("button", name="Keep 1 code").click()
    expect(page.get_by_role("navigation", name="Record")).to_be_visible()
    (kept,) = readings(page, case)
    assert kept["codes"] == [{"code": "P0442", "status": "stored"}]
    assert (kept["raw"], kept["not_understood"], kept["obtained"]) == (text, "see you at nine", "pasted")


def test_a_pasted_text_is_searched_before_anything_is_kept(page):
    case = open_case(page)
    to_codes(page, case)
    page.get_by_text("Paste a text with codes in it").click()
    page.get_by_role("checkbox", name="This is the whole list").check()
    page.get_by_label("Text from a reader or a message").fill("P0302, P0300, P0420 pending")
    expect(page.get_by_role("button", name=re.compile("^Keep"))).to_have_count(0)
    page.get_by_role("button", name="Find the codes in the text first").click()
    expect(page.get_by_role("button", name="Keep 3 codes")).to_be_visible()
    expect(page.get_by_text("Is it meant for P0302, P0300 too?")).to_be_visible()
    expect(page.get_by_label("Status of P0302")).to_have_value("stored")
    expect(page.get_by_label("Status of P0420")).to_have_value("pending")
    page.get_by_role("button", name="For all: Pending").click()
    expect(page.get_by_text("Is it meant for")).to_have_count(0)
    page.get_by_role("button", name="Keep 3 codes").click()
    expect(page.get_by_role("navigation", name="Record")).to_be_visible()
    (kept,) = readings(page, case)
    assert kept["codes"] == [{"code": code, "status": "pending"} for code in ("P0302", "P0300", "P0420")]


def test_a_text_of_a_hundred_thousand_characters_is_searched_and_the_page_stays_usable(page):
    case = open_case(page)
    to_codes(page, case)
    page.get_by_text("Paste a text with codes in it").click()
    page.get_by_label("Text from a reader or a message").fill("P0301 stored\n" + "noise " * 16_700)
    page.get_by_role("button", name="Find codes in it").click()
    expect(page.get_by_label("Status of P0301")).to_be_visible(timeout=60_000)
    page.get_by_role("button", name="Keep 1 code").click()
    expect(page.get_by_role("navigation", name="Record")).to_be_visible()
    (kept,) = readings(page, case)
    assert kept["codes"] == [{"code": "P0301", "status": "stored"}]


def test_a_whole_list_without_any_code_can_be_kept(page):
    case = open_case(page)
    to_codes(page, case)
    page.get_by_role("button", name="Keep: no codes").click()
    expect(page.get_by_role("navigation", name="Record")).to_be_visible()
    assert readings(page, case) == [{"codes": [], "complete": True}]


def test_read_again_after_clearing_says_what_returned_what_is_new_and_what_stayed_away(page):
    case = open_case(page)
    before = [{"code": code, "status": "stored"} for code in ("P0303", "P0420")]
    record(page, case, ("codes_read", {"codes": before}), ("codes_cleared", {"how": "reader"}))
    to_codes(page, case)
    expect(page.get_by_role("region", name="Codes")).to_be_visible()
    add(page, "P0420")
    add(page, "P0171")
    against = page.get_by_role("region", name="Against the reading before")
    expect(against.get_by_role("term")).to_have_text(
        ["Returned after clearing", "New since clearing", "Not in this list so far"]
    )
    page.get_by_role("checkbox", name="This is the whole list").check()
    expect(against.get_by_role("term").last).to_have_text("Stayed away")
    expect(against.get_by_role("definition")).to_have_text(["P0420", "P0171", "P0303"])


def test_codes_are_recorded_where_the_core_cannot_be_had(new_phone):
    phone = new_phone()
    phone.route("**/core.pack", lambda route: route.abort())
    page = sign_in_here(phone)
    case = open_case(page)
    to_codes(page, case)
    add(page, "P0303")
    page.get_by_role("button", name="Keep 1 code").click()
    expect(page.get_by_text("The case could not be put together")).to_be_visible(timeout=60_000)
    expect(page.get_by_role("region", name="Story").get_by_role("link", name="Codes read")).to_be_visible()
    assert readings(page, case)[0]["codes"] == [{"code": "P0303", "status": "stored"}]


def test_half_typed_codes_are_there_again_after_a_reload(page):
    case = open_case(page)
    to_codes(page, case)
    add(page, "P0303")
    page.get_by_label("Code", exact=True).fill("P01")
    wait_until(page, "drafts.kept(arg).then((kept) => kept?.typed === 'P01')", f"form/{case}/codes")
    page.reload()
    expect(page.get_by_label("Code", exact=True)).to_have_value("P01")
    expect(page.get_by_label("Status of P0303")).to_have_value("stored")


def test_a_slip_of_look_alike_characters_is_put_right_by_one_tap(page):
    case = open_case(page)
    to_codes(page, case)
    page.get_by_label("Code", exact=True).press_sequentially("po304")
    page.get_by_role("button", name="Is it P0304? Add it").click()
    expect(page.get_by_label("Status of P0304")).to_be_visible()
    expect(page.get_by_label("Code", exact=True)).to_have_value("")
    expect(page.get_by_label("Code", exact=True)).to_be_focused()
    page.get_by_role("button", name="Keep 1 code").click()
    expect(page.get_by_role("navigation", name="Record")).to_be_visible()
    assert [kept["codes"] for kept in readings(page, case)] == [[{"code": "P0304", "status": "stored"}]]


def test_a_slip_that_is_typed_over_stays_offered_until_it_is_taken_or_put_away(page):
    to_codes(page, open_case(page))
    code = page.get_by_label("Code", exact=True)
    code.press_sequentially("po304")
    meant = page.get_by_role("button", name="Is it P0304? Add it")
    expect(meant).to_be_visible()
    code.fill("P04")
    meant.click()
    expect(page.get_by_label("Status of P0304")).to_be_visible()
    expect(code).to_have_value("P04")
    code.fill("po305")
    page.get_by_role("button", name="Not P0305", exact=True).click()
    expect(page.get_by_role("button", name=re.compile("P0305"))).to_have_count(0)


def test_a_code_still_in_the_field_is_kept_with_the_others(page):
    case = open_case(page)
    to_codes(page, case)
    expect(page.get_by_label("Code", exact=True)).to_be_focused()
    add(page, "P0303")
    page.get_by_label("Code", exact=True).press_sequentially("p0442")
    page.get_by_role("button", name="Keep 2 codes").click()
    expect(page.get_by_role("navigation", name="Record")).to_be_visible()
    assert [code["code"] for code in readings(page, case)[0]["codes"]] == ["P0303", "P0442"]


def test_half_a_code_in_the_field_holds_the_reading_back(page):
    case = open_case(page)
    to_codes(page, case)
    page.get_by_label("Code", exact=True).press_sequentially("P03")
    page.get_by_role("button", name="Keep the codes").click()
    expect(page.get_by_text("This is no code yet: finish it, or empty the field.")).to_be_visible()
    expect(page.get_by_label("Code", exact=True)).to_be_focused()
    assert readings(page, case) == []


def test_a_code_of_a_cylinder_that_the_engine_has_not_is_doubted_and_kept_all_the_same(page):
    case = open_case(page)
    to_codes(page, case)
    add(page, "P0309")
    expect(page.get_by_text("This engine has 4 cylinders: read it once more.")).to_be_visible()
    page.get_by_role("button", name="Keep 1 code").click()
    expect(page.get_by_role("heading", level=1, name="2011 Zedex Four")).to_be_visible()
    assert [body["codes"][0]["code"] for body in readings(page, case)] == ["P0309"]


def test_an_empty_screen_offers_no_codes_as_a_plain_key(page):
    case = open_case(page)
    to_codes(page, case)
    expect(page.get_by_role("button", name="Keep: no codes")).not_to_have_class(re.compile("main"))
    add(page, "P0302")
    expect(page.get_by_role("button", name="Keep 1 code")).to_have_class(re.compile("main"))
