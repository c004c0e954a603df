"""From the repair to the report: torque, clearing, the drive, closing, the tag on the removed part."""

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
    return sign_in_here(new_phone())


def bodies(page: Page, case: str, kind: str) -> list[dict]:
    return [entry["body"] for entry in run(page, "log.entriesOf(arg)", case) if entry["kind"] == kind]


def back_at_the_case(page: Page) -> None:
    expect(page.get_by_role("navigation", name="Record")).to_be_visible()


def test_a_replaced_part_with_its_torque_in_the_unit_of_choice(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/repair")
    page.get_by_role("group", name="Coil at").get_by_role("radio", name="3").check()
    page.get_by_label("Brand fitted").fill("Ostler")
    page.get_by_role("radio", name="New", exact=True).check()
    page.get_by_label("Unit of torque").select_option("lbf·ft")
    page.get_by_label("Torque", exact=True).fill("6")
    page.get_by_label("Where the torque was read").fill("Maker's sheet")
    page.get_by_role("button", name="Record the repair").click()
    back_at_the_case(page)
    (repair,) = bodies(page, case, "repair")
    torque = repair.pop("torque")
    assert torque == {"si": pytest.approx(8.1349, abs=1e-4), "typed": "6", "unit": "lbf·ft"}
    assert repair == {
        "work": "replaced",
        "place": "coil.3",
        "brand": "Ostler",
        "use": "new",
        "torque_source": "Maker's sheet",
    }
    page.goto(f"/#/case/{case}/repair")
    expect(page.get_by_label("Unit of torque")).to_have_value("lbf·ft")


def test_a_mended_connector_is_named_as_the_diagnosis_names_it(page):
    case = open_case(page)
    drop_round(page, case, dead=3)
    page.goto(f"/#/case/{case}/repair")
    page.get_by_role("radio", name="Connector or wire mended").check()
    choice = page.get_by_label("What was worked on")
    expect(choice.get_by_role("option", name="%").first).to_be_attached(timeout=THOUGHT_MS)
    choice.select_option("coil_connector@3")
    page.get_by_role("button", name="Record the repair").click()
    back_at_the_case(page)
    assert bodies(page, case, "repair") == [{"work": "mended", "component": "coil_connector@3"}]


def test_a_torque_that_is_no_number_is_refused_at_its_field(page):
    case = open_case(page)
    page.goto(f"/#/case/{case}/repair")
    page.get_by_label("Torque", exact=True).fill("tight")
    page.get_by_role("button", name="Record the repair").click()
    expect(page.get_by_text("Say first where the part was replaced.")).to_be_visible()
    page.get_by_role("group", name="Coil at").get_by_label("3", exact=True).check()
    page.get_by_role("button", name="Record the repair").click()
    expect(page.get_by_label("Torque", exact=True)).to_be_focused()
    expect(page.get_by_label("Torque", exact=True)).to_have_value("tight")
    assert bodies(page, case, "repair") == []


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
    page.get_by_role("radio", name="None").check()
    page.get_by_role("button", name="Record the road test").click()
    back_at_the_case(page)
    (drive,) = bodies(page, case, "road_test")
    assert drive["felt"] == "none"
    assert drive["minutes"] == pytest.approx(12, abs=0.2)


def test_closing_proposes_the_cause_and_leaves_for_later_what_stands_apart(page):
    told = worked_case(page)
    page.goto(f"/#/case/{told.case}/close")
    expect(page.get_by_label("Confirmed cause")).to_have_value("The coil that came at 3: dead", timeout=THOUGHT_MS)
    page.get_by_label("P0455: what and why").fill("Fuel vapour leak: the lamp comes back, no harm done")
    page.get_by_label("Advice to the owner").fill("Come by within a month.")
    page.get_by_role("button", name="Close the case").click()
    expect(page.get_by_role("heading", level=1, name="Report")).to_be_visible()
    (closed,) = bodies(page, told.case, "case_closed")
    assert closed["later"] == [{"code": "P0455", "text": "Fuel vapour leak: the lamp comes back, no harm done"}]
    assert closed["components"] == ["coil@3"]
    assert closed["probabilities"]["explanations"][0]["p"] > 0.9
    report = page.get_by_role("article")
    expect(report).to_contain_text("Come by within a month.", timeout=THOUGHT_MS)
    expect(report.get_by_role("img", name="Photo: Coil connector, coil 3: Lock tab broken")).to_be_visible()
    page.goto("/#/")
    to_the_end_of_the_list(page)
    expect(page.get_by_role("heading", level=2, name="Closed")).to_be_visible()


def test_a_closed_case_is_opened_again_with_a_reason(page):
    case = open_case(page)
    record(page, case, ("case_closed", {"cause": "The coil"}))
    page.goto(f"/#/case/{case}")
    expect(page.get_by_text("Closed", exact=True).first).to_be_visible()
    page.get_by_role("button", name="More", exact=True).click()
    page.get_by_role("link", name="Open again").click()
    page.get_by_label("Why", exact=True).fill("It shakes again")
    page.get_by_role("button", name="Open it again").click()
    back_at_the_case(page)
    assert bodies(page, case, "case_reopened") == [{"why": "It shakes again"}]


def test_the_report_is_a_file_that_needs_nothing_else(page):
    told = worked_case(page, closed=True)
    page.goto(f"/#/case/{told.case}/report")
    expect(page.get_by_role("article").get_by_role("img").first).to_be_visible(timeout=THOUGHT_MS)
    page.evaluate("() => { navigator.canShare = () => false; }")
    with page.expect_download() as download:
        page.get_by_role("button", name="Share").click()
    assert download.value.suggested_filename == "2011-Zedex-Four.html"
    text = download.value.path().read_text(encoding="utf-8")
    assert "The coil that came at 3" in text
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
    expect(page.get_by_role("radio", name="The coil that came at 2")).to_be_checked()
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
    expect(page.get_by_role("heading", level=1, name="The coil that came at 2")).to_be_visible()
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
    expect(page.get_by_role("heading", level=1, name="The coil that came at 3")).to_be_visible()
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
    back_at_the_case(page)
    entries = {entry["kind"]: entry for entry in run(page, "log.entriesOf(arg)", case)}
    wanted = photo | {"shows": "repair", "place": "coil.1", "of": entries["repair"]["id"]}
    wait_until(page, "log.entriesOf(arg).then((all) => all.some((one) => one.kind === 'photo'))", case)
    assert bodies(page, case, "photo") == [wanted]
