"""Conditions: the road test starts from those of the complaint, and a check asks only for those that matter to it."""

import pytest
from playwright.sync_api import Page, expect

from .conftest import run
from .worked_case import open_case, record, reload_kept, sign_in_here


@pytest.fixture
def page(new_phone) -> Page:
    return sign_in_here(new_phone(connected=True))


def conditions(page: Page):
    return page.get_by_role("group", name="Conditions")


def test_the_road_test_begins_with_what_the_complaint_says(page):
    case = open_case(page)
    record(page, case, ("complaint", {"symptoms": ["shakes"], "circumstances": ["load", "cold", "sometimes"]}))
    page.goto(f"/#/case/{case}/drive")
    expect(conditions(page).get_by_label("Under load")).to_be_checked()
    expect(conditions(page).get_by_label("Cold", exact=True)).to_be_checked()
    expect(conditions(page).get_by_label("Hot", exact=True)).not_to_be_checked()
    conditions(page).get_by_label("Cold", exact=True).uncheck()
    reload_kept(page)
    expect(conditions(page).get_by_label("Under load")).to_be_checked()
    expect(conditions(page).get_by_label("Cold", exact=True)).not_to_be_checked()


def test_a_look_with_the_engine_off_asks_for_no_conditions(page):
    case = open_case(page)
    for check in ("connector_look", "plug_look"):
        page.goto(f"/#/case/{case}/check/{check}")
        expect(page.get_by_role("group", name="Finding")).to_be_visible()
        expect(page.get_by_label("Note")).to_be_visible()
        expect(conditions(page)).to_have_count(0)
    page.goto(f"/#/case/{case}/check/drop")
    expect(conditions(page).get_by_role("checkbox")).to_have_count(4)
    expect(conditions(page).get_by_label("Under load")).to_have_count(0)


def test_counters_of_a_round_are_kept_with_the_condition_under_which_it_misses(page):
    case = open_case(page)
    record(page, case, ("complaint", {"symptoms": ["jerks"], "circumstances": ["load"]}))
    page.goto(f"/#/case/{case}/round/misfire_counts")
    expect(conditions(page).get_by_label("Under load")).to_be_checked()
    conditions(page).get_by_label("Hot", exact=True).check()
    page.get_by_role("button", name="Some", exact=True).click()
    expect(page.get_by_role("heading", name="Cylinder 2")).to_be_visible()
    page.get_by_role("button", name="None", exact=True).click()
    expect(page.get_by_role("heading", name="Cylinder 3")).to_be_visible()
    counted = [e["body"] for e in run(page, "log.entriesOf(arg)", case) if e["kind"] == "check"]
    assert [sorted(body["conditions"]) for body in counted] == [["hot", "load"], ["hot", "load"]]


def test_on_an_engine_of_two_banks_the_trims_are_kept_with_their_bank(page):
    case = open_case(page, cylinders=6, layout="vee")
    page.goto(f"/#/case/{case}/check/fuel_trim")
    page.get_by_role("group", name="Bank").get_by_role("radio", name="Bank 2").check()
    page.get_by_role("group", name="Finding").get_by_role("button", name="Rich").click()
    expect(page.get_by_role("navigation", name="Record")).to_be_visible()
    [read] = [e["body"] for e in run(page, "log.entriesOf(arg)", case) if e["kind"] == "check"]
    assert (read["bank"], read["finding"]) == ("2", "rich")
    inline = open_case(page)
    page.goto(f"/#/case/{inline}/check/fuel_trim")
    expect(page.get_by_label("Short trim at idle")).to_be_visible()
    expect(page.get_by_role("group", name="Bank")).to_have_count(0)
