"""Opening a case: what cannot be is refused at the field, and nothing typed is lost."""

import re
import uuid

import pytest
from playwright.sync_api import expect

from .conftest import run
from .pictures import camera_jpeg
from .worked_case import open_case, reload_kept, sign_in_here, to_the_end_of_the_list


@pytest.fixture
def page(new_phone):
    page = sign_in_here(new_phone(connected=True))
    page.goto("/#/new")
    expect(
        page.locator("summary").filter(has_text="firing order " + on_one_line("1-3-4-2") + " (preset)")
    ).to_be_visible()
    return page


def on_one_line(order):
    """With hyphens at which no line ends."""
    return order.replace("-", "\N{NON-BREAKING HYPHEN}")


def unfold(page, heading):
    page.locator("summary").filter(has_text=heading).click()


@pytest.fixture
def plate():
    """A plate that no other test has: the phones of all tests exchange with one shop."""
    return f"N {uuid.uuid4().hex[:8].upper()}"


def cases_of(page, plate):
    return [case for case in run(page, "log.caseList()") if case["plate"] == plate]


def open_it(page):
    page.get_by_role("button", name="Open the case").click()


def test_the_engine_is_drawn_as_it_is_entered(page):
    unfold(page, "firing order")
    expect(page.get_by_role("group", name="Engine from above: 4 cylinders")).to_be_visible()
    page.get_by_role("radio", name="6", exact=True).check()
    page.get_by_role("radio", name="V", exact=True).check()
    drawing = page.get_by_role("group", name="Engine from above: 6 cylinders")
    expect(drawing.get_by_role("img", name="Cylinder")).to_have_count(6)
    page.get_by_role("radio", name="A coil for every two cylinders (waste spark)").check()
    expect(drawing.get_by_role("img", name="Coil")).to_have_count(3)


def test_the_least_that_starts_a_case_is_a_word_for_the_car(page, plate):
    open_it(page)
    expect(page.get_by_label("Plate")).to_be_focused()
    expect(page.get_by_text("Give the plate, the VIN or the make: the case is found by it.")).to_be_visible()
    page.get_by_label("Make", exact=True).fill(plate)
    open_it(page)
    expect(page.get_by_role("heading", level=1, name=plate)).to_be_visible()
    newest = run(page, "log.caseList()")[0]
    assert newest["title"] == plate
    assert [entry["kind"] for entry in run(page, "log.entriesOf(arg)", newest["case"])] == ["case_opened"]


def test_what_is_needed_and_a_complaint_stand_within_a_screen_and_a_half(page):
    lamp = page.get_by_role("group", name="Warning lamp").bounding_box()
    assert lamp["y"] + lamp["height"] < 1.5 * page.viewport_size["height"]


@pytest.mark.parametrize(
    ("cylinders", "layout", "order"),
    [("6", "V", "1-2-3-4-5-6"), ("8", "V", "1-8-4-3-6-5-7-2"), ("4", "Flat", "1-3-2-4"), ("3", "In line", "1-2-3")],
)
def test_the_preset_firing_order_follows_cylinders_and_layout_and_says_what_it_is(page, cylinders, layout, order):
    page.get_by_role("radio", name=cylinders, exact=True).check()
    page.get_by_role("radio", name=layout, exact=True).check()
    folded = page.locator("summary").filter(has_text="firing order")
    expect(folded).to_have_text(f"A coil on every plug; firing order {on_one_line(order)} (preset)")
    folded.click()
    expect(page.get_by_label("Firing order")).to_have_attribute("placeholder", order)
    expect(page.get_by_text(f"Left empty it is {order}: a preset")).to_contain_text("checked against the maker's")
    page.get_by_label("Firing order").fill("".join(reversed(order)))
    expect(folded).not_to_contain_text("preset")


@pytest.mark.parametrize("cylinders", ["0", "40", "4.5", "many"])
def test_an_impossible_number_of_cylinders_is_refused_at_its_field(page, plate, cylinders):
    page.get_by_role("radio", name="Other").check()
    field = page.get_by_label("Number of cylinders")
    field.fill(cylinders)
    expect(page.get_by_text("Cylinders: give a whole number from 1 to 12.")).to_be_visible()
    page.get_by_label("Plate").fill(plate)
    open_it(page)
    expect(field).to_be_focused()
    expect(field).to_have_value(cylinders)
    expect(page.get_by_label("Plate")).to_have_value(plate)
    assert cases_of(page, plate) == []


def test_a_firing_order_that_is_no_permutation_is_refused_with_an_example(page, plate):
    page.get_by_label("Plate").fill(plate)
    unfold(page, "firing order")
    page.get_by_label("Firing order").fill("1-3-4-4")
    expect(
        page.get_by_text(re.compile("name each cylinder from 1 to 4 exactly once, for example 1-3-4-2"))
    ).to_be_visible()
    open_it(page)
    expect(page.get_by_label("Firing order")).to_be_focused()
    page.get_by_label("Firing order").fill("1342")
    open_it(page)
    expect(page.get_by_role("heading", level=1, name=plate)).to_be_visible()
    (case,) = cases_of(page, plate)
    opened = run(page, "log.entriesOf(arg)", case["case"])[0]
    assert opened["body"]["engine"]["firing_order"] == [1, 3, 4, 2]


