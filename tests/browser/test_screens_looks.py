"""What sun, gloves and poor eyes ask of every screen: room, size, and nothing that runs off the side."""

import pytest
from playwright.sync_api import Page, expect

from coiltrail.core.checks import CHECKS

from .conftest import run
from .worked_case import WorkedCase, record, sign_in_here, worked_case

SMALLEST_TEXT = 16  # CSS px; in the drawing, which shrinks with the phone, 15, and 12 on one of 320 px
SMALLEST_TARGET = 48  # CSS px, in one direction at least; 24 in the other (WCAG 2.2, 2.5.8)
ENDLESS = "W" * 300  # a word that never breaks

OF_THE_CASE = (
    "",
    "/round/connector_look",
    "/round/compression",
    "/compare/connector_look",
    "/codes",
    "/moves",
    "/checks",
    "/check/compression",
    "/repair",
    "/clear",
    "/drive",
    "/close",
    "/complaint",
    "/note",
    "/photo",
    "/tag",
    "/cylinder/3",
)
OF_THE_SHOP = ("/#/", "/#/new", "/#/settings", "/#/devices", "/#/sync", "/#/set-aside", "/#/tags", "/#/sign-in")

MEASURE = """() => {
    const shown = (element) => {
        const box = element.getBoundingClientRect();
        return box.width > 1 && box.height > 1 && getComputedStyle(element).visibility !== 'hidden';
    };
    const words = (element) => [...element.childNodes].some((node) => node.nodeType === 3 && node.data.trim());
    const all = [...document.querySelectorAll('#page *')].filter(shown);
    const small = all.filter((element) => words(element) && !element.closest('.unseen')
        && (element.ownerSVGElement
            ? parseFloat(getComputedStyle(element).fontSize) * element.getScreenCTM().a < arg.drawn
            : parseFloat(getComputedStyle(element).fontSize) < arg.text));
    const targets = [...document.querySelectorAll('button, a[href], select, input, textarea, summary, [role=button]')];
    const inText = (element) => element.closest('p, dd, .why-row');
    const tight = targets.filter((element) => shown(element) && !inText(element)).filter((element) => {
        const label = element.closest('label');
        const { width, height } = (label && label.contains(element) ? label : element).getBoundingClientRect();
        return Math.max(width, height) < arg.target || Math.min(width, height) < 24;
    });
    const outline = (element) => element.outerHTML.slice(0, 160);
    return {
        over: document.documentElement.scrollWidth - document.documentElement.clientWidth,
        wide: innerWidth - arg.width,
        small: small.map(outline),
        tight: tight.map(outline),
    };
}"""


@pytest.fixture
def page(new_phone):
    return sign_in_here(new_phone(connected=True))


@pytest.fixture
def told(page) -> WorkedCase:
    """A worked case with words that do not break."""
    told = worked_case(page)
    record(
        page,
        told.case,
        ("note", {"text": ENDLESS}),
        ("complaint", {"words": ENDLESS, "symptoms": ["shakes"]}),
        ("check", {"check": "connector_look", "place": "coil.2", "finding": "good", "note": ENDLESS}),
    )
    return told


def paths(told: WorkedCase) -> list[str]:
    case = f"/#/case/{told.case}"
    more = (f"{case}/part/{told.coil}", f"{case}/label/{told.tag}", f"{case}/picture/{told.photo}")
    return [case + path for path in OF_THE_CASE] + list(more) + list(OF_THE_SHOP)


@pytest.mark.parametrize("width", [320, 390, 820])
def test_text_is_large_targets_are_wide_and_nothing_runs_off_the_side(page, told, width):
    page.set_viewport_size({"width": width, "height": 844})
    faults = []
    for path in paths(told):
        arrive(page, path)
        arg = {"text": SMALLEST_TEXT, "target": SMALLEST_TARGET, "width": width, "drawn": 12 if width < 360 else 15}
        found = page.evaluate(f"(arg) => ({MEASURE})()", arg)
        faults += [f"{path}: {found[key]} px too {key}" for key in ("over", "wide") if found[key] > 0]
        faults += [f"{path}: small text {element}" for element in found["small"]]
        faults += [f"{path}: small target {element}" for element in found["tight"]]
    assert not faults, "\n".join(faults)


