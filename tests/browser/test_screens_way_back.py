"""The back gesture, which is the browser's own: sheets close first, what is done stays behind, and an address that was
opened from outside has the case and the list behind it."""

import pytest
from PIL import ImageFilter
from playwright.sync_api import expect

from .test_screens_camera import SHUTTER, part_on_bench, photos_of
from .test_screens_round import at
from .worked_case import open_case, sign_in_here


@pytest.fixture
def page(new_phone):
    return sign_in_here(new_phone(connected=True))


def sees(page, title):
    expect(page.get_by_role("heading", level=1, name=title, exact=True)).to_be_visible()


def test_the_gesture_leads_through_a_case_as_a_person_expects(page):
    case = open_case(page)
    page.goto("/")
    page.locator(f'a[href*="{case}"]').click()
    sees(page, "2011 Zedex Four")
    # A sheet closes first, by the gesture and by its key.
    more = page.get_by_role("dialog", name="More to record")
    page.get_by_role("button", name="More", exact=True).click()
    expect(more).to_be_visible()
    page.go_back()
    expect(more).to_be_hidden()
    sees(page, "2011 Zedex Four")
    page.get_by_role("button", name="More", exact=True).click()
    more.get_by_role("button", name="Close", exact=True).click()
    expect(more).to_be_hidden()
    # From the sheet to a form: recorded, it is behind nothing any more.
    page.get_by_role("button", name="More", exact=True).click()
    more.get_by_role("link", name="Note").click()
    page.get_by_label("Text").fill("The clip is loose")
    page.get_by_role("button", name="Keep the note").click()
    sees(page, "2011 Zedex Four")
    expect(more).to_be_hidden()
    # A form that is left by the gesture leads to the case, not to the sheet it was opened from.
    page.get_by_role("button", name="More", exact=True).click()
    more.get_by_role("link", name="Complaint").click()
    sees(page, "Complaint")
    page.go_back()
    sees(page, "2011 Zedex Four")
    expect(more).to_be_hidden()
    page.get_by_role("link", name="Check", exact=True).click()
    page.get_by_role("link", name="Spark across a gap").first.click()
    page.get_by_role("group", name="Cylinder").get_by_label("2", exact=True).check()
    page.get_by_role("button", name="No spark", exact=True).click()
    sees(page, "2011 Zedex Four")
    page.go_back()
    sees(page, "Cases")


def test_behind_an_address_from_outside_lie_the_case_and_the_list(page):
    case = open_case(page)
    fresh = page.context.new_page()
    fresh.goto(f"/#/case/{case}/cylinder/3")
    sees(fresh, "Cylinder 3")
    fresh.reload()
    sees(fresh, "Cylinder 3")
    fresh.go_back()
    sees(fresh, "2011 Zedex Four")
    fresh.get_by_role("link", name="Back").click()
    sees(fresh, "Cases")
    assert fresh.evaluate("() => history.state.behind") == []


def test_the_gesture_takes_away_what_lies_over_a_round_and_leaves_the_round(films):
    """The camera, its question about a doubtful photo, and a photo seen large."""
    page = sign_in_here(films([part_on_bench().filter(ImageFilter.GaussianBlur(6))]))
    case = open_case(page)
    page.goto(f"/#/case/{case}")
    page.goto(f"/#/case/{case}/round/connector_look")
    shutter = page.get_by_role("button", name=SHUTTER)
    page.get_by_role("button", name="Photo", exact=True).tap()
    expect(shutter).to_be_enabled()
    page.go_back()
    expect(shutter).to_have_count(0)
    at(page, "Cylinder 1")
    page.get_by_role("button", name="Photo", exact=True).tap()
    shutter.tap()
    expect(page.get_by_role("button", name="Keep it as it is")).to_be_visible()
    page.go_back()
    expect(page.get_by_role("button", name="Keep it as it is")).to_have_count(0)
    held = page.get_by_role("button", name="Cylinder 1, photo 1, kept with the finding")
    held.tap()
    expect(page.get_by_role("button", name="Take it out", exact=True)).to_be_visible()
    page.go_back()
    expect(page.get_by_role("button", name="Take it out", exact=True)).to_have_count(0)
    page.get_by_role("button", name="Good", exact=True).tap()
    at(page, "Cylinder 2")
    assert len(photos_of(page, case)) == 1
    expect(shutter).to_be_enabled()  # it opens by itself again
    page.go_back()
    at(page, "Cylinder 2")
    expect(shutter).to_have_count(0)
    page.go_back()
    sees(page, "2011 Zedex Four")


@pytest.mark.parametrize("right", [False, True], ids=["arrow", "title"])
def test_the_way_back_is_in_reach_wherever_a_long_screen_was_scrolled(page, right):
    case = open_case(page)
    page.goto(f"/#/case/{case}/check/drop")
    sees(page, "Drop test")
    page.get_by_label("Note").focus()
    page.evaluate("() => scrollTo(0, 1e6)")
    back = page.get_by_role("link", name="Back to the case")
    expect(back).to_be_in_viewport()
    head = page.locator(".screen-head").bounding_box()
    assert head["height"] >= 48
    page.touchscreen.tap(head["x"] + head["width"] * (0.8 if right else 0.08), head["y"] + head["height"] / 2)
    sees(page, "2011 Zedex Four")
