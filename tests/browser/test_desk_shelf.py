"""The desk: cases found by anything in them, calls to make, the shelf and the bench, tags bound once."""

import re

import pytest
from playwright.sync_api import Page, expect

from .conftest import run
from .worked_case import WorkedCase, open_case, record, sign_in_here, tag_code, wait_until, worked_case

SLOW = 120_000  # ms; the core thinks slowly on a busy machine


@pytest.fixture
def desk(new_phone) -> Page:
    return sign_in_here(new_phone())


@pytest.fixture
def told(desk) -> WorkedCase:
    """A closed case in the shop; the coil that came at 3 is blamed and laid aside."""
    told = worked_case(desk, closed=True)
    cause = {
        "cause": "The coil that came at 3",
        "components": ["coil@3"],
        "later": [{"code": "P0455", "text": "By May"}],
    }
    record(desk, told.case, ("case_closed", cause))
    run(desk, "sync.syncNow()")
    return told


def find(page: Page, words: str) -> None:
    page.goto("/#/find")
    page.get_by_role("searchbox").fill(words)


def test_a_case_of_another_phone_is_found_and_fetched(desk, new_phone):
    run(desk, "sync.syncNow()")
    other = sign_in_here(new_phone())
    case = open_case(other)
    record(other, case, ("note", {"text": "Marten under the bonnet"}))
    run(other, "sync.syncNow()")
    find(desk, "marten bonn")
    found = desk.get_by_role("region", name="Found").get_by_role("listitem")
    expect(found).to_have_count(1)
    found.get_by_role("link").click()
    expect(desk.get_by_text("Marten under the bonnet")).to_be_visible(timeout=SLOW)
    desk.context.set_offline(True)
    find(desk, "marten")
    expect(desk.get_by_text("Only what is on this phone")).to_be_visible()
    expect(desk.get_by_role("region", name="Found").get_by_role("listitem")).to_have_count(1)


def test_a_search_of_ten_thousand_characters_says_what_to_give(desk):
    find(desk, "x" * 10_000)
    expect(desk.get_by_text("A search has 200 characters at most")).to_be_visible()
    expect(desk.get_by_role("searchbox")).to_have_attribute("aria-invalid", "true")


def test_cases_of_one_vehicle_lead_to_each_other(desk):
    plate = f"SV {tag_code(desk)[:5]}"
    first, second = run(desk, "log.newCaseId()"), run(desk, "log.newCaseId()")
    engine = {"cylinders": 4, "layout": "inline", "ignition": "coil_on_plug"}
    for case, written in ((first, plate), (second, plate.lower().replace(" ", "-"))):
        record(desk, case, ("case_opened", {"vehicle": {"plate": written}, "engine": engine}))
    desk.goto(f"/#/case/{first}")
    desk.get_by_role("region", name="This vehicle before and since").get_by_role("link").click()
    expect(desk).to_have_url(re.compile(second), timeout=SLOW)
    desk.get_by_role("region", name="This vehicle before and since").get_by_role("link").click()
    expect(desk).to_have_url(re.compile(first), timeout=SLOW)


def test_a_call_is_made_and_goes_into_its_case(desk, told):
    desk.goto("/#/calls")
    call = desk.get_by_role("listitem").filter(has=desk.locator(f'a[href*="{told.case}"]'))
    expect(call).to_have_count(1)
    expect(call).to_contain_text("P0455")
    call.get_by_role("button", name="What came of it").click()
    call.get_by_role("button", name="They come for it").click()
    expect(call).to_have_count(0, timeout=SLOW)
    answers = [e["body"]["answer"] for e in run(desk, "log.entriesOf(arg)", told.case) if e["kind"] == "answered"]
    assert answers == ["comes"]


