"""Photos by the camera inside the page, which here is a film: framed, judged, kept; and what is said without one."""

import random

import pytest
from PIL import Image, ImageDraw, ImageFilter
from playwright.sync_api import Locator, Page, expect

from .conftest import run
from .pictures import saved
from .test_screens_accessibility import faults_of
from .test_screens_round import Thumb, at
from .worked_case import open_case, sign_in_here

SHUTTER = "Take the photo"


def part_on_bench() -> Image.Image:
    """Something with an edge in every direction, before a smooth background."""
    draw_of, picture = random.Random(4), Image.new("RGB", (1280, 960), (150, 150, 150))
    pen = ImageDraw.Draw(picture)
    for _ in range(60):
        x, y = draw_of.randrange(300, 900), draw_of.randrange(250, 650)
        shade = draw_of.randrange(20, 240)
        pen.regular_polygon(
            (x, y, draw_of.randrange(20, 70)), draw_of.randrange(3, 8), draw_of.randrange(360), (shade,) * 3
        )
    return picture


@pytest.fixture(scope="module")
def part() -> Image.Image:
    return part_on_bench()


class CameraThumb(Thumb):
    """Takes its photos by the camera inside the page."""

    def photograph(self, opens: bool = True) -> None:
        if opens:
            self.tap("button", "Photo")
        self.tap("button", SHUTTER)
        expect(self.page.get_by_role("img", name="kept with the finding")).to_be_visible()


def photos_of(page: Page, case: str) -> list[dict]:
    return [entry["body"] for entry in run(page, "log.entriesOf(arg)", case) if entry["kind"] == "photo"]


def test_the_camera_opens_by_itself_from_the_second_cylinder_on(films, part):
    page = sign_in_here(films([part]))
    case = open_case(page)
    page.goto(f"/#/case/{case}")
    thumb = CameraThumb(page)
    thumb.tap("link", "Connectors")
    for cylinder in range(1, 5):
        at(page, f"Cylinder {cylinder}")
        thumb.photograph(opens=cylinder == 1)
        thumb.tap("button", "Good")
    expect(page.get_by_role("heading", level=1, name="Coil connector, side by side")).to_be_visible()
    assert thumb.taps == 10
    found = photos_of(page, case)
    assert [(photo["place"], photo["detail"]) for photo in found] == [(f"coil.{n}", "latch") for n in range(1, 5)]
    assert {(photo["width"], photo["height"]) for photo in found} == {(1280, 960)}


def test_what_to_catch_is_chosen_and_putting_the_camera_away_lasts(films, part):
    page = sign_in_here(films([part]))
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/connector_look")
    page.get_by_role("button", name="Photo", exact=True).tap()
    page.get_by_role("button", name="Pins", exact=True).tap()
    expect(page.get_by_text("Straight into the plug, every pin in sight.")).to_be_visible()
    page.get_by_role("button", name=SHUTTER).tap()
    page.get_by_role("button", name="Good", exact=True).tap()
    at(page, "Cylinder 2")
    page.get_by_role("button", name="Close", exact=True).tap()
    page.get_by_role("button", name="Good", exact=True).tap()
    at(page, "Cylinder 3")
    expect(page.get_by_role("button", name="Photo", exact=True)).to_be_visible()
    expect(page.get_by_role("button", name=SHUTTER)).to_have_count(0)
    assert [photo["detail"] for photo in photos_of(page, case)] == ["pins"]


def test_every_choice_of_what_to_catch_is_on_the_screen_wherever_the_photo_key_stands(films, part):
    page = sign_in_here(films([part]))
    case = open_case(page)
    for path in ("check/plug_look", "round/plug_look"):
        page.goto(f"/#/case/{case}/{path}")
        page.get_by_role("button", name="Photo", exact=True).first.tap()
        aims = page.get_by_role("group", name="What to catch").get_by_role("button")
        expect(aims).not_to_have_count(0)
        for choice in aims.all():
            expect(choice).to_be_in_viewport(ratio=1)
            assert choice.evaluate("(key) => key.getBoundingClientRect().right") <= 390
        page.get_by_role("button", name="Close", exact=True).tap()


def test_a_blurred_photo_is_asked_about_and_taken_again_or_kept(films, part):
    page = sign_in_here(films([part.filter(ImageFilter.GaussianBlur(6))]))
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/connector_look")
    page.get_by_role("button", name="Photo", exact=True).tap()
    page.get_by_role("button", name=SHUTTER).tap()
    expect(page.get_by_role("alert").filter(has_text="Looks blurred: take it again?")).to_be_visible()
    page.get_by_role("button", name="Again").tap()
    page.get_by_role("button", name=SHUTTER).tap()
    page.get_by_role("button", name="Keep it as it is").tap()
    page.get_by_role("button", name="Good", exact=True).tap()
    at(page, "Cylinder 2")
    assert len(photos_of(page, case)) == 1


def test_of_a_photo_without_any_edge_it_is_said_that_the_phone_cannot_tell(films):
    page = sign_in_here(films([Image.linear_gradient("L").convert("RGB").resize((1280, 960))]))
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/connector_look")
    page.get_by_role("button", name="Photo", exact=True).tap()
    page.get_by_role("button", name=SHUTTER).tap()
    expect(page.get_by_role("alert").filter(has_text="cannot tell whether it is sharp")).to_be_visible()
    page.get_by_role("button", name="Keep it as it is").tap()
    page.get_by_role("button", name="Good", exact=True).tap()
    at(page, "Cylinder 2")
    assert len(photos_of(page, case)) == 1


