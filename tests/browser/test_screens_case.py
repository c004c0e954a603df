"""The case at one glance: what follows from the log, what it rests on, and what is struck out."""

import pytest
from playwright.sync_api import expect

from coiltrail.core import checks

from .conftest import run
from .worked_case import drop_round, open_case, record, sign_in_here, take_photo

THOUGHT_MS = 120_000  # the diagnosis on a busy machine: a limit for what hangs, not a measurement


@pytest.fixture
def page(new_phone):
    return sign_in_here(new_phone())


def test_a_dead_cylinder_shows_in_the_drawing_by_words_and_leads_to_its_suspects(page):
    case = open_case(page)
    drop_round(page, case, dead=3)
    page.goto(f"/#/case/{case}")
    drawing = page.get_by_role("group", name="Engine from above, 4 cylinders")
    expect(drawing.get_by_text("dead", exact=True)).to_have_count(1)
    expect(drawing.get_by_text("runs", exact=True)).to_have_count(3)
    expect(drawing.get_by_role("link", name="Cylinder 3, suspect")).to_be_visible(timeout=THOUGHT_MS)
    drawing.get_by_role("link", name="Cylinder 3, suspect").click()
    suspects = page.get_by_role("main").get_by_role("listitem").filter(has_text="%")
    expect(suspects.first).to_contain_text("oil")
    expect(page.get_by_role("link", name="Drop test: No change")).to_be_visible()


def test_an_explanation_opens_into_its_findings_and_a_finding_opens_its_photo(page):
    case = open_case(page)
    (look,) = record(page, case, ("check", {"check": "connector_look", "place": "coil.3", "finding": "latch_broken"}))
    photo = take_photo(page) | {"shows": "connector", "place": "coil.3", "of": look["id"]}
    record(page, case, ("photo", photo))
    drop_round(page, case, dead=3)
    page.goto(f"/#/case/{case}")
    explanations = page.get_by_role("region", name="What it may be")
    first = explanations.get_by_role("button").first
    expect(first).to_be_visible(timeout=THOUGHT_MS)
    first.click()
    expect(first).to_have_attribute("aria-expanded", "true")
    expect(explanations.get_by_text("Together")).to_be_visible(timeout=THOUGHT_MS)
    explanations.get_by_role("img", name="Coil connector, coil 3").click()
    expect(page.get_by_role("heading", level=1, name="Coil connector, coil 3")).to_be_attached()
    page.get_by_role("button", name="Close", exact=True).click()
    expect(explanations).to_be_visible()


def test_the_next_step_leads_to_where_it_is_recorded_filled_in(page):
    case = open_case(page)
    record(page, case, ("codes_read", {"codes": [{"code": "P0303", "status": "stored"}], "complete": True}))
    drop_round(page, case, dead=3)
    page.goto(f"/#/case/{case}")
    step = page.get_by_role("region", name="Next step").get_by_role("button").first
    expect(step).to_contain_text("min", timeout=THOUGHT_MS)
    step.click()
    expect(page.get_by_role("heading", level=1, name="2011 Zedex Four")).to_have_count(0)
    expect(page.get_by_role("main")).to_contain_text("3")


def test_an_entry_is_struck_out_with_a_reason_and_stays_legible(page):
    case = open_case(page)
    record(page, case, ("note", {"text": "Wrong car"}))
    page.goto(f"/#/case/{case}")
    story = page.get_by_role("region", name="Story")
    story.get_by_role("link", name="Wrong car").click()
    page.get_by_role("button", name="Strike out").click()
    page.get_by_role("button", name="Strike it out").click()
    expect(page.get_by_text("Why: say in a word or two why it does not count.")).to_be_visible()
    page.get_by_label("Why does it not count").fill("Typed in the wrong case")
    page.get_by_role("button", name="Strike it out").click()
    expect(story.get_by_role("link", name="Wrong car struck out")).to_be_visible()
    entries = run(page, "log.entriesOf(arg)", case)
    assert [entry["kind"] for entry in entries] == ["case_opened", "note", "struck"]


def test_the_last_known_case_stands_at_once_where_the_core_cannot_be_had(new_phone):
    phone = new_phone()
    page = sign_in_here(phone)
    case = open_case(page)
    drop_round(page, case, dead=2)
    page.goto(f"/#/case/{case}")
    drawing = page.get_by_role("group", name="Engine from above, 4 cylinders")
    expect(drawing.get_by_role("link", name="Cylinder 2, suspect")).to_be_visible(timeout=THOUGHT_MS)
    phone.route("**/core.json", lambda route: route.abort())
    phone.route("**/sw.js*", lambda route: route.abort())
    page.goto("/#/")
    page.reload()
    page.goto(f"/#/case/{case}")
    expect(drawing.get_by_role("link", name="Cylinder 2, suspect")).to_be_visible()


def test_a_case_that_is_not_here_says_so(page):
    page.goto("/#/case/01890000-0000-7000-8000-000000000001")
    expect(page.get_by_role("heading", level=1, name="Not on this phone")).to_be_visible()


