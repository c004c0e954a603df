"""The back gesture, which is the browser's own: sheets close first, what is done stays behind, and an address that was
opened from outside has the case and the list behind it."""

import pytest
from playwright.sync_api import expect

from .worked_case import open_case, sign_in_here


@pytest.fixture
def page(new_phone):
    return sign_in_here(new_phone())


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
    more.get_by_role("button", name="Put away").click()
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
    page.get_by_role("button", name="None", exact=True).click()
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
