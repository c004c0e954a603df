"""The case at one glance: what follows from the log, what it rests on, and what is struck out."""

import re

import pytest
from playwright.sync_api import expect

from coiltrail.core import checks

from .conftest import run
from .worked_case import drop_round, open_case, record, reload_kept, sign_in_here, take_photo

THOUGHT_MS = 120_000  # the diagnosis on a busy machine: a limit for what hangs, not a measurement


@pytest.fixture
def page(new_phone):
    return sign_in_here(new_phone(connected=True))


def test_a_dead_cylinder_shows_in_the_drawing_by_words_and_leads_to_its_suspects(page):
    case = open_case(page)
    drop_round(page, case, dead=3)
    page.goto(f"/#/case/{case}")
    drawing = page.get_by_role("group", name="Engine from above, 4 cylinders")
    expect(drawing.get_by_text("dead", exact=True)).to_have_count(1)
    expect(drawing.get_by_text("runs", exact=True)).to_have_count(3)
    expect(drawing.get_by_role("link", name="Cylinder 3, dead")).to_be_visible(timeout=THOUGHT_MS)
    drawing.get_by_role("link", name="Cylinder 3, dead").click()
    suspects = page.get_by_role("main").get_by_role("listitem").filter(has_text="%")
    expect(suspects.first).to_contain_text("oil")
    expect(page.get_by_role("link", name="Drop test: No change")).to_be_visible()


def test_an_explanation_opens_into_its_findings_and_a_finding_opens_its_photo(page):
    case = open_case(page)
    (look,) = record(page, case, ("check", {"check": "connector_look", "place": "coil.3", "finding": "latch_broken"}))
    photo = take_photo(page) | {"shows": "connector", "place": "coil.3", "of": look["id"]}
    record(page, case, ("photo", photo))
    drop_round(page, case, dead=3)
    page.goto(f"/#/case/{case}")
    explanations = page.get_by_role("region", name="What it may be")
    first = explanations.get_by_role("button").first
    expect(first).to_be_visible(timeout=THOUGHT_MS)
    first.click()
    expect(first).to_have_attribute("aria-expanded", "true")
    expect(explanations.get_by_text("Together", exact=True)).to_be_visible(timeout=THOUGHT_MS)
    expect(explanations.locator(".says").first).to_have_text(re.compile("^(speaks|all but) "))
    figures = explanations.get_by_role("cell", name=re.compile(" to "))
    expect(figures.first).to_be_hidden()
    explanations.get_by_text("What the words mean, and the figures").click()
    expect(figures.first).to_be_visible()
    explanations.get_by_role("img", name="Coil connector, coil 3").click()
    expect(page.get_by_role("heading", level=1, name="Coil connector, coil 3")).to_be_attached()
    page.get_by_role("button", name="Close", exact=True).click()
    expect(explanations).to_be_visible()


def test_the_next_step_leads_to_where_it_is_recorded_filled_in(page):
    case = open_case(page)
    record(page, case, ("codes_read", {"codes": [{"code": "P0303", "status": "stored"}], "complete": True}))
    drop_round(page, case, dead=3)
    page.goto(f"/#/case/{case}")
    step = page.get_by_role("region", name="Next step").get_by_role("button").first
    expect(step).to_contain_text("min", timeout=THOUGHT_MS)
    step.click()
    expect(page.get_by_role("heading", level=1, name="2011 Zedex Four")).to_have_count(0)
    expect(page.get_by_role("main")).to_contain_text("3")


def test_other_ways_unfold_above_the_keys(page):
    page.set_viewport_size({"width": 390, "height": 844})
    case = open_case(page)
    drop_round(page, case, dead=2)
    page.goto(f"/#/case/{case}")
    page.get_by_role("button", name="Other ways").click(timeout=THOUGHT_MS)
    second = page.get_by_role("region", name="Next step").locator("li .key").first
    expect(second).to_be_in_viewport(ratio=1)
    page.wait_for_function(
        "() => document.querySelector('.step li .key').getBoundingClientRect().bottom"
        " <= document.querySelector('.case-keys').getBoundingClientRect().top"
    )