def test_a_note_and_a_photo_are_kept_with_the_cylinder_they_are_about(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/note")
    page.get_by_label("Text", exact=True).fill("Ticks when warm")
    page.get_by_role("radio", name="2", exact=True).check()
    page.get_by_role("button", name="Keep the note").click()
    expect(page.get_by_role("region", name="Story").get_by_role("link", name="Ticks when warm")).to_be_visible()
    page.goto(f"/#/case/{case}/note")
    page.get_by_role("button", name="Keep the note").click()
    expect(page.get_by_label("Text", exact=True)).to_be_focused()
    notes = [entry["body"] for entry in run(page, "log.entriesOf(arg)", case) if entry["kind"] == "note"]
    assert notes == [{"text": "Ticks when warm", "cylinder": 2}]


def test_a_part_proved_bad_comes_with_the_sums_for_one_or_the_set_and_how_far_to_trust_it(page):
    case = open_case(page)
    drop_round(page, case, dead=3)
    swap = {"moves": [{"from": "coil.3", "to": "coil.1"}, {"from": "coil.1", "to": "coil.3"}]}
    record(page, case, ("parts_moved", swap))
    drop_round(page, case, dead=1)
    page.goto(f"/#/case/{case}")
    sums = page.get_by_role("region", name="One or the set")
    expect(sums.get_by_role("row")).to_have_count(3, timeout=THOUGHT_MS)
    now, later, together = (int(text) for text in sums.get_by_role("row").nth(1).get_by_role("cell").all_inner_texts())
    assert abs(now + later - together) <= 1
    page.get_by_role("button", name="How far to trust this").click()
    expect(page.locator(".trust")).to_contain_text("number", timeout=2 * THOUGHT_MS)


def test_only_what_the_van_holds_is_proposed_and_the_case_says_so(page):
    case = open_case(page)
    drop_round(page, case, dead=3)
    page.goto("/#/van")
    expect(page.get_by_role("checkbox", checked=True)).to_have_count(len(checks.TOOLS))
    page.get_by_role("button", name="Nothing but hands").click()
    expect(page.get_by_role("checkbox", checked=True)).to_have_count(0)
    page.goto(f"/#/case/{case}")
    step = page.get_by_role("region", name="Next step")
    expect(step.get_by_role("button").first).to_contain_text("min", timeout=THOUGHT_MS)
    expect(step.get_by_text("Needs:")).to_have_count(0)
    step.get_by_role("link", name=f"Without {len(checks.TOOLS)} tools: what is in the van").click()
    page.get_by_role("button", name="All of it").click()
    page.goto(f"/#/case/{case}")
    expect(step.get_by_role("link")).to_have_count(0)


def test_a_question_that_is_the_next_step_is_answered_on_a_sheet(page):
    case = open_case(page)
    drop_round(page, case, dead=3)
    record(page, case, ("parts_moved", {"moves": [{"from": "coil.3", "to": "unknown"}]}))
    page.goto(f"/#/case/{case}")
    step = page.get_by_role("region", name="Next step").locator(".first").get_by_role("button")
    expect(step).to_contain_text("?", timeout=THOUGHT_MS)
    step.click()
    sheet = page.get_by_role("dialog", name="A question")
    sheet.get_by_role("button").nth(1).click()
    expect(sheet).to_have_count(0)
    assert run(page, "log.entriesOf(arg)", case)[-1]["kind"] == "answered"


def test_how_a_place_is_reached_is_set_by_one_tap(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/cylinder/3")
    page.get_by_role("group", name="Coil 3").get_by_label("Tight, by feel").check()
    expect(page.get_by_text("Saved on this phone")).to_be_visible()
    noted = run(page, "log.entriesOf(arg)", case)[-1]
    assert noted["kind"] == "part_noted"
    assert noted["body"] == {"part": f"{case}.coil.3", "kind": "coil", "place": "coil.3", "reach": "tight"}
    expect(page.get_by_role("group", name="Coil 3").get_by_label("Tight, by feel")).to_be_checked()


def test_a_long_engine_leaves_the_next_step_on_the_screen(page):
    case = open_case(page, cylinders=6, orientation="lengthways")
    drop_round(page, case, dead=3)
    page.goto(f"/#/case/{case}")
    step = page.get_by_role("region", name="Next step").get_by_role("button").first
    expect(step).to_contain_text("min", timeout=THOUGHT_MS)
    keys = page.get_by_role("navigation", name="Record", exact=True).bounding_box()
    line = step.bounding_box()
    assert line["y"] + line["height"] <= keys["y"]


def test_a_new_case_keeps_what_closed_cases_taught(page):
    case = open_case(page)
    cause = {"cause": "The coil that came at 3", "components": ["coil@3"]}
    record(page, case, ("case_closed", cause))
    page.goto("/#/learned")
    row = page.get_by_role("region", name="How often it is at fault").get_by_role("row", name="Coil 5")
    expect(row).to_contain_text(" of ", timeout=THOUGHT_MS)
    page.goto("/#/new")
    page.get_by_role("button", name="Open the case").click()
    expect(page.get_by_role("region", name="Story")).to_be_visible()
    newest = run(page, "log.caseList()")[0]["case"]
    opened = run(page, "log.entriesOf(arg)", newest)[0]["body"]
    assert newest != case and opened["table"]["priors"]["coil"] > 0.05 and opened["table"]["version"] != "default"
