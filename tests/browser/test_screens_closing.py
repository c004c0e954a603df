"""From the repair to the report: torque, clearing, the drive, closing, the tag on the removed part."""

import re
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from playwright.sync_api import Page, expect

from .conftest import run
from .worked_case import (
    drop_round,
    open_case,
    record,
    sign_in_here,
    tag_code,
    take_photo,
    to_the_end_of_the_list,
    wait_until,
    worked_case,
)

THOUGHT_MS = 120_000  # the diagnosis on a busy machine: a limit for what hangs, not a measurement


@pytest.fixture
def page(new_phone):
    return sign_in_here(new_phone(connected=True))


def bodies(page: Page, case: str, kind: str) -> list[dict]:
    return [entry["body"] for entry in run(page, "log.entriesOf(arg)", case) if entry["kind"] == kind]


def back_at_the_case(page: Page) -> None:
    expect(page.get_by_role("navigation", name="Record")).to_be_visible()


def coil_replaced_at(page: Page, number: str) -> None:
    page.get_by_role("radio", name="Part replaced").check()
    page.get_by_role("group", name="Part", exact=True).get_by_role("radio", name="Coil").check()
    page.get_by_role("group", name="Coil at").get_by_role("radio", name=number, exact=True).check()


def tag_not_now(page: Page) -> None:
    expect(page.get_by_role("heading", level=1, name="Tag the removed part")).to_be_visible()
    page.get_by_role("button", name="Not now").click()
    back_at_the_case(page)