def test_a_good_coil_that_was_blamed_is_shown_so_on_the_shelf_and_in_the_case(desk, told):
    desk.goto("/#/shelf")
    row = desk.get_by_role("listitem").filter(has=desk.locator(f'a[href*="{told.case}"]')).first
    expect(row).to_contain_text("Bench test")
    row.get_by_role("link").first.click()
    desk.get_by_role("button", name="Where it is now").click(timeout=SLOW)
    desk.get_by_label("Bench-tested").check()
    desk.get_by_label("Good", exact=True).check()
    desk.get_by_role("button", name="Keep where it is").click()
    expect(desk.get_by_text("Blamed, and good on the bench")).to_be_visible(timeout=SLOW)
    run(desk, "sync.syncNow()")
    desk.goto("/#/shelf")
    expect(row).to_contain_text("Blamed in its case, and good on the bench.")
    desk.goto(f"/#/case/{told.case}")
    expect(desk.get_by_text("The cause is in doubt")).to_be_visible(timeout=SLOW)


def test_a_tag_that_hangs_on_a_part_is_not_bound_again_unasked(desk, told):
    desk.goto(f"/#/case/{told.case}/tag/{told.case}.coil.2")
    desk.get_by_label("Code under the square").fill(told.tag)
    desk.get_by_role("button", name="Bind this tag").click()
    expect(desk.get_by_text("hangs on the coil that came at 3 already")).to_be_visible(timeout=SLOW)
    assert bound(desk, told) == [told.coil]
    desk.get_by_role("button", name="Move it here").click()
    expect(desk.get_by_role("heading", level=1, name="Label")).to_be_visible(timeout=SLOW)
    assert bound(desk, told) == [told.coil, f"{told.case}.coil.2"]
    view = run(desk, "core.ask('view', {entries: await log.entriesOf(arg)})", told.case)
    assert view["questions"] == []


def test_a_tag_printed_ahead_is_bound_without_a_signal_from_its_address(desk):
    """As a phone's own camera opens it."""
    case, code = open_case(desk), tag_code(desk)
    desk.goto(f"/#/tag/{code}")
    expect(desk.get_by_text("not bound to a part yet")).to_be_visible(timeout=SLOW)
    wait_until(desk, "Promise.resolve(Boolean(navigator.serviceWorker.controller))")
    desk.context.set_offline(True)
    desk.goto("/#/tags")
    desk.goto(f"/#/tag/{code.lower()}")
    desk.locator(f'a[href*="{case}"]').click(timeout=SLOW)
    expect(desk.get_by_label("Code under the square")).to_have_value(code, timeout=SLOW)
    desk.get_by_label("The coil that came at 2").check()
    desk.get_by_role("button", name="Bind this tag").click()
    expect(desk.get_by_role("heading", level=1, name="Label")).to_be_visible(timeout=SLOW)
    bound_now = [e["body"] for e in run(desk, "log.entriesOf(arg)", case) if e["kind"] == "tag_bound"]
    assert bound_now == [{"code": code, "part": f"{case}.coil.2"}]


def test_printed_ahead_tags_come_as_a_file(desk):
    desk.goto("/#/print-tags")
    count = desk.get_by_label("How many")
    count.fill("0")
    desk.get_by_role("button", name="Make the file").click()
    expect(desk.get_by_text("Give a whole number from 1 to 300.")).to_be_visible()
    count.fill("2")
    with desk.expect_download() as download:
        desk.get_by_role("button", name="Make the file").click()
    assert download.value.path().read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize("width", [390, 820, 1440])
def test_nothing_runs_over_the_edge(desk, told, width):
    desk.set_viewport_size({"width": width, "height": 900})
    for path in ("find", "shelf", "brands", "calls", "print-tags"):
        desk.goto(f"/#/{path}")
        expect(desk.get_by_role("heading", level=1)).to_be_visible()
        expect(desk.locator("main [aria-busy=true]")).to_have_count(0, timeout=SLOW)
        assert desk.evaluate("() => document.documentElement.scrollWidth <= innerWidth"), path


def bound(page: Page, told: WorkedCase) -> list[str]:
    entries = run(page, "log.entriesOf(arg)", told.case)
    return [e["body"]["part"] for e in entries if e["kind"] == "tag_bound" and e["body"]["code"] == told.tag]
