"""The complaint taken later: what is added leaves standing what was said, at the time when it was said."""

import pytest
from playwright.sync_api import Page, expect

from .conftest import run
from .worked_case import open_case, record, sign_in_here

SAID = {"symptoms": ["shakes"], "circumstances": ["load"], "lamp": "flashing"}


@pytest.fixture
def page(new_phone) -> Page:
    return sign_in_here(new_phone(connected=True))


def complaints(page: Page, case: str) -> list[dict]:
    return [entry for entry in run(page, "log.entriesOf(arg)", case) if entry["kind"] == "complaint"]


def test_words_added_later_join_the_complaint_and_its_time(page):
    case = open_case(page)
    (said,) = record(page, case, ("complaint", SAID))
    record(page, case, ("note", {"text": "Between"}))
    page.goto(f"/#/case/{case}/complaint")
    expect(page.get_by_role("checkbox", name="Shakes")).to_be_checked()
    page.get_by_label("In the customer's words").fill("On the hill")
    page.get_by_role("button", name="Keep the complaint").click()
    expect(page.get_by_text("The lamp flashes: do not drive")).to_be_visible(timeout=60_000)
    expect(page.get_by_text("“On the hill”").first).to_be_visible()
    first, later = complaints(page, case)
    assert later["body"] == SAID | {"words": "On the hill"}
    assert later["when"] == {"ms": said["at"][0]}
    (struck,) = [entry for entry in run(page, "log.entriesOf(arg)", case) if entry["kind"] == "struck"]
    assert struck["body"] == {"entry": first["id"], "why": "Put right"}


def test_a_complaint_that_has_changed_stands_beside_what_was_said(page):
    case = open_case(page)
    record(page, case, ("complaint", SAID))
    page.goto(f"/#/case/{case}/complaint")
    page.get_by_role("radio", name="It has changed since").check()
    page.get_by_role("radio", name="Steady").check()
    page.get_by_role("button", name="Keep the complaint").click()
    expect(page.get_by_role("navigation", name="Record", exact=True)).to_be_visible()
    first, later = complaints(page, case)
    assert (first["body"], later["body"], later["when"]) == (SAID, SAID | {"lamp": "steady"}, None)
    assert not [entry for entry in run(page, "log.entriesOf(arg)", case) if entry["kind"] == "struck"]


def test_what_cannot_be_is_refused_at_its_field_when_it_is_put_right(page):
    case = open_case(page)
    record(page, case, ("complaint", SAID))
    page.goto(f"/#/case/{case}/complaint")
    page.get_by_label("Since", exact=True).fill("2999-01-01")
    page.get_by_role("button", name="Keep the complaint").click()
    expect(page.get_by_label("Since", exact=True)).to_be_focused()
    assert len(complaints(page, case)) == 1
