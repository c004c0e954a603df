"""The desk: cases found by anything in them, calls to make, the shelf and the bench, tags bound once."""

import contextlib
import re

import pypdfium2
import pytest
import zxingcpp
from playwright.sync_api import Page, expect

from .conftest import run
from .worked_case import WorkedCase, open_case, record, sign_in_here, tag_code, wait_until, worked_case

PUSHED_SIDEWAYS = """(all) => all.filter((one) => /auto|scroll/.test(getComputedStyle(one).overflowX))
    .filter((one) => one.scrollWidth > one.clientWidth).map((one) => one.className)"""
SLOW = 120_000  # ms; the core thinks slowly on a busy machine
IN_SHOP = "async (q) => (await import('/app/find-cases.js')).inShop({ q })"


@pytest.fixture
def desk(new_phone) -> Page:
    return sign_in_here(new_phone(connected=True))


@pytest.fixture
def told(desk) -> WorkedCase:
    """A closed case in the shop; the coil that came in at 3 is blamed and laid aside."""
    told = worked_case(desk, closed=True)
    cause = {
        "cause": "The coil that came in at 3",
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
    expect(desk.get_by_text("Only what is on this device")).to_be_visible()
    expect(desk.get_by_role("region", name="Found").get_by_role("listitem")).to_have_count(1)


def test_a_search_of_ten_thousand_characters_says_what_to_give(desk):
    find(desk, "x" * 10_000)
    expect(desk.get_by_text("A search has 200 characters at most")).to_be_visible()
    expect(desk.get_by_role("searchbox")).to_have_attribute("aria-invalid", "true")


def test_one_search_finds_a_plate_however_it_is_typed_in_the_list_and_the_shop_and_stays_meanwhile(desk):
    for _ in range(6):
        open_case(desk)
    plate = f"FB {tag_code(desk)}"
    case = run(desk, "log.newCaseId()")
    engine = {"cylinders": 4, "layout": "inline", "ignition": "coil_on_plug"}
    vehicle = {"make": "Quill", "plate": f"{plate[:6]} {plate[6:]}"}
    record(desk, case, ("case_opened", {"vehicle": vehicle, "engine": engine}))
    run(desk, "sync.syncNow()")
    desk.goto("/#/")
    listed = desk.locator(".case-list").get_by_role("listitem")
    joined = plate.replace(" ", "")
    for typed in (joined.lower(), f"{joined[:4]}-{joined[4:]}", f"{plate[:7]}.{plate[7:]}"):
        desk.get_by_label("Search the cases").fill(typed)
        expect(listed).to_have_count(1)
    desk.get_by_role("link", name="Look in the whole shop").click()
    expect(desk.get_by_role("searchbox")).to_have_value(typed)
    found = desk.get_by_role("region", name="Found").get_by_role("listitem")
    expect(found).to_have_count(1)
    found.get_by_role("link").click()
    expect(desk.get_by_role("heading", level=1, name="Quill")).to_be_visible()
    desk.go_back()
    expect(desk.get_by_role("searchbox")).to_have_value(typed)
    expect(found).to_have_count(1)
    desk.go_back()
    expect(desk.get_by_label("Search the cases")).to_have_value(typed)
    expect(listed).to_have_count(1)


def test_the_list_finds_a_case_by_anything_that_was_recorded_in_it(desk):
    for _ in range(6):
        open_case(desk)
    case = run(desk, "log.newCaseId()")
    engine = {"cylinders": 4, "layout": "inline", "ignition": "coil_on_plug"}
    word = f"marten{tag_code(desk)}".lower()
    record(desk, case, ("case_opened", {"vehicle": {"make": "Quill"}, "engine": engine}))
    record(desk, case, ("complaint", {"symptoms": ["smell"], "words": f"A {word} lives there"}))
    record(desk, case, ("check", {"check": "plug_look", "place": "plug.2", "finding": "tracked"}))
    desk.goto("/#/")
    listed = desk.locator(".case-list").get_by_role("listitem")
    search = desk.get_by_label("Search the cases")
    for typed in (word, "smells of fuel", "track on the outside"):
        search.fill(typed)
        expect(listed.filter(has=desk.locator(f'a[href*="{case}"]'))).to_have_count(1)
    search.fill(word + "x")
    expect(desk.get_by_text("No case on this device has these words.")).to_be_visible()
    run(desk, "sync.syncNow()")
    for chosen, found in (("huele gasolina", [case]), ("track outside", [case]), ("tracked down", [])):
        hits = desk.evaluate(IN_SHOP, f"{word} {chosen}")["cases"]
        assert [hit["case"] for hit in hits] == found, chosen


def test_a_desk_without_a_case_is_not_sent_to_a_list_of_none_nor_told_of_sending_what_is_sent(desk):
    desk.set_viewport_size({"width": 1440, "height": 900})
    desk.route("**/api/sync", lambda route: None)  # never answered
    desk.goto("/#/")
    desk.reload()
    expect(desk.get_by_role("heading", level=1, name="Cases")).to_be_visible()
    strip = desk.get_by_role("navigation", name="Device and shop")
    expect(strip).to_contain_text("All sent to the shop")
    wait_until(desk, "Promise.resolve(syncState.syncState.value.busy)")
    expect(strip).not_to_contain_text("Sending")
    expect(desk.get_by_text("Choose a case on the left")).to_have_count(0)
    open_case(desk)
    expect(desk.get_by_text("Choose a case on the left")).to_be_visible()


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
    expect(desk.get_by_text("hangs on the coil that came in at 3 already")).to_be_visible(timeout=SLOW)
    assert bound(desk, told) == [told.coil]
    desk.get_by_role("button", name="Move it here").click()
    expect(desk.get_by_role("heading", level=1, name="Label")).to_be_visible(timeout=SLOW)
    assert bound(desk, told) == [told.coil, f"{told.case}.coil.2"]
    view = run(desk, "core.ask('view', {entries: await log.entriesOf(arg)})", told.case)
    assert view["questions"] == []


def test_a_tag_printed_ahead_is_bound_without_a_signal_from_its_address(new_phone):
    """As a phone's own camera opens it."""
    desk = sign_in_here(new_phone())
    case, code = open_case(desk), tag_code(desk)
    desk.goto(f"/#/tag/{code}")
    expect(desk.get_by_text("not bound to a part yet")).to_be_visible(timeout=SLOW)
    wait_until(desk, "Promise.resolve(Boolean(navigator.serviceWorker.controller))")
    desk.context.set_offline(True)
    desk.goto("/#/tags")
    desk.goto(f"/#/tag/{code.lower()}")
    desk.locator(f'a[href*="{case}"]').click(timeout=SLOW)
    expect(desk.get_by_label("Code under the square")).to_have_value(code, timeout=SLOW)
    desk.get_by_label("The coil that came in at 2").check()
    desk.get_by_role("button", name="Bind this tag").click()
    expect(desk.get_by_role("heading", level=1, name="Label")).to_be_visible(timeout=SLOW)
    bound_now = [e["body"] for e in run(desk, "log.entriesOf(arg)", case) if e["kind"] == "tag_bound"]
    assert bound_now == [{"code": code, "part": f"{case}.coil.2"}]


def test_an_answer_that_comes_late_takes_nothing_from_a_newer_one(desk, told):
    record(desk, told.case, ("part_fate", {"part": told.coil, "fate": "shelf", "next": "bench"}))
    run(desk, "sync.syncNow()")
    held = []
    desk.route(re.compile(r"/api/shelf\?q=nothing"), lambda route: held.append(route))
    desk.goto("/#/shelf")
    search = desk.get_by_label("Plate, car, customer, part, brand, tag or note")
    search.fill("nothing")
    part = desk.locator("main").get_by_text(re.compile("^1 part$"))
    search.fill(told.tag)
    expect(part).to_be_visible()
    with desk.expect_response(re.compile(r"/api/shelf\?q=nothing")) as late:
        held[0].continue_()
    late.value.finished()
    desk.evaluate("() => new Promise((drawn) => requestAnimationFrame(() => requestAnimationFrame(drawn)))")
    expect(part).to_be_visible()


def test_tags_of_parts_on_the_shelf_are_offered_before_blank_ones(desk, told):
    run(desk, "sync.syncNow()")
    desk.goto("/#/print-tags")
    titles = desk.locator("main").get_by_role("heading", level=2)
    expect(titles).to_have_text(["Printer", "Tags of parts on the shelf", "Blank tags"])
    desk.locator(f'a[href="#/case/{told.case}/label/{told.tag}"]').click()
    expect(desk.get_by_role("heading", level=1, name="Label")).to_be_visible(timeout=SLOW)
    expect(desk.locator(".label-car")).to_contain_text("TEST")


@pytest.mark.parametrize(("screen", "row"), [("shelf", ".shelf-row"), ("print-tags", ".chosen-row")])
def test_a_long_shelf_is_read_on_where_it_ends(desk, told, screen, row):
    other = worked_case(desk)
    run(desk, "sync.syncNow()")

    def one_a_page(route):
        at = int(re.search(r"cursor=(\d+)|$", route.request.url)[1] or 0)
        answer = route.fetch(url=re.sub(r"\W*cursor=\d+", "", route.request.url))
        page = answer.json()
        tagged = [part for part in page["parts"] if part["tag"] in (told.tag, other.tag)]
        cursor = at + 1 if tagged[at + 1 :] else None
        route.fulfill(response=answer, json=page | {"parts": tagged[at : at + 1], "cursor": cursor})

    desk.route(re.compile(r"/api/shelf(\?|$)"), one_a_page)
    desk.goto(f"/#/{screen}")
    rows, more = desk.locator(f"main {row}"), desk.get_by_role("button", name="More", exact=True)
    expect(rows).to_have_count(1)
    more.dblclick()
    expect(rows).to_have_count(2)
    expect(more).to_have_count(0)
    for case in (told.case, other.case):
        expect(rows.filter(has=desk.locator(f'a[href*="{case}"]'))).to_have_count(1)


def test_labels_of_chosen_parts_come_as_one_file(desk, told):
    other = worked_case(desk)
    run(desk, "sync.syncNow()")
    desk.goto("/#/print-tags")
    expect(desk.get_by_role("button", name="None chosen yet")).to_be_disabled()
    rows = desk.locator(".chosen-row")
    for tag in (told.tag, other.tag):
        rows.filter(has=desk.locator(f'a[href$="/{tag}"]')).get_by_role("checkbox").check()
    desk.get_by_label("Printed on").select_option("a4")
    with desk.expect_download() as download:
        desk.get_by_role("button", name="One file of 2 labels").click()
    with contextlib.closing(pypdfium2.PdfDocument(download.value.path())) as document:
        (sheet,) = [page.render(scale=203 / 72).to_pil() for page in document]
    read = {square.text.rpartition("/")[2] for square in zxingcpp.read_barcodes(sheet)}
    assert read == {told.tag, other.tag}


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


@pytest.mark.parametrize("width", [320, 390, 1440])
def test_tables_of_figures_fit_without_being_pushed_sideways(desk, told, width):
    noted = (
        "part_noted",
        {
            "part": f"{told.case}.coil.2",
            "kind": "coil",
            "place": "coil.2",
            "brand": "Osmund & Daughters",
            "part_number": "OD-4471-2",
        },
    )
    record(desk, told.case, noted)
    run(desk, "sync.syncNow()")
    desk.set_viewport_size({"width": width, "height": 844})
    for path in ("brands", "learned"):
        desk.goto(f"/#/{path}")
        row = desk.get_by_role("table").last.get_by_role("row").last
        expect(row.get_by_role("rowheader")).to_be_visible(timeout=SLOW)
        for cell in row.get_by_role("cell").all():
            box = cell.bounding_box()
            assert box["x"] >= 0 and box["x"] + box["width"] <= width, path
        named = row.get_by_text("Used" if path == "learned" else "Failures in 100 months")
        expect(named).to_be_visible(visible=width < 500)
        assert desk.locator("main *").evaluate_all(PUSHED_SIDEWAYS) == []


def test_both_days_of_a_search_stand_in_its_frame(desk):
    for width in (390, 1024, 1440):
        desk.set_viewport_size({"width": width, "height": 900})
        desk.goto("/#/find")
        if not desk.get_by_label("To", exact=True).is_visible():
            desk.get_by_text("State, person and days").click()
        frame = desk.locator(".filters").bounding_box()
        last = desk.get_by_label("To", exact=True).bounding_box()
        assert last["x"] + last["width"] <= frame["x"] + frame["width"], width
        assert last["width"] >= desk.get_by_label("From", exact=True).evaluate("(day) => day.scrollWidth"), width


def bound(page: Page, told: WorkedCase) -> list[str]:
    entries = run(page, "log.entriesOf(arg)", told.case)
    return [e["body"]["part"] for e in entries if e["kind"] == "tag_bound" and e["body"]["code"] == told.tag]