def test_a_date_in_the_future_is_refused(page, plate):
    page.get_by_label("Plate").fill(plate)
    unfold(page, "since when")
    page.get_by_label("Since").fill("2999-01-01")
    unfold(page, "since when")
    open_it(page)
    expect(page.get_by_label("Since")).to_be_focused()
    expect(page.get_by_label("Since")).to_have_attribute("aria-invalid", "true")
    assert cases_of(page, plate) == []


def test_what_was_typed_and_photographed_is_there_again_after_a_reload(page, plate):
    page.get_by_label("Plate").fill(plate)
    unfold(page, "Year, odometer")
    page.get_by_label("Odometer", exact=True).fill("118,200")
    page.get_by_label("Unit of odometer").select_option("mi")
    page.get_by_role("checkbox", name="Stalls").check()
    unfold(page, "Damage")
    page.get_by_label("Photo of damage").set_input_files(
        {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": camera_jpeg(800, 600, 1)}
    )
    expect(page.get_by_role("img", name="Damage, photo 1")).to_be_visible()
    reload_kept(page)
    expect(page.get_by_label("Plate")).to_have_value(plate)
    unfold(page, "Year, odometer")
    expect(page.get_by_label("Odometer", exact=True)).to_have_value("118,200")
    expect(page.get_by_role("checkbox", name="Stalls")).to_be_checked()
    expect(page.get_by_role("img", name="Damage, photo 1")).to_be_visible()
    open_it(page)
    expect(page.get_by_role("heading", level=1, name=plate)).to_be_visible()
    (case,) = cases_of(page, plate)
    entries = {entry["kind"]: entry["body"] for entry in run(page, "log.entriesOf(arg)", case["case"])}
    assert entries["case_opened"]["odometer"] == {
        "si": pytest.approx(118200 * 1609.344),
        "typed": "118,200",
        "unit": "mi",
    }
    assert entries["complaint"] == {"symptoms": ["stalls"]}
    assert entries["photo"]["shows"] == "damage_before"
    page.goto("/#/new")
    expect(page.get_by_label("Plate")).to_have_value("")


def test_a_file_that_is_no_picture_is_refused_and_the_form_is_kept(page, plate):
    page.get_by_label("Plate").fill(plate)
    unfold(page, "Damage")
    page.get_by_label("Photo of damage").set_input_files(
        {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": b"no picture"}
    )
    expect(page.get_by_role("alert").filter(has_text=re.compile("."))).to_be_visible()
    expect(page.get_by_role("img", name="Damage, photo 1")).to_have_count(0)
    expect(page.get_by_label("Plate")).to_have_value(plate)


def test_the_list_finds_cases_by_any_words_and_shows_open_ones_first(page, plate):
    cases = [open_case(page) for _ in range(6)]
    for case, kind, body in ((cases[0], "case_closed", {"cause": "A coil"}), (cases[1], "note", {"text": "Later"})):
        run(page, "log.record(arg)", {"case": case, "kind": kind, "body": body})
    other = run(page, "log.newCaseId()")
    engine = {"cylinders": 4, "layout": "inline", "ignition": "coil_on_plug"}
    body = {"vehicle": {"make": "Quill", "plate": plate}, "engine": engine, "customer": {"name": "Sam Pattern"}}
    run(page, "log.record(arg)", {"case": other, "kind": "case_opened", "body": body})
    page.goto("/#/")
    to_the_end_of_the_list(page)
    expect(page.get_by_role("heading", level=2)).to_have_text(["Open", "Closed"])
    page.get_by_label("Search the cases").fill(f"pattern {plate.lower()}")
    rows = page.locator(".case-list").get_by_role("listitem")
    expect(rows).to_have_count(1)
    rows.click()
    expect(page.get_by_role("heading", level=1, name="Quill")).to_be_visible()


def test_a_vehicle_and_its_owner_can_be_put_right(page, plate):
    case = open_case(page)
    page.goto(f"/#/case/{case}/vehicle")
    page.get_by_label("Plate").fill(plate)
    page.get_by_label("Name", exact=True).fill("Iris Vantley")
    page.get_by_role("button", name="Keep", exact=True).click()
    expect(page.get_by_text(plate).first).to_be_visible(timeout=60_000)
    entries = run(page, "log.entriesOf(arg)", case)
    first, *_, later, struck = entries
    assert (first["kind"], later["kind"], struck["kind"]) == ("case_opened", "case_opened", "struck")
    assert struck["body"]["entry"] == first["id"]
    assert later["body"] == first["body"] | {
        "vehicle": first["body"]["vehicle"] | {"plate": plate},
        "customer": first["body"]["customer"] | {"name": "Iris Vantley"},
    }
    (summary,) = [one for one in run(page, "log.caseList()") if one["case"] == case]
    assert (summary["plate"], summary["customer"], summary["status"]) == (plate, "Iris Vantley", "open")
    assert summary["opened"] == first["at"][0]


def test_the_engine_can_be_put_right_later(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/vehicle")
    page.get_by_role("radio", name="6", exact=True).check()
    page.get_by_role("radio", name="V", exact=True).check()
    page.get_by_role("button", name="Keep", exact=True).click()
    expect(page.get_by_role("group", name="Engine from above, 6 cylinders")).to_be_visible(timeout=60_000)


def test_a_vin_is_seen_whole_and_only_a_single_likely_correction_is_offered(page):
    vin = page.get_by_label("VIN", exact=True)
    vin.fill("1M8GDM9AXKP04278B")
    expect(page.get_by_role("button", name="Take 1M8GDM9AXKP042788", exact=True)).to_be_visible()
    assert vin.evaluate("field => field.scrollWidth <= field.clientWidth")
    vin.fill("1HGCM82633A004353")  # several slips explain it
    expect(
        page.get_by_text("The check digit is wrong: compare it with the VIN on the car.", exact=True)
    ).to_be_visible()
    expect(page.get_by_role("button", name=re.compile("^Take"))).to_have_count(0)
    assert page.evaluate("document.documentElement.scrollWidth") == page.viewport_size["width"]


def test_of_two_banks_the_numbering_stands_open_and_says_that_it_is_preset(page):
    numbering = page.get_by_role("group", name="Numbering")
    expect(numbering).to_be_hidden()
    page.get_by_role("radio", name="V", exact=True).check()
    expect(numbering.get_by_text("Preset: compare the drawing with the maker's information.")).to_be_visible()
    expect(page.get_by_role("group", name="Stands")).to_be_visible()
    expect(numbering.get_by_role("radio", checked=True)).to_have_count(1)
    numbering.get_by_role("radio", checked=False).first.click()  # not check(), which would look for one again
    expect(numbering.get_by_text("Preset:")).to_have_count(0)


def test_since_when_is_told_with_one_tap(page):
    unfold(page, "Customer's words, since when")
    page.get_by_role("button", name="Yesterday", exact=True).click()
    yesterday = page.evaluate("new Date(Date.now() - 864e5).toLocaleDateString('sv')")
    expect(page.get_by_label("Since", exact=True)).to_have_value(yesterday)


def test_a_folded_part_says_what_is_filled_in_it(page):
    page.goto("/#/new")
    fold = page.locator("summary").filter(has_text="Year, odometer")
    expect(fold).to_have_text("Year, odometer; phone, address")
    fold.click()
    page.get_by_label("Phone").fill("555-0142")
    page.get_by_label("Odometer", exact=True).fill("88,650")
    fold.click()
    expect(page.get_by_label("Phone")).to_be_hidden()
    expect(fold).to_contain_text("88,650 mi, 555-0142")


def test_a_car_that_was_here_before_need_not_be_typed_again(page, plate):
    engine = {"cylinders": 6, "layout": "vee", "ignition": "coil_on_plug", "orientation": "lengthways"}
    before = {
        "vehicle": {"plate": plate, "make": "Quill", "model": "Six", "year": 2012},
        "customer": {"name": "Ola Invented", "phone": "555-0163"},
        "engine": engine,
        "odometer": {"si": 1e8, "typed": "100,000", "unit": "km"},
    }
    record = "log.record({case: arg[0], kind: 'case_opened', body: arg[1]})"
    run(page, record, [run(page, "log.newCaseId()"), before])
    page.get_by_label("Plate").fill(plate.replace(" ", "-").lower()[:-1])
    notice = page.get_by_text("This car was here before")
    expect(notice).to_have_count(0)
    page.get_by_label("Plate").fill(plate.replace(" ", "-").lower())
    expect(notice).to_be_visible()
    expect(page.get_by_text("2012 Quill Six, Ola Invented")).to_be_visible()
    page.get_by_label("Customer's name").fill("Ola Invented-Other")
    page.get_by_role("button", name="Take over car, engine and customer").click()
    expect(notice).to_have_count(0)
    expect(page.get_by_label("Make", exact=True)).to_have_value("Quill")
    expect(page.get_by_role("radio", name="6", exact=True)).to_be_checked()
    open_it(page)
    expect(page.get_by_role("heading", level=1, name="2012 Quill Six")).to_be_visible()
    case = page.evaluate("location.hash").split("/")[2]
    (opened,) = [one["body"] for one in run(page, "log.entriesOf(arg)", case) if one["kind"] == "case_opened"]
    assert opened["vehicle"] == before["vehicle"] | {"plate": plate.replace(" ", "-")}
    assert opened["customer"] == {"name": "Ola Invented-Other", "phone": "555-0163"}
    assert (opened["engine"], "odometer" in opened) == (engine, False)
