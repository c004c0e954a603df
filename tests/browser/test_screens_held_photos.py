"""Photos that wait for their entry: seen large, drawn upon, taken out again, and kept with the finding."""

import pytest
from playwright.sync_api import Page, expect

from .conftest import run
from .pictures import camera_jpeg
from .test_screens_accessibility import faults_of
from .test_screens_marks import drag
from .worked_case import open_case, sign_in_here, wait_until


@pytest.fixture
def page(new_phone) -> Page:
    return sign_in_here(new_phone(connected=True))


def photograph(page: Page, width: int) -> None:
    picture = {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": camera_jpeg(width, 900, 6)}
    page.get_by_label("Photo", exact=True).set_input_files(picture)


def recorded(page: Page, case: str, kind: str) -> list[dict]:
    return [entry for entry in run(page, "log.entriesOf(arg)", case) if entry["kind"] == kind]


def test_in_a_round_one_is_drawn_upon_one_taken_out_and_the_rest_kept_with_the_finding(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/round/connector_look")
    photograph(page, 1230)
    first = page.get_by_role("button", name="Cylinder 1, photo 1, kept with the finding")
    expect(first).to_be_visible()
    first.click()
    assert faults_of(page) == []
    page.get_by_role("dialog").get_by_role("button", name="Draw", exact=True).click()
    drag(page, (0.2, 0.8), (0.5, 0.4))
    expect(page.get_by_role("button", name="Rub out: Arrow")).to_be_visible()
    assert faults_of(page) == []
    page.get_by_role("button", name="Done").click()
    page.get_by_role("dialog").get_by_role("button", name="Close").click()
    photograph(page, 1231)
    second = page.get_by_role("button", name="Cylinder 1, photo 2, kept with the finding")
    second.click()
    page.get_by_role("button", name="Take it out", exact=True).click()
    page.get_by_role("button", name="Leave it").click()
    page.get_by_role("button", name="Close").click()
    expect(second).to_be_visible()
    second.click()
    page.get_by_role("button", name="Take it out", exact=True).click()
    page.get_by_role("button", name="Take it out for good").click()
    expect(second).to_have_count(0)
    wait_until(page, "database.read(['photos'], (tx) => tx.objectStore('photos').count()).then((n) => n === 1)")
    page.reload()
    expect(
        page.get_by_role("img", name="Cylinder 1, photo 1, kept with the finding; drawn on it: Arrow")
    ).to_be_visible()
    expect(page.locator(".thumb-key")).to_have_count(1)
    page.get_by_role("button", name="Good", exact=True).click()
    expect(page.get_by_role("heading", level=2, name="Cylinder 2", exact=True)).to_be_visible()
    (check,), (photo,) = recorded(page, case, "check"), recorded(page, case, "photo")
    assert (photo["body"]["of"], photo["body"]["place"]) == (check["id"], "coil.1")
    assert photo["body"].keys() == {"sha256", "bytes", "width", "height", "shows", "place", "of"}
    (mark,) = recorded(page, case, "marked")
    assert (mark["body"]["of"], mark["body"]["sort"]) == (photo["id"], "arrow")
    held = run(page, "database.read(['photos'], (tx) => tx.objectStore('photos').getAll())")
    assert [[p["sha256"], p["state"]] for p in held] == [[photo["body"]["sha256"], "here"]]


def test_a_mark_on_a_photo_of_damage_is_kept_when_the_case_is_opened(page):
    page.goto("/#/new")
    page.get_by_label("Make", exact=True).fill("Quill")
    page.locator("summary").filter(has_text="Damage").click()
    page.get_by_label("Photo of damage").set_input_files(
        {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": camera_jpeg(1200, 900, 6)}
    )
    page.get_by_role("button", name="Damage, photo 1").click()
    page.get_by_role("button", name="Draw", exact=True).click()
    page.get_by_role("button", name="In the middle").click()
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Move one").click()
    page.get_by_role("button", name="In the middle").click()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Done").click()
    page.go_back()  # closes what lies over the form
    expect(page.get_by_role("dialog")).to_have_count(0)
    page.get_by_role("button", name="Open the case").click()
    expect(page.get_by_role("navigation", name="Record")).to_be_visible()
    case = run(page, "log.caseList()")[0]["case"]
    (photo,), (mark,) = recorded(page, case, "photo"), recorded(page, case, "marked")
    assert photo["body"]["shows"] == "damage_before" and "marks" not in photo["body"]
    assert [mark["body"][key] for key in ("of", "x", "y", "to_x", "to_y")] == [photo["id"], 0.37, 0.65, 0.52, 0.5]