def test_an_entry_is_struck_out_with_a_reason_and_stays_legible(page):
    case = open_case(page)
    record(page, case, ("note", {"text": "Wrong car"}))
    page.goto(f"/#/case/{case}")
    story = page.get_by_role("region", name="Story")
    story.get_by_role("link", name="Wrong car").click()
    page.get_by_role("button", name="Strike out").click()
    page.get_by_role("button", name="Strike it out").click()
    told = page.get_by_text("Why: say in a word or two why it does not count.")
    expect(told).to_be_visible()
    key, words = page.get_by_role("button", name="Strike it out").bounding_box(), told.bounding_box()
    assert key["y"] < words["y"], "the key stays where it was tapped"
    page.get_by_label("Why does it not count").fill("Typed in the wrong case")
    expect(told).to_have_count(0)
    page.get_by_role("button", name="Strike it out").click()
    expect(story.get_by_role("link", name="Wrong car struck out")).to_be_visible()
    strike = story.get_by_role("link", name="Struck because: Typed in the wrong case")
    expect(strike.locator("s")).to_have_text("Wrong car")
    entries = run(page, "log.entriesOf(arg)", case)
    assert [entry["kind"] for entry in entries] == ["case_opened", "note", "struck"]


def test_the_drawing_gives_no_figures_beside_those_of_the_list(page):
    case = open_case(page)
    record(page, case, ("codes_read", {"codes": [{"code": "P0303", "status": "stored"}]}))
    page.goto(f"/#/case/{case}")
    drawing = page.get_by_role("group", name="Engine from above, 4 cylinders")
    told = drawing.get_by_role("link", name=re.compile("^Cylinder 3, [0-9]+.% likely to miss, may miss$"))
    expect(told).to_be_visible(timeout=THOUGHT_MS)
    expect(drawing.get_by_text("may miss", exact=True)).to_have_count(1)
    expect(drawing.get_by_text("%")).to_have_count(0)


def test_the_last_known_case_stands_at_once_where_the_core_cannot_be_had(new_phone):
    phone = new_phone()
    page = sign_in_here(phone)
    case = open_case(page)
    drop_round(page, case, dead=2)
    page.goto(f"/#/case/{case}")
    drawing = page.get_by_role("group", name="Engine from above, 4 cylinders")
    leading = page.get_by_role("region", name="What it may be").get_by_role("button", name="Coil 2: dead")
    expect(leading.first).to_be_visible(timeout=THOUGHT_MS)
    phone.route("**/core.pack", lambda route: route.abort())
    phone.route("**/sw.js*", lambda route: route.abort())
    page.goto("/#/")
    page.reload()
    page.goto(f"/#/case/{case}")
    expect(drawing.get_by_role("link", name="Cylinder 2, dead")).to_be_visible()
    expect(leading.first).to_be_visible()


def test_advice_on_a_case_that_is_as_it_was_is_not_worked_out_again(new_phone):
    page = sign_in_here(new_phone())
    case = open_case(page)
    drop_round(page, case, dead=2)
    page.goto(f"/#/case/{case}")
    settled = page.locator(".step[aria-busy=false]").get_by_role("button").first
    expect(settled).to_be_visible(timeout=THOUGHT_MS)
    run(page, "release.onceKept()")
    page.evaluate("location.hash = '#/'")
    page.reload()  # from the release on the phone, by which what it keeps is known
    page.goto(f"/#/case/{case}")
    expect(settled).to_be_visible(timeout=THOUGHT_MS)
    advice = settled.inner_text()
    page.add_init_script(_SILENT_CORE)
    page.reload()
    expect(settled).to_have_text(advice, use_inner_text=True)
    record(page, case, ("note", {"text": "Rain since this morning"}))
    expect(page.get_by_text("Working out the next step. Until then, from before")).to_be_visible()
    done = run(page, "drafts.kept(arg)", f"told/{case}")["diagnosis"]["steps"][0]
    record(page, case, (done["kind"], done["body"]))
    # What was just done is not asked for again while the advice is thought over.
    expect(page.get_by_text("Working out the next step. Record meanwhile.")).to_be_visible()
    expect(page.get_by_role("region", name="Next step").get_by_text(done["title"])).to_have_count(0)