def test_no_tap_by_habit_keeps_a_blurred_photo(films, part):
    page = sign_in_here(films([part.filter(ImageFilter.GaussianBlur(6))]))
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/connector_look")
    habits = [middle(page.get_by_role("button", name=name, exact=True)) for name in ("Good", "Oil in it", "Back")]
    page.get_by_role("button", name="Photo", exact=True).tap()
    shutter = middle(page.get_by_role("button", name=SHUTTER))
    habits += [shutter, middle(page.get_by_role("button", name="Close", exact=True))]
    doubt = page.get_by_role("alert").filter(has_text="Looks blurred: take it again?")
    for habit in habits:
        page.get_by_role("button", name=SHUTTER).tap()
        expect(doubt).to_be_visible()
        page.touchscreen.tap(*habit)
        if not page.get_by_role("button", name=SHUTTER).is_visible():
            page.get_by_role("button", name="Again").tap()
        expect(page.get_by_role("button", name=SHUTTER)).to_be_enabled()
    page.touchscreen.tap(*shutter)
    page.touchscreen.tap(*shutter)
    expect(doubt).to_be_visible()
    page.touchscreen.tap(*shutter)
    expect(doubt).to_be_visible()  # a second tap in one breath decides nothing
    expect(page.get_by_role("img", name="kept with the finding")).to_have_count(0)
    assert photos_of(page, case) == []


def middle(key: Locator) -> tuple[float, float]:
    box = key.bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def test_the_camera_its_question_and_the_drawing_pass_the_rules_of_axe(films, part):
    page = sign_in_here(films([part.filter(ImageFilter.GaussianBlur(6))]))
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/connector_look")
    page.get_by_role("button", name="Photo", exact=True).tap()
    expect(page.get_by_role("button", name=SHUTTER)).to_be_focused()
    assert faults_of(page) == []
    page.get_by_role("button", name=SHUTTER).tap()
    expect(page.get_by_role("alert").filter(has_text="Looks blurred")).to_be_visible()
    expect(page.get_by_role("button", name="Again")).to_be_focused()
    assert faults_of(page) == []
    page.get_by_role("button", name="Keep it as it is").tap()
    page.get_by_role("button", name="Good", exact=True).tap()
    at(page, "Cylinder 2")
    [photo] = photos_of(page, case)
    page.goto(f"/#/case/{case}/picture/{photo['sha256']}/connector_look")
    page.get_by_role("button", name="Draw", exact=True).tap()
    page.get_by_role("button", name="In the middle").tap()
    page.keyboard.press("Enter")
    expect(page.get_by_role("button", name="Rub out: Arrow")).to_be_visible()
    assert faults_of(page) == []


def test_a_dark_photo_from_the_phones_own_camera_is_asked_about_too(films, part):
    page = sign_in_here(films([part]))
    case = open_case(page)
    page.goto(f"/#/case/{case}/photo")
    page.get_by_role("button", name="Take a photo").tap()
    dark = part.point(lambda level: level // 5)
    with page.expect_file_chooser() as camera:
        page.get_by_text("own camera").tap()
    camera.value.set_files({"name": "a.png", "mimeType": "image/png", "buffer": saved(dark, "PNG")})
    expect(page.get_by_role("alert").filter(has_text="Looks too dark: take it again?")).to_be_visible()
    page.get_by_role("button", name="Keep it as it is").tap()
    expect(page.get_by_role("heading", name="Kept so far")).to_be_visible()


def test_a_camera_that_is_refused_leaves_the_phones_own_and_the_round_goes_on(films, part):
    page = sign_in_here(films([part]))
    page.add_init_script(
        "navigator.mediaDevices.getUserMedia = () => Promise.reject(new DOMException('', 'NotAllowedError'))"
    )
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/connector_look")
    page.get_by_role("button", name="Photo", exact=True).tap()
    expect(page.get_by_role("alert").filter(has_text="The camera is not allowed here.")).to_be_visible()
    Thumb(page).photograph()
    page.get_by_role("button", name="Good", exact=True).tap()
    at(page, "Cylinder 2")
    assert len(photos_of(page, case)) == 1


def test_a_full_phone_says_so_and_the_round_goes_on(films, part):
    page = sign_in_here(films([part]))
    page.add_init_script("navigator.storage.estimate = () => Promise.resolve({quota: 1000, usage: 1000})")
    case = open_case(page)
    page.goto("/#/")
    page.reload()  # so that the script is there before the page is
    page.goto(f"/#/case/{case}/round/connector_look")
    page.get_by_role("button", name="Photo", exact=True).tap()
    page.get_by_role("button", name=SHUTTER).tap()
    expect(page.get_by_role("status").filter(has_text="The phone is full")).to_be_visible()
    page.get_by_role("button", name="Close", exact=True).tap()
    page.get_by_role("button", name="Good", exact=True).tap()
    at(page, "Cylinder 2")
    assert photos_of(page, case) == []
