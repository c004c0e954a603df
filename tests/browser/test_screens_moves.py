"""Parts change places on the drawn engine, by finger, by keyboard and by lists."""

import re

import pytest
from playwright.sync_api import Page, expect

from .conftest import run
from .worked_case import open_case, record, sign_in_here


@pytest.fixture
def page(new_phone):
    return sign_in_here(new_phone(connected=True))


def to_moves(page: Page, **engine) -> str:
    case = open_case(page, **engine)
    page.goto(f"/#/case/{case}/moves")
    expect(page.get_by_role("status").filter(has_text="to pick up")).to_be_visible()
    return case


def keep(page: Page, words: str) -> None:
    page.get_by_role("button", name=words, exact=True).click()
    expect(page.get_by_role("navigation", name="Record")).to_be_visible()


def moved(page: Page, case: str) -> dict:
    entries = [entry for entry in run(page, "log.entriesOf(arg)", case) if entry["kind"] == "parts_moved"]
    return entries[-1]


def places(entry: dict) -> list[tuple[str, str]]:
    return sorted((move["from"], move["to"]) for move in entry["body"]["moves"])


def test_two_taps_swap_two_coils_in_one_entry_and_the_drawing_shows_where_each_came_from(page):
    case = to_moves(page)
    page.get_by_role("button", name="Coil 3: the coil that came in at 3", exact=True).tap()
    expect(page.get_by_text("Holding the coil that came in at 3. Tap where it goes.")).to_be_visible()
    page.get_by_role("button", name="Coil 1: the coil that came in at 1", exact=True).tap()
    expect(page.get_by_role("button", name="Coil 1: the coil that came in at 3", exact=True)).to_be_visible()
    keep(page, "Record: swap the coils of cylinders 3 and 1")
    assert places(moved(page, case)) == [("coil.1", "coil.3"), ("coil.3", "coil.1")]
    drawing = page.get_by_role("group", name="Engine from above, 4 cylinders")
    expect(drawing.get_by_role("img", name="Coil place 1: the coil that came in at 3")).to_be_visible()
    expect(drawing.get_by_text("from 3", exact=True)).to_be_visible()


def test_a_swap_by_keyboard_alone(page):
    case = to_moves(page)
    page.get_by_role("button", name="Coil 2: the coil that came in at 2", exact=True).focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("button", name="Coil 2: the coil that came in at 2, picked up")).to_have_attribute(
        "aria-pressed", "true"
    )
    page.get_by_role("button", name="Coil 4: the coil that came in at 4", exact=True).focus()
    page.keyboard.press("Space")
    keep(page, "Record: swap the coils of cylinders 2 and 4")
    assert places(moved(page, case)) == [("coil.2", "coil.4"), ("coil.4", "coil.2")]


def test_a_swap_from_lists_without_the_drawing(page):
    case = to_moves(page)
    page.get_by_text("Move by choosing from lists").click()
    page.get_by_label("From", exact=True).select_option("coil.4")
    page.get_by_label("To", exact=True).select_option("coil.1")
    page.get_by_role("button", name="Swap these two").click()
    keep(page, "Record: swap the coils of cylinders 4 and 1")
    assert places(moved(page, case)) == [("coil.1", "coil.4"), ("coil.4", "coil.1")]


def test_three_coils_round_in_a_ring_are_three_moves(page):
    case = to_moves(page)
    for one, two in (("Coil 1", "Coil 2"), ("Coil 2", "Coil 3")):
        page.get_by_role("button", name=f"{one}:").tap()
        page.get_by_role("button", name=f"{two}:").tap()
    keep(page, "Record: 3 moves")
    assert places(moved(page, case)) == [("coil.1", "coil.3"), ("coil.2", "coil.1"), ("coil.3", "coil.2")]


def test_swapping_back_leaves_nothing_to_record(page):
    to_moves(page)
    for _ in range(2):
        page.get_by_role("button", name="Coil 1:").tap()
        page.get_by_role("button", name="Coil 2:").tap()
    expect(page.get_by_role("button", name="Nothing moved yet")).to_be_disabled()