_SILENT_CORE = """
globalThis.Worker = class extends EventTarget {
  postMessage() {}
  terminate() {}
};
"""


def test_a_case_that_is_not_here_says_so(page):
    page.goto("/#/case/01890000-0000-7000-8000-000000000001")
    expect(page.get_by_role("heading", level=1, name="Not on this device")).to_be_visible()


def test_a_note_and_a_photo_are_kept_with_the_cylinder_they_are_about(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/note")
    page.get_by_label("Text", exact=True).fill("Ticks when warm")
    page.get_by_role("radio", name="2", exact=True).check()
    page.get_by_role("button", name="Keep the note").click()
    expect(page.get_by_role("region", name="Story").get_by_role("link", name="Ticks when warm")).to_be_visible()
    page.goto(f"/#/case/{case}/note")
    page.get_by_role("button", name="Keep the note").click()
    expect(page.get_by_label("Text", exact=True)).to_be_focused()
    notes = [entry["body"] for entry in run(page, "log.entriesOf(arg)", case) if entry["kind"] == "note"]
    assert notes == [{"text": "Ticks when warm", "cylinder": 2}]


def test_a_part_proved_bad_comes_with_the_sums_for_one_or_the_set_and_how_far_to_trust_it(page):
    case = open_case(page)
    drop_round(page, case, dead=3)
    swap = {"moves": [{"from": "coil.3", "to": "coil.1"}, {"from": "coil.1", "to": "coil.3"}]}
    record(page, case, ("parts_moved", swap))
    drop_round(page, case, dead=1)
    page.goto(f"/#/case/{case}")
    sums = page.get_by_role("region", name="One or the set")
    expect(sums.get_by_role("row")).to_have_count(3, timeout=THOUGHT_MS)
    now, later, together = (int(text) for text in sums.get_by_role("row").nth(1).get_by_role("cell").all_inner_texts())
    assert abs(now + later - together) <= 1
    page.get_by_role("button", name="How far to trust this").click()
    expect(page.locator(".trust")).to_contain_text("one of our figures", timeout=2 * THOUGHT_MS)


def test_only_what_the_van_holds_is_proposed_and_the_case_says_so(page):
    case = open_case(page)
    drop_round(page, case, dead=3)
    page.goto("/#/van")
    expect(page.get_by_role("checkbox", checked=True)).to_have_count(len(checks.TOOLS))
    page.get_by_role("button", name="Nothing but hands").click()
    expect(page.get_by_role("checkbox", checked=True)).to_have_count(0)
    page.goto(f"/#/case/{case}")
    step = page.get_by_role("region", name="Next step")
    expect(step.get_by_role("button").first).to_contain_text("min", timeout=THOUGHT_MS)
    expect(step.get_by_text("Needs:")).to_have_count(0)
    expect(step.get_by_text(f"Without {len(checks.TOOLS)} tools.")).to_be_visible()
    step.get_by_role("link", name="Your tools").click()
    page.get_by_role("button", name="All of it").click()
    page.get_by_role("link", name="Back", exact=True).click()
    expect(step.get_by_role("button").first).to_contain_text("min", timeout=THOUGHT_MS)
    expect(step.get_by_role("link")).to_have_count(0)


def test_a_tool_that_is_not_here_today_is_named_and_missed_by_this_case_alone(page):
    case, other = open_case(page), open_case(page)
    page.goto(f"/#/case/{case}")
    step = page.get_by_role("region", name="Next step")
    step.get_by_role("button", name="Not at hand").click(timeout=THOUGHT_MS)
    expect(step.get_by_role("checkbox", name="Scan tool with live data")).to_be_checked()
    step.get_by_role("checkbox", name="Scan tool with live data").uncheck()
    page.evaluate("scrollTo(0, 500)")
    step.get_by_role("button", name="Not today").click()
    expect(step.get_by_text("Without code reader.")).to_be_visible()
    expect(step.locator(".lettered").first).to_be_in_viewport()
    expect(step.get_by_role("button").first).to_be_in_viewport()
    reload_kept(page)
    expect(step.get_by_text("Without code reader.")).to_be_visible(timeout=THOUGHT_MS)
    page.goto(f"/#/case/{other}")
    step.get_by_role("button", name="Not at hand").click(timeout=THOUGHT_MS)
    expect(step.get_by_role("checkbox", name="Code reader")).to_be_checked()
    expect(step.get_by_role("link", name="Your tools")).to_have_count(0)
    step.get_by_role("button", name="I have none").click()
    expect(step.get_by_text("Without code reader, scan tool with live data.")).to_be_visible()
    page.goto("/#/van")
    expect(page.get_by_role("checkbox", name="Code reader")).not_to_be_checked()


def test_a_question_that_is_the_next_step_is_answered_on_a_sheet(page):
    case = open_case(page)
    drop_round(page, case, dead=3)
    record(page, case, ("parts_moved", {"moves": [{"from": "coil.3", "to": "unknown"}]}))
    page.goto(f"/#/case/{case}")
    step = page.get_by_role("region", name="Next step").locator(".first").get_by_role("button")
    expect(step).to_contain_text("?", timeout=THOUGHT_MS)
    step.click()
    sheet = page.get_by_role("dialog", name="A question")
    sheet.get_by_role("button").nth(1).click()
    expect(sheet).to_have_count(0)
    assert run(page, "log.entriesOf(arg)", case)[-1]["kind"] == "answered"


def test_how_a_place_is_reached_is_set_by_one_tap(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/cylinder/3")
    page.get_by_role("group", name="Coil 3").get_by_label("Tight, by feel").check()
    expect(page.get_by_text("Saved on this device")).to_be_visible()
    noted = run(page, "log.entriesOf(arg)", case)[-1]
    assert noted["kind"] == "part_noted"
    assert noted["body"] == {"part": f"{case}.coil.3", "kind": "coil", "place": "coil.3", "reach": "tight"}
    expect(page.get_by_role("group", name="Coil 3").get_by_label("Tight, by feel")).to_be_checked()


def test_a_long_engine_leaves_the_next_step_on_the_screen(page):
    case = open_case(page, cylinders=6, orientation="lengthways")
    drop_round(page, case, dead=3)
    page.goto(f"/#/case/{case}")
    step = page.get_by_role("region", name="Next step").get_by_role("button").first
    expect(step).to_contain_text("min", timeout=THOUGHT_MS)
    keys = page.get_by_role("navigation", name="Record", exact=True).bounding_box()
    line = step.bounding_box()
    assert line["y"] + line["height"] <= keys["y"]


def test_a_new_case_keeps_what_closed_cases_taught(page):
    case = open_case(page)
    cause = {"cause": "The coil that came in at 3", "components": ["coil@3"]}
    record(page, case, ("case_closed", cause))
    page.goto("/#/learned")
    row = page.get_by_role("region", name="How often it is at fault").get_by_role("row", name="Coil Usual 5")
    expect(row).to_contain_text(" of ", timeout=THOUGHT_MS)
    page.goto("/#/new")
    page.get_by_label("Make", exact=True).fill("Quill")
    page.get_by_role("button", name="Open the case").click()
    expect(page.get_by_role("region", name="Story")).to_be_visible()
    newest = run(page, "log.caseList()")[0]["case"]
    opened = run(page, "log.entriesOf(arg)", newest)[0]["body"]
    assert newest != case and opened["table"]["priors"]["coil"] > 0.05 and opened["table"]["version"] != "default"


def test_a_vehicle_that_was_put_right_keeps_what_stood_there_under_a_fold(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/vehicle")
    page.get_by_label("Model", exact=True).fill("Five")
    page.get_by_role("button", name="Keep", exact=True).click()
    expect(page.get_by_role("heading", level=1, name="2011 Zedex Five")).to_be_visible()
    story = page.get_by_role("region", name="Story")
    expect(story.locator("ol > li")).to_have_count(1)  # neither the struck entry nor its strike takes a row
    former = story.get_by_role("link", name=re.compile("Zedex Four"))
    expect(former).to_be_hidden()
    story.get_by_text("Put right", exact=True).click()
    expect(former).to_be_visible()
    former.click()
    expect(page.get_by_text("Struck out: it does not count.")).to_be_visible()


def test_the_story_names_the_place_of_a_photo(page):
    case = open_case(page)
    record(page, case, ("photo", take_photo(page) | {"shows": "connector", "place": "coil.3"}))
    record(page, case, ("photo", take_photo(page, 1100) | {"shows": "plug", "cylinder": 2}))
    page.goto(f"/#/case/{case}")
    rows = page.get_by_role("region", name="Story").locator(".story-row")
    expect(rows.first).to_contain_text("Spark plug, cylinder 2")
    expect(rows.nth(1)).to_contain_text("Coil connector, coil 3")
    expect(rows.nth(1).get_by_role("img", name="Photo: Coil connector, coil 3")).to_be_visible()


def test_what_is_not_here_today_is_here_tomorrow_and_is_kept_no_longer(page):
    case = open_case(page)
    of_yesterday = {"day": "Wed Nov 25 2020", "tools": ["code_reader"]}
    kept = {"notToday": {case: of_yesterday, "another": of_yesterday, "of an older release": ["code_reader"]}}
    page.evaluate("(kept) => localStorage.setItem('coiltrail.settings', JSON.stringify(kept))", kept)
    page.goto(f"/#/case/{case}")
    step = page.get_by_role("region", name="Next step")
    step.get_by_role("button", name="Not at hand").click(timeout=THOUGHT_MS)
    expect(step.get_by_role("checkbox", name="Code reader")).to_be_checked()
    step.get_by_role("button", name="Not today").click()
    expect(step.get_by_text("Without code reader, scan tool with live data.")).to_be_visible()
    settings = page.evaluate("() => JSON.parse(localStorage.getItem('coiltrail.settings'))")
    assert list(settings["notToday"]) == [case]
    assert settings["notToday"][case]["day"] != of_yesterday["day"]


def test_a_cap_is_offered_to_be_looked_at_where_the_engine_has_one(page):
    cap, trim = page.get_by_role("link", name="Distributor cap and rotor"), page.get_by_role("link", name="Fuel trim")
    page.goto(f"/#/case/{open_case(page)}/checks")
    expect(trim).to_be_visible()
    expect(cap).to_have_count(0)
    page.goto(f"/#/case/{open_case(page, ignition='distributor')}/checks")
    expect(cap).to_be_visible()


def test_the_list_of_checks_and_the_next_step_tell_the_same_minutes(page):
    case = open_case(page)
    drop_round(page, case, dead=3)
    record(page, case, ("check", {"check": "coil_look", "place": "coil.3", "finding": "good"}))
    page.goto(f"/#/case/{case}")
    step = page.get_by_role("region", name="Next step").get_by_role("button", name=re.compile("^Spark across a gap"))
    expect(step).to_contain_text("3 min", timeout=THOUGHT_MS)  # half of what it takes with the coil in its place
    page.goto(f"/#/case/{case}/checks")
    expect(page.get_by_role("link", name=re.compile("^Spark across a gap"))).to_contain_text("3 min")


def test_a_leak_that_is_much_is_kept_with_where_it_was_heard(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/check/leak_down/3")
    reading = page.get_by_label("Reading", exact=True)
    expect(reading).to_be_in_viewport()
    reading.fill("6")
    expect(page.get_by_role("button", name="Keep the reading: Little")).to_be_visible()
    reading.fill("68")
    told = page.get_by_text("Listen where the air goes, then tap it below.")
    expect(told).to_be_visible()
    expect(page.get_by_role("button", name="Keep the reading")).to_have_count(0)
    page.get_by_role("button", name="Much, out of the exhaust").click()
    expect(page.get_by_role("navigation", name="Record")).to_be_visible()
    (body,) = [entry["body"] for entry in run(page, "log.entriesOf(arg)", case) if entry["kind"] == "check"]
    assert (body["cylinder"], body["finding"], body["reading"]["typed"]) == (3, "exhaust", "68")


def test_a_check_at_one_place_begins_where_the_last_record_was_made(page):
    case = open_case(page)
    swap = [{"from": "coil.2", "to": "coil.4"}, {"from": "coil.4", "to": "coil.2"}]
    record(page, case, ("parts_moved", {"moves": swap}))
    record(page, case, ("check", {"check": "plug_look", "place": "plug.3", "finding": "worn"}))
    chosen = page.get_by_role("group", name="Cylinder").get_by_role("radio", checked=True)
    page.goto(f"/#/case/{case}/check/plug_gap")
    expect(chosen).to_have_accessible_name("3")
    record(page, case, ("check", {"check": "plug_look", "place": "plug.1", "finding": "good"}))
    # It was only looked at before: nobody has chosen 3.
    page.goto(f"/#/case/{case}")
    expect(page.get_by_role("navigation", name="Record")).to_be_visible()
    page.goto(f"/#/case/{case}/check/plug_gap")
    expect(chosen).to_have_accessible_name("1")
    page.get_by_role("group", name="Cylinder").get_by_role("radio", name="4").check()
    reload_kept(page)
    expect(chosen).to_have_accessible_name("4")
    page.get_by_role("button", name="Within specification").click()
    expect(page.get_by_role("navigation", name="Record")).to_be_visible()
    body = [entry["body"] for entry in run(page, "log.entriesOf(arg)", case) if entry["kind"] == "check"][-1]
    assert (body["place"], "preset" in body) == ("plug.4", False)


def test_what_was_typed_for_a_step_is_there_when_the_step_is_begun_again(page):
    case = open_case(page)
    drop_round(page, case, dead=3)
    swap = [{"from": "coil.3", "to": "coil.1"}, {"from": "coil.1", "to": "coil.3"}]
    record(page, case, ("parts_moved", {"moves": swap}))
    drop_round(page, case, dead=3)
    page.goto(f"/#/case/{case}")
    step = page.get_by_role("region", name="Next step").locator(".first").get_by_role("button").first
    expect(step).to_contain_text("Injector sound, injector 3", timeout=THOUGHT_MS)
    step.click()
    page.get_by_label("Note", exact=True).fill("Half typed, then the phone was gone")
    expect(page.get_by_role("link", name="Back to the case")).to_be_visible()
    reload_kept(page)
    page.goto(f"/#/case/{case}")
    expect(step).to_contain_text("Injector sound, injector 3", timeout=THOUGHT_MS)
    step.click()
    expect(page.get_by_label("Note", exact=True)).to_have_value("Half typed, then the phone was gone")
    page.get_by_role("link", name="Back to the case").click()
    expect(page.get_by_role("heading", level=1, name="2011 Zedex Four")).to_be_visible()


def test_a_note_begun_at_another_place_comes_along_and_a_reading_does_not(page):
    case = open_case(page)
    begun = {"check": "plug_gap", "place": "plug.1", "reading": {"si": 0.0009, "typed": "0.9", "unit": "mm"}}
    run(page, "drafts.keep(`form/${arg[0]}/check-plug_gap`, arg[1])", [case, begun | {"note": "Worn edge"}])
    step = {"kind": "check", "body": {"check": "plug_gap", "place": "plug.3"}}
    page.goto(f"/#/case/{case}")
    expect(page.get_by_role("heading", level=1, name="2011 Zedex Four")).to_be_visible()
    page.evaluate("async ([id, step]) => (await import('/app/steps.js')).startStep(id, step)", [case, step])
    expect(page.get_by_label("Note", exact=True)).to_have_value("Worn edge")
    expect(page.get_by_role("radio", name="3")).to_be_checked()
    expect(page.get_by_label("Reading", exact=True)).to_have_value("")
