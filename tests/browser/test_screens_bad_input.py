"""Input that cannot be is refused in words and stays where it was typed; what may be is taken and asked about."""

import re

import pytest
from playwright.sync_api import Page, expect

from .conftest import run
from .worked_case import open_case, record, sign_in_here

HUNDRED_THOUSAND = ("P0301 and no end of words. " * 4000)[:100_000]


@pytest.fixture
def page(new_phone):
    return sign_in_here(new_phone(connected=True))


def paste(page: Page, label: str, text: str) -> None:
    field = page.get_by_label(label, exact=True)
    field.click()
    page.keyboard.insert_text(text)
    expect(field).to_have_value(text)


def kinds(page: Page, case: str) -> list[str]:
    return [entry["kind"] for entry in run(page, "log.entriesOf(arg)", case)]


def test_a_note_of_a_hundred_thousand_characters_is_refused_whole_and_can_be_shortened(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/note")
    paste(page, "Text", HUNDRED_THOUSAND)
    page.get_by_role("button", name="Keep the note").click()
    field = page.get_by_label("Text", exact=True)
    expect(field).to_be_focused()
    expect(field).to_have_accessible_description(re.compile("at most 4000 characters; this has 100000.*Shorten it"))
    expect(field).to_have_value(HUNDRED_THOUSAND)
    assert kinds(page, case) == ["case_opened"]
    field.fill(HUNDRED_THOUSAND[:4000])
    page.get_by_role("button", name="Keep the note").click()
    expect(page.get_by_role("navigation", name="Record", exact=True)).to_be_visible()
    assert kinds(page, case) == ["case_opened", "note"]


def test_a_note_of_a_hundred_thousand_characters_in_a_round_leaves_the_round_where_it_is(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/connector_look")
    page.get_by_role("button", name="Note", exact=True).click()
    paste(page, "Note", HUNDRED_THOUSAND)
    page.get_by_role("button", name="Good", exact=True).click()
    expect(page.get_by_role("alert")).to_contain_text("Note: at most 4000 characters; this has 100000.")
    expect(page.get_by_role("heading", level=2, name="Cylinder 1", exact=True)).to_be_visible()
    expect(page.get_by_label("Note", exact=True)).to_have_value(HUNDRED_THOUSAND)
    assert kinds(page, case) == ["case_opened"]


def test_a_vehicle_number_pasted_with_words_around_it_is_not_cut_and_offered_bare(page):
    page.goto("/#/new")
    paste(page, "VIN", "VIN: 2ZXHK5B7-2DF118346")
    expect(page.get_by_text("The check digit is right.")).to_be_visible()
    page.get_by_role("button", name="Take 2ZXHK5B72DF118346").click()
    expect(page.get_by_label("VIN", exact=True)).to_have_value("2ZXHK5B72DF118346")
    expect(page.get_by_role("button", name="Take ")).to_have_count(0)


def test_a_part_moved_to_where_another_sits_is_asked_about_and_the_answer_stands(page):
    """As an entry of another phone may say it: the screen that moves parts always swaps."""
    case = open_case(page)
    record(page, case, ("parts_moved", {"moves": [{"from": "coil.1", "to": "coil.3"}]}))
    page.goto(f"/#/case/{case}")
    drawing = page.get_by_role("group", name="Engine from above, 4 cylinders")
    expect(drawing.get_by_role("img", name="Coil place 3: the coil that came in at 1")).to_be_visible()
    expect(drawing.get_by_role("img", name="Coil place 1: empty")).to_be_visible()
    question = page.get_by_role("group", name="Where did the coil that came in at 3 go when another took its place?")
    question.get_by_role("button", name="Coil 1", exact=True).click()
    expect(question).to_have_count(0)
    expect(drawing.get_by_role("img", name="Coil place 1: the coil that came in at 3")).to_be_visible()
    assert kinds(page, case) == ["case_opened", "parts_moved", "answered"]


def test_two_moves_of_one_part_that_did_not_know_of_each_other_are_asked_about(page):
    case = open_case(page)
    swaps = [[("coil.3", "coil.1"), ("coil.1", "coil.3")], [("coil.3", "coil.2"), ("coil.2", "coil.3")]]
    for swap in swaps:
        moves = [{"part": f"{case}.{from_}", "from": from_, "to": to} for from_, to in swap]
        record(page, case, ("parts_moved", {"moves": moves}))
    page.goto(f"/#/case/{case}")
    questions = page.get_by_role("region", name="Questions")
    expect(questions).to_contain_text("Which is how the engine stands now?")
