"""Marks over a photo: drawn by finger or by keys, kept as entries, read out, rubbed out; the picture's bytes stay."""

import re

import pytest
from playwright.sync_api import Page, expect

from .conftest import run
from .worked_case import open_case, record, sign_in_here, take_photo, wait_until


@pytest.fixture
def page(new_phone):
    return sign_in_here(new_phone(connected=True))


@pytest.fixture
def photo(page) -> dict:
    """A photo of a connector, with its case."""
    case, taken = open_case(page), take_photo(page)
    record(page, case, ("photo", taken | {"shows": "connector", "place": "coil.3"}))
    page.goto(f"/#/case/{case}/picture/{taken['sha256']}")
    page.get_by_role("button", name="Draw", exact=True).click()
    return taken | {"case": case}


def drag(page: Page, begin: tuple[float, float], end: tuple[float, float]) -> None:
    """Over the picture, by shares of its width and height."""
    box = page.locator(".mark-surface").bounding_box()
    wide = min(box["width"], box["height"] * 900 / 1200)  # upright: its EXIF turned it
    high = wide * 1200 / 900
    left, top = box["x"] + (box["width"] - wide) / 2, box["y"] + (box["height"] - high) / 2
    page.mouse.move(left + begin[0] * wide, top + begin[1] * high)
    page.mouse.down()
    page.mouse.move(left + end[0] * wide, top + end[1] * high, steps=4)
    page.mouse.up()


def marks(page: Page, case: str) -> list[dict]:
    return [entry["body"] for entry in run(page, "log.entriesOf(arg)", case) if entry["kind"] == "marked"]


def test_a_finger_draws_and_the_bytes_of_the_photo_stay(page, photo):
    before = run(page, "database.read(['photos'], (tx) => tx.objectStore('photos').getAllKeys())")
    drag(page, (0.2, 0.8), (0.5, 0.4))
    expect(page.get_by_role("button", name="Rub out: Arrow")).to_be_visible()
    page.get_by_role("button", name="Words", exact=True).click()
    drag(page, (0.1, 0.9), (0.1, 0.9))
    page.get_by_label("Words", exact=True).fill("Tab gone")
    page.get_by_role("button", name="Keep", exact=True).click()
    expect(page.get_by_role("img", name="drawn on it: Arrow, Tab gone")).to_be_visible()
    arrow, words = marks(page, photo["case"])
    near = pytest.approx
    assert [arrow[key] for key in ("x", "y", "to_x", "to_y")] == near([0.2, 0.8, 0.5, 0.4], abs=0.01)
    assert (words["text"], words["x"], words["y"]) == ("Tab gone", near(0.1, abs=0.01), near(0.9, abs=0.01))
    assert run(page, "database.read(['photos'], (tx) => tx.objectStore('photos').getAllKeys())") == before


def test_keys_draw_and_rub_out_again_and_nothing_is_deleted(page, photo):
    page.get_by_role("button", name="Circle", exact=True).press("Enter")
    page.get_by_role("button", name="In the middle").press("Enter")
    surface = page.get_by_role("group", name="Circle: arrow keys move it, Enter keeps it")
    expect(surface).to_be_focused()
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("Shift+ArrowDown")
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Rub out: Circle").press("Enter")
    expect(page.get_by_role("button", name="Rub out: Circle")).to_have_count(0)
    [circle] = marks(page, photo["case"])
    assert [circle[key] for key in ("x", "y", "to_x", "to_y")] == [0.38, 0.4, 0.58, 0.62]
    page.get_by_role("button", name="Done").click()
    expect(page.get_by_role("img", name="drawn on it")).to_have_count(0)
    page.goto(f"/#/case/{photo['case']}")
    expect(page.get_by_text("Rubbed out").first).to_be_visible()