def test_a_plug_taken_off_and_a_coil_that_went_nobody_knows_where(page):
    case = to_moves(page)
    page.get_by_role("radio", name="Spark plug").check()
    page.get_by_role("button", name="Spark plug 2: the spark plug that came in at 2").tap()
    page.get_by_role("button", name="Off the engine").click()
    expect(page.get_by_role("button", name="Spark plug 2: empty")).to_be_visible()
    keep(page, "Record: spark plug of cylinder 2 taken off the engine")
    assert places(moved(page, case)) == [("plug.2", "off")]
    page.goto(f"/#/case/{case}/moves")
    page.get_by_role("button", name="Coil 4:").tap()
    page.get_by_role("button", name="Where it went is not known").click()
    keep(page, "Record: coil of cylinder 4 to a place not known")
    assert places(moved(page, case)) == [("coil.4", "unknown")]
    question = page.get_by_role("group", name="Where did the coil that came in at 4 go?")
    question.get_by_role("button", name="Off the engine").click()
    expect(question).to_have_count(0)
    answered = [entry["body"] for entry in run(page, "log.entriesOf(arg)", case) if entry["kind"] == "answered"]
    assert [body["answer"] for body in answered] == ["off"]


def test_a_swap_that_the_owner_made_before_is_dated_before_arrival(page):
    case = to_moves(page)
    page.get_by_role("button", name="Coil 2:").tap()
    page.get_by_role("button", name="Coil 4:").tap()
    page.get_by_role("checkbox", name="This was done before I arrived").check()
    keep(page, "Record: swap the coils of cylinders 2 and 4")
    assert moved(page, case)["when"] == {"before_arrival": 1}
    expect(page.get_by_text("before arrival")).to_be_visible()


def test_waste_spark_coils_are_moved_as_the_two_cylinders_they_serve(page):
    to_moves(page, ignition="waste_spark")
    page.get_by_role("button", name="Coil 1:").tap()
    page.get_by_role("button", name="Coil 2:").tap()
    expect(page.get_by_text("Coil 1 to the place of coil 2 (cylinders 2 and 3)")).to_be_visible()


def test_the_trail_of_each_part_is_shown_and_leads_to_the_part(page):
    case = open_case(page)
    swap = [{"from": "coil.3", "to": "coil.1"}, {"from": "coil.1", "to": "coil.3"}]
    record(page, case, ("parts_moved", {"moves": swap}))
    page.goto(f"/#/case/{case}/moves")
    page.get_by_role("link", name="The coil that came in at 3").click()
    expect(page.get_by_role("heading", level=1, name="The coil that came in at 3")).to_be_visible()
    expect(page.locator(".trail").get_by_role("listitem")).to_have_text(["coil 3", "coil 1"])


@pytest.mark.parametrize(("kind", "short"), [("Spark plug", "plug"), ("Injector", "inj.")])
def test_a_part_in_a_bore_leaves_the_cylinder_its_number_and_says_where_it_came_from(page, kind, short):
    to_moves(page)
    page.get_by_role("radio", name=kind).check()
    place = f"{kind} 3: the {kind.lower()} that came in at"
    page.get_by_role("button", name=f"{place} 3").tap()
    page.get_by_role("button", name=f"{kind} 1: the {kind.lower()} that came in at 1").tap()
    expect(page.get_by_role("button", name=f"{place} 1")).to_be_visible()
    expect(page.locator(".engine .number")).to_have_text(["1", "2", "3", "4"])
    expect(page.locator(".engine .lettering:has(.number) .from")).to_have_text(["from 3", "from 1"])
    keep(page, f"Record: swap the {kind.lower()}s of cylinders 3 and 1")
    drawing = page.get_by_role("group", name="Engine from above, 4 cylinders")
    expect(drawing.locator(".other")).to_have_text([short, "from 3", short, "from 1"])
    bottom = "(one) => one.getBoundingClientRect().bottom"
    inside = f"(drawing) => ({bottom})([...drawing.querySelectorAll('.other')].at(-1)) <= ({bottom})(drawing)"
    assert drawing.evaluate(inside)  # asked at once: advice that arrives moves the drawing
    expect(drawing.get_by_label(re.compile(f"Cylinder 3.*the {kind.lower()} that came in at 1"))).to_be_visible()