def test_a_replaced_part_with_its_torque_in_the_unit_of_choice(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/repair")
    coil_replaced_at(page, "3")
    page.get_by_label("Brand fitted").fill("Ostler")
    page.get_by_role("radio", name="New", exact=True).check()
    page.get_by_label("Unit of torque").select_option("lbf·ft")
    page.get_by_label("Torque", exact=True).fill("6")
    page.get_by_label("Where the torque was read").fill("Maker's sheet")
    page.get_by_role("button", name="Record the repair").click()
    tag_not_now(page)
    (repair,) = bodies(page, case, "repair")
    torque = repair.pop("torque")
    assert torque == {"si": pytest.approx(8.1349, abs=1e-4), "typed": "6", "unit": "lbf·ft"}
    assert repair == {
        "work": "replaced",
        "place": "coil.3",
        "removed": f"{case}.coil.3",
        "brand": "Ostler",
        "use": "new",
        "torque_source": "Maker's sheet",
    }
    page.goto(f"/#/case/{case}/repair")
    coil_replaced_at(page, "3")
    expect(page.get_by_label("Unit of torque")).to_have_value("lbf·ft")


def test_the_whole_set_is_recorded_in_one_go(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/repair")
    page.get_by_role("radio", name="Part replaced").check()
    page.get_by_role("group", name="Part", exact=True).get_by_role("radio", name="Spark plug").check()
    page.get_by_role("group", name="Spark plug at").get_by_role("radio", name="2", exact=True).check()
    page.get_by_role("group", name="One or the set").get_by_role("radio", name="The whole set").check()
    page.get_by_label("Brand fitted").fill("Ostler")
    page.get_by_role("button", name="Record the repair").click()
    back_at_the_case(page)
    fitted = bodies(page, case, "repair")
    assert [body["place"] for body in fitted] == ["plug.2", "plug.1", "plug.3", "plug.4"]
    assert [body["removed"] for body in fitted] == [f"{case}.{body['place']}" for body in fitted]
    assert {(body["work"], body["extent"], body["brand"]) for body in fitted} == {("replaced", "all", "Ostler")}


def test_the_form_starts_from_what_the_advice_has_decided(page):
    case = open_case(page)
    drop_round(page, case, dead=3)
    swap = [{"from": "coil.3", "to": "coil.1"}, {"from": "coil.1", "to": "coil.3"}]
    record(page, case, ("parts_moved", {"moves": swap}))
    drop_round(page, case, dead=1)
    page.goto(f"/#/case/{case}")
    step = page.get_by_role("region", name="Next step").get_by_role("button", name=re.compile("^Replace the coil"))
    expect(step).to_be_visible(timeout=THOUGHT_MS)
    page.get_by_role("navigation", name="Record").get_by_role("link", name="Repair").click()
    expect(page.get_by_text("Filled in from the advice: Replace the coil that came in at 3 (now at 1)")).to_be_visible()
    expect(page.get_by_role("group", name="Coil at").get_by_role("radio", name="1")).to_be_checked()
    # Another place than the advice names: the part that came off there, not the one that the advice blames.
    page.get_by_role("group", name="Coil at").get_by_role("radio", name="2").check()
    expect(page.get_by_text("Filled in from the advice")).to_have_count(0)
    page.get_by_role("button", name="Record the repair").click()
    tag_not_now(page)
    assert [body["removed"] for body in bodies(page, case, "repair")] == [f"{case}.coil.2"]


def test_what_a_test_has_moved_is_asked_at_the_repair_and_not_again_at_closing(page):
    case = open_case(page)
    swap = [{"from": "coil.3", "to": "coil.1"}, {"from": "coil.1", "to": "coil.3"}]
    record(page, case, ("parts_moved", {"moves": swap}))
    page.goto(f"/#/case/{case}/repair")
    asked = page.get_by_text("Moved and not put back")
    expect(asked).to_be_visible(timeout=THOUGHT_MS)
    page.get_by_role("button", name="It stays there on purpose").click()
    expect(asked).to_have_count(0)
    coil_replaced_at(page, "1")
    page.get_by_role("button", name="Record the repair").click()
    tag_not_now(page)
    page.goto(f"/#/case/{case}/close")
    expect(point(page, "Left where it is on purpose: the coil that came in at 1, now at 3.")).to_be_visible()


def test_putting_back_is_filled_in_with_what_a_test_has_moved(page):
    case = open_case(page)
    swap = [{"from": "coil.3", "to": "coil.1"}, {"from": "coil.1", "to": "coil.3"}]
    record(page, case, ("parts_moved", {"moves": swap, "boot_stays": True}))
    page.goto(f"/#/case/{case}/repair")
    page.get_by_role("link", name="Put it back").click(timeout=THOUGHT_MS)
    expect(page.get_by_role("button", name="Start the moves over")).to_be_visible()
    page.get_by_role("button", name="Record: swap the coils").click()
    expect(page.get_by_text("Moved and not put back")).to_have_count(0)
    back = bodies(page, case, "parts_moved")[-1]
    assert {(move["from"], move["to"]) for move in back["moves"]} == {("coil.1", "coil.3"), ("coil.3", "coil.1")}
    assert back["boot_stays"] is True


def test_without_a_decision_nothing_is_chosen_and_what_was_done_is_asked(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/repair")
    work = page.get_by_role("group", name="Work", exact=True)
    expect(work.get_by_role("radio", checked=True)).to_have_count(0)
    page.get_by_role("button", name="Record the repair").click()
    expect(work).to_contain_text("Say first what was done.")
    work.get_by_label("Cleaned and reseated").check()
    page.get_by_role("button", name="Record the repair").click()
    expect(page.get_by_text("Say first what was worked on.")).to_be_visible()
    page.get_by_label("Something else, see the note").check()
    page.get_by_role("button", name="Record the repair").click()
    back_at_the_case(page)
    assert bodies(page, case, "repair") == [{"work": "cleaned"}]


def test_what_the_findings_name_stands_first_and_all_else_by_group(page):
    case = open_case(page)
    drop_round(page, case, dead=3)
    record(page, case, ("check", {"check": "connector_look", "place": "coil.2", "finding": "oily"}))
    page.goto(f"/#/case/{case}/repair")
    page.get_by_role("radio", name="Connector or wire mended").check()
    choice = page.get_by_role("group", name="What was worked on")
    expect(choice.get_by_label("Coil connector 3", exact=True)).to_be_visible(timeout=THOUGHT_MS)
    expect(choice.get_by_label("Coil connector 2", exact=True)).to_be_visible()
    expect(choice.get_by_label("Coil connector 4", exact=True)).to_have_count(0)
    expect(choice.get_by_role("radio").filter(visible=True)).not_to_have_count(52)
    choice.get_by_text("All of it, by group").click()
    choice.get_by_role("group", name="Coil connector").get_by_label("4", exact=True).check()
    page.get_by_role("button", name="Record the repair").click()
    back_at_the_case(page)
    assert bodies(page, case, "repair") == [{"work": "mended", "component": "coil_connector@4"}]


def test_a_part_that_was_cleaned_is_named_by_its_place(page):
    case = open_case(page)
    drop_round(page, case, dead=3)
    page.goto(f"/#/case/{case}/repair")
    page.get_by_role("radio", name="Cleaned and reseated").check()
    page.get_by_label("Spark plug 3", exact=True).check(timeout=THOUGHT_MS)
    page.get_by_role("button", name="Record the repair").click()
    back_at_the_case(page)
    assert bodies(page, case, "repair") == [{"work": "cleaned", "place": "plug.3"}]


def test_a_torque_that_is_no_number_is_refused_at_its_field(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/repair")
    page.get_by_role("radio", name="Part replaced").check()
    page.get_by_label("Torque", exact=True).fill("tight")
    page.get_by_role("button", name="Record the repair").click()
    expect(page.get_by_text("Say first where the part was replaced.")).to_be_visible()
    coil_replaced_at(page, "3")
    page.get_by_role("button", name="Record the repair").click()
    expect(page.get_by_label("Torque", exact=True)).to_be_focused()
    expect(page.get_by_label("Torque", exact=True)).to_have_value("tight")
    assert bodies(page, case, "repair") == []


def plug_with_180(page: Page) -> str:
    case = open_case(page)
    page.goto(f"/#/case/{case}/repair")
    page.get_by_role("radio", name="Part replaced").check()
    page.get_by_role("group", name="Part", exact=True).get_by_role("radio", name="Spark plug").check()
    page.get_by_role("group", name="Spark plug at").get_by_role("radio", name="2").check()
    page.get_by_label("Unit of torque").select_option("N·m")
    page.get_by_label("Torque", exact=True).fill("180")
    page.get_by_role("button", name="Record the repair").click()
    asked = page.get_by_role("dialog", name="Is that the torque?")
    expect(asked).to_contain_text("180 N·m is above what a spark plug takes")
    expect(asked).to_contain_text("The maker's figure for this engine rules")
    assert bodies(page, case, "repair") == []
    return case


def test_a_torque_that_can_hardly_be_meant_is_asked_about_and_read_in_another_unit(page):
    case = plug_with_180(page)
    page.get_by_role("button", name="Correct it").click()
    expect(page.get_by_label("Torque", exact=True)).to_be_focused()
    assert bodies(page, case, "repair") == []
    page.get_by_role("button", name="Record the repair").click()
    page.get_by_role("button", name="It was 180 lbf·in").click()
    tag_not_now(page)
    (repair,) = bodies(page, case, "repair")
    assert repair["torque"] == {"si": pytest.approx(20.337, abs=1e-3), "typed": "180", "unit": "lbf·in"}
    expect(page.get_by_role("region", name="Story")).not_to_contain_text("doubtful")


def test_a_torque_that_the_maker_says_is_taken_and_stays_marked(page):
    case = plug_with_180(page)
    page.get_by_role("button", name="180 N·m is right, as the maker says").click()
    tag_not_now(page)
    assert [body["torque"]["si"] for body in bodies(page, case, "repair")] == [180]
    row = page.get_by_role("region", name="Story").get_by_role("link", name=re.compile("torque 180 N·m, doubtful"))
    expect(row).to_be_visible()
    row.click()
    expect(page.get_by_text("180 N·m is above what a spark plug takes")).to_be_visible()


def test_the_part_that_came_off_is_tagged_at_once(page):
    case = open_case(page)
    code = tag_code(page)
    page.goto(f"/#/case/{case}/repair")
    coil_replaced_at(page, "3")
    page.get_by_role("button", name="Record the repair").click()
    expect(page.get_by_role("heading", level=1, name="Tag the removed part")).to_be_visible()
    expect(page.get_by_text("The coil that came in at 3")).to_be_visible()
    page.get_by_label("Code under the square").fill(code)
    page.get_by_role("button", name="Bind this tag").click()
    back_at_the_case(page)
    assert bodies(page, case, "tag_bound") == [{"code": code, "part": f"{case}.coil.3"}]


def test_without_a_printed_tag_one_is_made_and_printed_later(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/repair")
    coil_replaced_at(page, "1")
    page.get_by_role("button", name="Record the repair").click()
    page.get_by_role("button", name="Make a tag, print it later").click()
    expect(page.get_by_role("heading", level=1, name="Label")).to_be_visible()
    assert [body["part"] for body in bodies(page, case, "tag_bound")] == [f"{case}.coil.1"]


def test_clearing_warns_of_readiness_and_of_codes_not_yet_kept(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/clear")
    expect(page.get_by_text("Clearing also clears readiness, which an emissions inspection checks.")).to_be_visible()
    expect(page.get_by_text("No codes are recorded yet")).to_be_visible()
    page.get_by_role("button", name="Codes are cleared").click()
    back_at_the_case(page)
    assert bodies(page, case, "codes_cleared") == [{"how": "reader"}]


def test_the_clock_of_the_road_test_runs_on_while_the_page_is_away(page):
    case = open_case(page)
    page.clock.install()
    page.goto(f"/#/case/{case}/drive")
    page.get_by_role("button", name="Start the clock").click()
    wait_until(page, "drafts.kept(arg).then((kept) => Boolean(kept?.begun))", f"form/{case}/drive")
    page.goto("/#/")
    page.clock.fast_forward(12 * 60_000)
    page.goto(f"/#/case/{case}/drive")
    expect(page.get_by_role("timer")).to_have_text("12:00")
    page.get_by_role("radio", name="Not at all").check()
    page.get_by_role("button", name="Record the road test").click()
    back_at_the_case(page)
    (drive,) = bodies(page, case, "road_test")
    assert drive["felt"] == "none"
    assert drive["minutes"] == pytest.approx(12, abs=0.2)


@pytest.mark.parametrize(
    ("said", "kept"), [(("3", "2"), {"missed": [2, 3]}), (("3", "Could not tell"), {"untold": True})]
)
def test_a_drive_that_missed_asks_where(page, said, kept):
    case = open_case(page)
    page.goto(f"/#/case/{case}/drive")
    where = page.get_by_role("group", name="Where it missed")
    page.get_by_role("textbox", name="Minutes").fill("12")
    page.get_by_role("radio", name="Not at all").check()
    expect(where).to_have_count(0)
    page.get_by_role("radio", name="Now and then").check()
    for one in said:
        where.get_by_label(one, exact=True).check()
    page.get_by_role("button", name="Record the road test").click()
    back_at_the_case(page)
    (drive,) = bodies(page, case, "road_test")
    assert {key: drive[key] for key in ("missed", "untold") if key in drive} == kept


def test_closing_proposes_the_cause_and_leaves_for_later_what_stands_apart(page):
    told = worked_case(page)
    page.goto(f"/#/case/{told.case}/close")
    expect(page.get_by_label("Confirmed cause")).to_have_value("The coil that came in at 3: dead", timeout=THOUGHT_MS)
    page.get_by_label("P0455: what and why").fill("Fuel vapor leak: the lamp comes back, no harm done")
    page.get_by_label("Advice to the owner").fill("Come by within a month.")
    page.get_by_label("Why it is closed with points open").fill("It goes on to the dealer")
    page.get_by_role("button", name="Close the case").click()
    expect(page.get_by_role("heading", level=1, name="Report")).to_be_visible()
    (closed,) = bodies(page, told.case, "case_closed")
    assert closed["despite"] == "It goes on to the dealer"
    assert closed["later"] == [{"code": "P0455", "text": "Fuel vapor leak: the lamp comes back, no harm done"}]
    assert closed["components"] == ["coil@3"]
    assert closed["probabilities"]["explanations"][0]["p"] > 0.9
    report = page.get_by_role("article")
    expect(report).to_contain_text("Come by within a month.", timeout=THOUGHT_MS)
    expect(report.get_by_role("img", name=re.compile("^Photo: .* Cylinder 3: its catch is broken"))).to_be_visible()
    page.goto("/#/")
    to_the_end_of_the_list(page)
    expect(page.get_by_role("heading", level=2, name="Closed")).to_be_visible()


def test_a_cause_that_no_repair_has_proved_is_offered_and_not_filled_in(page):
    told = worked_case(page)
    record(page, told.case, ("road_test", {"minutes": 9, "felt": "always", "conditions": ["idle"]}))
    page.goto(f"/#/case/{told.case}/close")
    offered = page.get_by_role("group", name="What the findings say").get_by_role("radio")
    expect(offered.first).to_be_visible(timeout=THOUGHT_MS)
    expect(page.get_by_label("Confirmed cause")).to_have_value("")
    assert not any(one.is_checked() for one in offered.all())
    offered.first.check()
    expect(page.get_by_label("Confirmed cause")).not_to_have_value("")


def point(page: Page, text: str):
    """A line of the checklist, by a part of what it says."""
    return page.get_by_role("region", name="Before closing").get_by_role("listitem").filter(has_text=text)


def test_each_open_point_leads_to_where_it_is_settled_and_back(page):
    told = worked_case(page)
    page.goto(f"/#/case/{told.case}/close")
    listed = page.get_by_role("region", name="Before closing")
    expect(listed).to_contain_text("3 points are open.", timeout=THOUGHT_MS)
    expect(point(page, "Driven for 14 minutes after the repair, without a miss.").get_by_role("link")).to_be_visible()
    page.get_by_label("Confirmed cause").fill("The coil that came in at 3")
    point(page, "Is the warning lamp out?").get_by_role("button", name="It is out").click()
    expect(listed).to_contain_text("2 points are open.")
    point(page, "Moved and not put back").get_by_role("button", name="It stays there on purpose").click()
    expect(listed).to_contain_text("1 point is open.")
    point(page, "The codes were not read again after the drive.").get_by_role("link", name="Read the codes").click()
    expect(page.get_by_role("link", name="Back to closing")).to_be_visible()
    page.get_by_label("Code", exact=True).fill("P0455")
    page.get_by_role("button", name="Add", exact=True).click()
    page.get_by_role("button", name="Keep 1 code").click()
    expect(page.get_by_role("heading", level=1, name="Close the case")).to_be_visible()
    expect(listed).to_contain_text("Nothing is open.")
    expect(page.get_by_label("Confirmed cause")).to_have_value("The coil that came in at 3")
    page.get_by_role("checkbox", name="The owner knows").check()
    expect(point(page, "The owner knows what is left for later.")).to_be_visible()
    page.get_by_role("button", name="Close the case").click()
    expect(page.get_by_role("heading", level=1, name="Report")).to_be_visible()
    (closed,) = bodies(page, told.case, "case_closed")
    assert "despite" not in closed
    assert [(row["code"], row["told"]) for row in closed["later"]] == [("P0455", True)]


def test_closing_with_points_open_asks_why(page):
    case = open_case(page)
    record(page, case, ("repair", {"work": "replaced", "place": "plug.1", "removed": f"{case}.plug.1"}))
    page.goto(f"/#/case/{case}/close")
    expect(point(page, "No codes were read in this case")).to_be_visible(timeout=THOUGHT_MS)
    page.get_by_label("Confirmed cause").fill("Plug of 1 worn")
    page.get_by_role("button", name="Close the case").click()
    expect(page.get_by_text("Points are open: settle them, or say why")).to_be_visible()
    assert bodies(page, case, "case_closed") == []
    page.get_by_role("button", name="No time for a drive today").click()
    page.get_by_role("button", name="Close the case").click()
    expect(page.get_by_role("heading", level=1, name="Report")).to_be_visible()
    assert [body["despite"] for body in bodies(page, case, "case_closed")] == ["No time for a drive today"]


def test_a_torque_is_told_at_closing(page):
    case = open_case(page)
    (repair,) = record(page, case, ("repair", {"work": "replaced", "place": "coil.1"}))
    page.goto(f"/#/case/{case}/close")
    point(page, "The torque at coil 1 is not recorded.").get_by_role("link", name="Say the torque").click()
    page.get_by_label("Unit of torque").select_option("N·m")
    page.get_by_label("Torque", exact=True).fill("8.1")
    page.get_by_label("Where the torque was read").fill("Maker's sheet")
    page.get_by_role("button", name="Record the torque").click()
    expect(point(page, "Torque at coil 1: 8.1 N·m.")).to_be_visible()
    answer = {"question": f"torque/{repair['id']}", "answer": "8.1 N·m", "note": "Maker's sheet"}
    assert bodies(page, case, "answered") == [answer]


def test_a_contact_that_was_only_cleaned_is_left_to_be_watched(page):
    case = open_case(page)
    record(page, case, ("repair", {"work": "cleaned", "component": "coil_connector@2"}))
    page.goto(f"/#/case/{case}/close")
    point(page, "Coil connector 2 was only cleaned").get_by_role("button", name="Leave it to be watched").click()
    left = page.get_by_role("group", name="Left for later").get_by_role("listitem")
    expect(left).to_contain_text("Coil connector 2 was only cleaned")
    expect(left.get_by_label("What and why")).to_have_value("")  # words of one's own alone: the rest is data
    expect(point(page, "Coil connector 2 was only cleaned")).to_contain_text("the owner is not told yet")


def test_a_lamp_that_is_on_and_no_reader_is_left_for_later_with_its_reason(page):
    case = open_case(page)
    record(page, case, ("complaint", {"symptoms": ["shakes"], "lamp": "steady"}))
    page.goto(f"/#/case/{case}/close")
    point(page, "Is the warning lamp out?").get_by_role("button", name="It is on: leave it for later").click()
    reasons = page.get_by_role("group", name="Why", exact=True)
    reasons.get_by_role("button", name="No reader today").click()
    expect(reasons.get_by_role("button", name="No reader today")).to_have_attribute("aria-pressed", "true")
    point(page, "No repair is recorded.").get_by_role("button", name="The owner declines the repair").click()
    expect(page.get_by_role("region", name="Before closing")).to_contain_text("Nothing is open.")
    page.get_by_label("Confirmed cause").fill("Compression of 2")
    page.get_by_role("button", name="Close the case").click()
    report = page.get_by_role("article")
    expect(report).to_contain_text("Nothing was repaired: you decided against it.", timeout=THOUGHT_MS)
    expect(report).to_contain_text("The warning lamp is still on. There was no code reader at hand")
    (closed,) = bodies(page, case, "case_closed")
    assert closed["later"] == [
        {"what": "lamp", "why": "no_reader"},
        {"what": "unrepaired", "why": "declined", "told": True},
    ]
    assert "despite" not in closed
    page.goto(f"/#/case/{case}")
    closing = page.locator(".notice").filter(has_text="Closed, not repaired")
    left = "The warning lamp is still on: the codes have to be read and cleared. No reader today."
    expect(closing).to_contain_text(left, timeout=THOUGHT_MS)


def test_a_closed_case_is_opened_again_with_a_reason(page):
    case = open_case(page)
    record(page, case, ("case_closed", {"cause": "The coil"}))
    page.goto(f"/#/case/{case}")
    expect(page.get_by_text("Closed, not repaired", exact=True).first).to_be_visible()
    keys = page.get_by_role("navigation", name="Record")
    expect(keys.get_by_role("link", name="Clear codes")).to_have_count(0)
    keys.get_by_role("link", name="Open again").click()
    page.get_by_label("Why", exact=True).fill("It shakes again")
    page.get_by_role("button", name="Open it again").click()
    back_at_the_case(page)
    assert bodies(page, case, "case_reopened") == [{"why": "It shakes again"}]


def test_a_miss_after_closing_proposes_to_open_the_case_again(page):
    told = worked_case(page, closed=True)
    page.goto(f"/#/case/{told.case}")
    expect(page.get_by_role("region", name="What it was")).to_be_visible(timeout=THOUGHT_MS)
    step = page.get_by_role("region", name="Next step")
    expect(step).to_have_count(0)  # a closed case asks for nothing
    record(page, told.case, ("check", {"check": "wiggle", "place": "coil.1", "finding": "misses"}))
    step.get_by_role("button", name="Open the case again?").click(timeout=THOUGHT_MS)
    page.get_by_label("Why", exact=True).fill("It misses when the harness is moved")
    page.get_by_role("button", name="Open it again").click()
    back_at_the_case(page)
    expect(page.get_by_text("Closed", exact=True)).to_have_count(0)
    assert bodies(page, told.case, "case_reopened") == [{"why": "It misses when the harness is moved"}]


def test_the_step_that_closes_a_proved_case_is_under_the_thumb_at_once(page):
    told = worked_case(page)
    codes = {"codes": [{"code": "P0455", "status": "stored"}], "complete": True}
    drive = {"minutes": 60, "felt": "none", "conditions": ["idle", "load"]}
    record(page, told.case, ("road_test", drive), ("codes_read", codes))
    page.goto(f"/#/case/{told.case}")
    close = page.get_by_role("region", name="Next step").get_by_role("button", name="Close the case")
    expect(close).to_be_visible(timeout=THOUGHT_MS)
    keys = page.get_by_role("navigation", name="Record").bounding_box()
    box = close.bounding_box()
    assert box["y"] >= 0 and box["y"] + box["height"] <= keys["y"], "seen whole, without scrolling"
    close.click()
    key = page.get_by_role("button", name="Close the case")
    expect(key).to_be_in_viewport(ratio=1)
    told_there = page.get_by_role("heading", level=2).first
    expect(told_there).to_be_in_viewport(ratio=1)


def test_the_report_is_a_file_that_needs_nothing_else(page):
    told = worked_case(page, closed=True)
    page.goto(f"/#/case/{told.case}/report")
    expect(page.get_by_role("article").get_by_role("img").first).to_be_visible(timeout=THOUGHT_MS)
    page.evaluate("() => { navigator.canShare = () => false; }")
    with page.expect_download() as download:
        page.get_by_role("button", name="Share").click()
    assert download.value.suggested_filename == "2011-Zedex-Four.html"
    text = download.value.path().read_text(encoding="utf-8")
    assert "The coil that came in at 3" in text
    assert 'src="data:image/jpeg;base64,' in text
    assert "blob:" not in text and "<script" not in text


def test_a_tag_made_without_a_signal_hangs_on_the_removed_part_and_leads_back_to_it(new_phone):
    phone = new_phone()
    page = sign_in_here(phone)
    case = open_case(page)
    record(page, case, ("repair", {"work": "replaced", "place": "coil.2"}))
    page.goto("/#/")
    expect(page.get_by_text("Ready to work offline")).to_be_visible()
    page.goto(f"/#/case/{case}/tag")
    expect(page.get_by_role("radio", name="The coil that came in at 2")).to_be_checked()
    phone.set_offline(True)
    page.get_by_role("button", name="Make a tag for it").click()
    expect(page.get_by_role("heading", level=1, name="Label")).to_be_visible()
    (bound,) = bodies(page, case, "tag_bound")
    code = bound["code"]
    assert bound["part"] == f"{case}.coil.2"
    words = f"{code[:4]}-{code[4:7]}-{code[7:]}"
    expect(page.get_by_role("img", name=f"Square with the address of tag {words}")).to_be_visible()
    page.goto("/#/tags")
    page.get_by_label("Code under the square").fill(words.lower())
    page.get_by_role("button", name="Find the part").click()
    expect(page.get_by_role("heading", level=1, name="The coil that came in at 2")).to_be_visible()
    expect(page.locator(".trail").get_by_role("listitem")).to_have_text(["coil 2", "off the engine"])


def test_a_slip_in_a_tag_is_caught_while_it_is_typed(page):
    page.goto("/#/tags")
    code = tag_code(page)
    wrong = code[:-1] + ("0" if code[-1] != "0" else "1")
    page.get_by_label("Code under the square").fill(wrong)
    expect(page.get_by_text("One character is wrong or two are swapped")).to_be_visible()


def test_the_address_on_a_tag_opens_its_part(page):
    told = worked_case(page)
    wait_until(page, "sync.syncNow()")
    page.goto(f"/T/{told.tag}")
    expect(page.get_by_role("heading", level=1, name="The coil that came in at 3")).to_be_visible()
    expect(page.get_by_text("On the shelf").first).to_be_attached()


def test_where_a_removed_part_is_now_is_recorded_on_its_page(page):
    case = open_case(page)
    record(page, case, ("repair", {"work": "replaced", "place": "plug.1"}))
    page.goto(f"/#/case/{case}/part/{case}.plug.1")
    page.get_by_role("button", name="Where it is now").click()
    page.get_by_role("radio", name="Bench-tested").check()
    page.get_by_role("radio", name="Bad", exact=True).check()
    page.get_by_role("button", name="Keep where it is").click()
    expect(page.get_by_text("Off the engine: bench-tested")).to_be_visible()
    assert bodies(page, case, "part_fate") == [{"fate": "bench_tested", "bench": "bad", "part": f"{case}.plug.1"}]


def test_photos_of_a_repair_hang_on_it(page):
    case = open_case(page)
    photo = take_photo(page)
    draft = {"work": "replaced", "place": "coil.1", "photos": [photo]}
    run(page, "drafts.keep(arg.key, arg.draft)", {"key": f"form/{case}/repair", "draft": draft})
    page.goto(f"/#/case/{case}/repair")
    expect(page.get_by_role("img", name="Photo 1, kept with this")).to_be_visible()
    page.get_by_role("button", name="Record the repair").click()
    tag_not_now(page)
    entries = {entry["kind"]: entry for entry in run(page, "log.entriesOf(arg)", case)}
    wanted = photo | {"shows": "repair", "place": "coil.1", "of": entries["repair"]["id"]}
    wait_until(page, "log.entriesOf(arg).then((all) => all.some((one) => one.kind === 'photo'))", case)
    assert bodies(page, case, "photo") == [wanted]


@contextmanager
def core_on_its_way(phone, page) -> Iterator[None]:
    """The application's page is begun, and its core comes when this ends."""
    asked = []
    phone.route("**/core.pack", lambda route: asked.append(route))
    phone.route("**/sw.js*", lambda route: route.abort())
    page.goto("/#/")
    yield
    phone.unroute("**/core.pack")  # for a page that has not asked yet
    for route in asked:
        route.continue_()


def test_the_tag_is_offered_though_the_core_still_works_out_which_part_came_off(new_phone):
    phone = new_phone()
    page = sign_in_here(phone)
    case = open_case(page)
    form = {"key": f"form/{case}/repair", "draft": {"work": "replaced", "place": "coil.1"}}
    run(page, "drafts.keep(arg.key, arg.draft)", form)
    with core_on_its_way(phone, page):
        page.goto(f"/#/case/{case}/repair")
        page.get_by_role("button", name="Record the repair").click()
        expect(page.get_by_role("heading", level=1, name="Tag the removed part")).to_be_visible()
        expect(page.get_by_text("Reading the case")).to_be_visible()
    expect(page.get_by_text("The coil that came in at 1")).to_be_visible()
    tag_not_now(page)


def test_a_form_that_was_open_before_the_advice_came_is_filled_in_by_a_key(new_phone):
    phone = new_phone()
    page = sign_in_here(phone)
    case = open_case(page)
    drop_round(page, case, dead=3)
    swap = [{"from": "coil.3", "to": "coil.1"}, {"from": "coil.1", "to": "coil.3"}]
    record(page, case, ("parts_moved", {"moves": swap}))
    drop_round(page, case, dead=1)
    with core_on_its_way(phone, page):
        page.goto(f"/#/case/{case}/repair")
        expect(page.get_by_role("button", name="Record the repair")).to_be_visible()
    page.get_by_role("button", name=re.compile("^As the findings say: .*coil")).click(timeout=THOUGHT_MS)
    expect(page.get_by_role("radio", name="Part replaced")).to_be_checked()
    expect(page.get_by_text(re.compile("^Filled in from the"))).to_be_visible()
    page.get_by_role("button", name="Record the repair").click()
    tag_not_now(page)
    (repair,) = bodies(page, case, "repair")
    assert (repair["work"], repair["place"]) == ("replaced", "coil.1")


def test_a_long_line_of_the_closing_is_seen_whole(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/close")
    page.get_by_role("button", name="Something else").click()
    expect(page.get_by_text("The owner knows what is left for later.")).to_have_count(0)
    line = page.get_by_label("What and why")
    low = line.bounding_box()["height"]
    line.fill(
        "The left front tyre is worn on its inner edge down to the cords and is to be replaced with the next service"
    )
    expect(line).to_have_js_property("rows", 1)
    assert line.bounding_box()["height"] > low
    assert line.evaluate("(one) => one.scrollHeight <= one.clientHeight")


def test_the_form_starts_from_what_the_findings_leave_no_doubt_about_where_the_advice_asks_something_else(page):
    case = open_case(page)
    drop_round(page, case, dead=3)
    swap = [{"from": "coil.3", "to": "coil.1"}, {"from": "coil.1", "to": "coil.3"}]
    record(page, case, ("parts_moved", {"moves": swap}))
    drop_round(page, case, dead=1)
    record(page, case, ("parts_moved", {"moves": [{"from": "plug.2", "to": "unknown"}]}))
    page.goto(f"/#/case/{case}")
    first = page.get_by_role("region", name="Next step").locator(".first").get_by_role("button").first
    expect(first).to_contain_text("?", timeout=THOUGHT_MS)
    page.get_by_role("navigation", name="Record").get_by_role("link", name="Repair").click()
    expect(page.get_by_text("Filled in from the findings: The coil that came in at 3")).to_be_visible()
    expect(page.get_by_role("group", name="Coil at").get_by_role("radio", name="1")).to_be_checked()
    page.get_by_role("group", name="Coil at").get_by_role("radio", name="2").check()
    expect(page.get_by_text("Filled in from the findings")).to_have_count(0)


def test_what_came_off_already_fills_in_no_further_repair(page):
    case = open_case(page)
    drop_round(page, case, dead=3)
    swap = [{"from": "coil.3", "to": "coil.1"}, {"from": "coil.1", "to": "coil.3"}]
    record(page, case, ("parts_moved", {"moves": swap}))
    drop_round(page, case, dead=1)
    record(page, case, ("repair", {"work": "replaced", "place": "coil.1", "removed": f"{case}.coil.3"}))
    page.goto(f"/#/case/{case}")
    diagnosis = "core.ask('diagnosis', {entries: await log.entriesOf(arg)})"
    first = run(page, diagnosis, case)["components"][0]
    assert (first["component"], first["place"], first["fault"] > 0.8) == ("coil@3", None, True)
    expect(page.get_by_role("region", name="Next step").locator(".step-minutes").first).to_be_visible(
        timeout=THOUGHT_MS
    )
    page.get_by_role("navigation", name="Record").get_by_role("link", name="Repair").click()
    expect(page.get_by_role("button", name="Record the repair")).to_be_visible()
    expect(page.get_by_role("group", name="Work").get_by_role("radio", checked=True)).to_have_count(0)
    expect(page.get_by_text("Filled in from the findings")).to_have_count(0)