def test_with_text_twice_as_large_everything_still_fits_the_width(page, told):
    page.add_init_script(
        "addEventListener('DOMContentLoaded', () => { document.documentElement.style.fontSize = '200%'; })"
    )
    over = {}
    for path in paths(told):
        arrive(page, path)
        page.reload()
        expect(page.get_by_role("heading", level=1)).to_be_attached()
        over[path] = page.evaluate("() => document.documentElement.scrollWidth - innerWidth")
    assert {path: px for path, px in over.items() if px > 0} == {}


def test_nothing_moves_for_those_who_asked_for_stillness(page, told):
    page.emulate_media(reduced_motion="reduce")
    page.goto(f"/#/case/{told.case}/note")
    page.get_by_label("Text", exact=True).fill("Still")
    page.get_by_role("button", name="Keep the note").click()
    expect(page.get_by_role("status").filter(has_text="Saved on this device")).to_be_visible()
    assert page.evaluate("() => document.getAnimations().length") == 0


def arrive(page: Page, path: str) -> None:
    page.goto(path)
    expect(page.get_by_role("heading", level=1)).to_be_attached()
    run(page, "Promise.all(document.getAnimations().map((one) => one.finished))")


def test_every_finding_of_a_check_that_is_drawn_has_its_sketch(page):
    page.goto("/")
    drawn = page.evaluate("async () => (await import('/app/sketches.js')).SKETCHES")
    found = {check["key"]: {finding["value"] for finding in check["findings"]} for check in CHECKS}
    assert len(drawn) >= 4
    for check, sketches in drawn.items():
        assert set(sketches) == found[check], check


AT = "([x, y]) => document.elementFromPoint(x, y)?.closest('a, button')?.getAttribute('href')"


def test_a_glove_calls_the_customer(new_phone):
    page = sign_in_here(new_phone(connected=True))
    told = worked_case(page)
    page.goto(f"/#/case/{told.case}")
    link = page.get_by_role("link", name="555-0142")
    expect(link).to_be_visible()
    box = link.bounding_box()
    middle = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    for up in (-SMALLEST_TARGET / 2 + 1, SMALLEST_TARGET / 2 - 1):
        assert page.evaluate(AT, [middle[0], middle[1] + up]) == "tel:5550142"


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_key_that_turns_the_drawing_stands_on_no_word_of_it(new_phone, language):
    phone = new_phone(connected=True)
    phone.add_init_script(f"localStorage.setItem('coiltrail.settings', JSON.stringify({{language: '{language}'}}))")
    page = sign_in_here(phone)
    page.set_viewport_size({"width": 320, "height": 640})
    told = worked_case(page)
    page.goto(f"/#/case/{told.case}")
    key = page.locator(".key.turn")
    expect(key).to_be_visible()
    words = page.locator(".drawing-front span").first.bounding_box()
    assert words["x"] + words["width"] <= key.bounding_box()["x"]


def test_the_way_into_a_round_leaves_more_room_to_the_name_of_the_check(new_phone):
    phone = new_phone(connected=True)
    phone.add_init_script("localStorage.setItem('coiltrail.settings', JSON.stringify({language: 'es'}))")
    page = sign_in_here(phone)
    told = worked_case(page)
    page.goto(f"/#/case/{told.case}/checks")
    line = page.locator(".check-line").filter(has=page.locator('a[href$="/round/plug_look"]'))
    expect(line).to_be_visible()
    name, key = (line.locator(one).bounding_box() for one in (".check-name", ".key >> nth=-1"))
    assert name["width"] > key["width"] and key["height"] >= SMALLEST_TARGET