def test_a_swipe_leads_to_the_same_photo_of_the_next_cylinder_and_close_leads_back(page):
    case = open_case(page)
    for cylinder, shows in ((1, "plug"), (2, "engine"), (3, "plug")):
        record(page, case, ("photo", take_photo(page, 1200 + cylinder) | {"shows": shows, "place": f"plug.{cylinder}"}))
    page.goto(f"/#/case/{case}/compare/plug_look")
    page.get_by_role("link", name="Cylinder 1: Spark plug").click()
    expect(page.get_by_role("img", name="Spark plug 1")).to_be_visible()
    page.locator(".picture-large").evaluate(
        """(box) => {
          const touch = (clientX) => new Touch({identifier: 1, target: box, clientX, clientY: 300});
          const say = (type, x, touches) =>
            box.dispatchEvent(new TouchEvent(type, {bubbles: true, touches, changedTouches: [touch(x)]}));
          say('touchstart', 300, [touch(300)]);
          say('touchend', 120, []);
        }"""
    )
    expect(page.get_by_role("img", name="Spark plug 3")).to_be_visible()
    page.get_by_role("button", name="Close").click()
    expect(page.get_by_role("heading", level=1, name="Spark plug, side by side")).to_be_visible()


def test_a_mark_is_dragged_elsewhere_by_striking_it_and_drawing_it_anew(page, photo):
    drag(page, (0.2, 0.8), (0.4, 0.6))
    page.get_by_role("button", name="Circle", exact=True).click()
    drag(page, (0.6, 0.2), (0.8, 0.4))
    expect(page.get_by_role("button", name="Rub out: Circle")).to_be_visible()
    page.get_by_role("button", name="Move one").click()
    drag(page, (0.3, 0.7), (0.4, 0.6))
    expect(page.get_by_role("list", name="Drawn on it").get_by_role("button")).to_have_count(2)
    expect(page.get_by_role("img", name="drawn on it: Circle, Arrow")).to_be_visible()
    arrow, _, there = marks(page, photo["case"])
    assert [there[key] - arrow[key] for key in ("x", "y", "to_x", "to_y")] == pytest.approx([0.1, -0.1] * 2, abs=0.01)
    log = run(page, "log.entriesOf(arg)", photo["case"])
    assert [entry["body"]["why"] for entry in log if entry["kind"] == "struck"] == ["Rubbed out"]


def test_a_tap_on_a_mark_moves_nothing_and_no_end_leaves_the_picture(page, photo):
    drag(page, (0.2, 0.8), (0.4, 0.6))
    expect(page.get_by_role("button", name="Rub out: Arrow")).to_be_visible()
    page.get_by_role("button", name="Move one").click()
    drag(page, (0.3, 0.7), (0.3, 0.7))
    assert len(marks(page, photo["case"])) == 1
    drag(page, (0.5, 0.5), (0.0, 0.5))
    drawn_two = "log.entriesOf(arg).then((all) => all.filter(({kind}) => kind === 'marked').length === 2)"
    wait_until(page, drawn_two, photo["case"])
    expect(page.get_by_role("list", name="Drawn on it").get_by_role("button")).to_have_count(1)
    expect(page.get_by_role("img", name="drawn on it: Arrow")).to_be_visible()
    arrow, there = marks(page, photo["case"])
    assert (there["x"], there["to_x"]) == (0, pytest.approx(arrow["to_x"] - arrow["x"], abs=0.001))


def test_rubbing_out_leaves_nothing_provisional_and_what_is_provisional_goes_by_a_key(page, photo):
    drag(page, (0.2, 0.8), (0.5, 0.4))
    own = page.get_by_role("button", name="Rub out: Arrow")
    expect(own).to_be_visible()
    page.get_by_role("button", name="In the middle").click()
    lines = page.locator(".mark-surface .mark-line")
    expect(lines).to_have_count(1)
    page.get_by_role("button", name="Arrow, not kept yet").click()
    expect(lines).to_have_count(0)
    page.get_by_role("button", name="In the middle").click()
    own.click()
    expect(own).to_have_count(0)
    expect(lines).to_have_count(0)
    page.get_by_role("button", name="In the middle").click()
    page.get_by_role("button", name="Keep: Arrow").click()
    expect(own).to_be_visible()
    assert [mark["x"] for mark in marks(page, photo["case"])][1:] == [0.35]


def test_the_line_of_an_arrow_ends_within_its_head(page, photo):
    drag(page, (0.2, 0.5), (0.8, 0.5))
    expect(page.get_by_role("button", name="Rub out: Arrow")).to_be_visible()
    line = page.locator("line.mark-line").first
    expect(line).to_have_attribute("x2", re.compile(r"^75[0-9](\.\d+)?$"))  # 48 of 1000 before its tip at 800
