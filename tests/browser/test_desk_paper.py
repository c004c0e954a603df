"""Money and paper on the screens: prices, an estimate agreed to with no signal, the bill, the report and its link."""

import re
import sys
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from .conftest import run
from .mechanic import Mechanic
from .test_screens_accessibility import THOUGHT_MS, faults_of
from .worked_case import open_case, record, sign_in_here, take_photo, wait_until, worked_case

sys.path.append(str(Path(__file__).resolve().parents[2] / "deploy"))
import every_screen

CUSTOMER = "Kim Sample"
PAGES = re.compile(rb"/Type\s*/Page\b")


@pytest.fixture
def own_phone(own_shop, new_phone):
    return new_phone(own_shop)


@pytest.fixture
def mechanic(own_phone, own_shop):
    own_phone.set_default_timeout(THOUGHT_MS)
    page = sign_in_here(own_phone)
    told = Mechanic.__new__(Mechanic)
    told.phone, told.page = own_phone, page
    return told


def set_prices(mechanic: Mechanic, tax: str = "20") -> None:
    mechanic.page.goto("/#/prices")
    mechanic.write("Currency", "EUR")
    mechanic.write("Labor, an hour (EUR)", "72")
    mechanic.write("Coil (EUR)", "45.50")
    mechanic.tap("A tax")
    mechanic.write("Tax", "VAT")
    mechanic.write("Rate (%)", tax)
    mechanic.tap("Keep these prices")


def shop_log(page: Page) -> list[dict]:
    return run(page, "session.me().then((me) => log.entriesOf(me.shop.id))")


def of_kind(page: Page, case: str, kind: str) -> list[dict]:
    return [entry for entry in run(page, "log.entriesOf(arg)", case) if entry["kind"] == kind]


def sign(page: Page) -> None:
    box = page.locator("canvas").bounding_box()
    page.locator("canvas").scroll_into_view_if_needed()
    box = page.locator("canvas").bounding_box()
    page.mouse.move(box["x"] + 20, box["y"] + 30)
    page.mouse.down()
    for step in range(1, 6):
        page.mouse.move(box["x"] + 20 + 30 * step, box["y"] + 20 + 10 * (step % 2))
    page.mouse.up()


def test_a_tax_of_400_percent_is_refused_and_nothing_is_recorded(mechanic):
    set_prices(mechanic, tax="400")
    mechanic.sees("Rate: give a number from 0 to 100 %.")
    assert shop_log(mechanic.page) == []
    mechanic.write("Rate (%)", "20")
    mechanic.tap("Keep these prices")
    wait_until(mechanic.page, "session.me().then(async (me) => (await log.entriesOf(me.shop.id)).length === 1)")
    [entry] = shop_log(mechanic.page)
    assert (entry["body"]["labour_rate"], entry["body"]["parts"]) == (7200, [{"kind": "coil", "price": 4550}])
    mechanic.page.goto("/#/")
    expect(mechanic.page.get_by_text("Vehicle not named")).to_have_count(0)  # the shop's own log is no case


def test_an_estimate_is_agreed_to_with_no_signal_and_a_dearer_bill_warns(mechanic):
    page = mechanic.page
    set_prices(mechanic)
    wait_until(page, "session.me().then(async (me) => (await log.entriesOf(me.shop.id)).length === 1)")
    case = open_case(page)
    page.goto(f"/#/case/{case}/estimate")
    mechanic.write("Hours", "1.5")
    mechanic.sees("129.60 EUR")  # 1.5 x 72, and a fifth
    wait_until(page, "navigator.serviceWorker.ready.then(({active}) => active?.state === 'activated')")
    mechanic.phone.set_offline(True)
    mechanic.tap("Keep the estimate")
    expect(page.get_by_role("heading", level=1, name="Agreement")).to_be_visible(timeout=THOUGHT_MS)
    expect(page.get_by_label("Up to (EUR)")).to_have_value("129.6", timeout=THOUGHT_MS)
    mechanic.tap("Agreed")
    mechanic.sees("Signature: let the owner sign with a finger, or choose how else they agreed.")
    assert of_kind(page, case, "agreed") == []
    sign(page)
    mechanic.tap("Agreed")
    wait_until(page, "log.entriesOf(arg).then((all) => all.some((entry) => entry.kind === 'agreed'))", case)
    [agreed] = of_kind(page, case, "agreed")
    [estimate] = of_kind(page, case, "priced")
    body = agreed["body"]
    assert (body["limit"], body["currency"], body["how"], body["of"]) == (129.6, "EUR", "signed", estimate["id"])
    kept = run(page, "photos.photoUrl(arg)", body["signature"])
    assert kept and kept.startswith("blob:")

    page.goto(f"/#/case/{case}/bill")
    mechanic.write("Hours", "1.51")
    mechanic.sees("0.86 EUR more than the 129.60 EUR the owner agreed to: ask before you hand it over.")
    mechanic.tap("Keep the bill")
    expect(page.get_by_role("heading", level=1, name="Report")).to_be_visible(timeout=THOUGHT_MS)
    mechanic.sees("Agreed beforehand")
    mechanic.sees("130.46 EUR")
    expect(page.get_by_alt_text(re.compile("^Signature"))).to_be_visible(timeout=THOUGHT_MS)
    mechanic.phone.set_offline(False)
    assert run(page, "sync.syncNow()") is True


def test_before_the_work_an_estimate_is_offered_until_something_is_agreed(mechanic):
    page = mechanic.page
    case = open_case(page)
    record(page, case, *drops(dead=2), looked("coil_look", "coil.2", "tracked"))
    offer = page.get_by_role("link", name="An estimate before the work")
    page.goto(f"/#/case/{case}/repair")
    expect(offer).to_have_attribute("href", f"#/case/{case}/estimate", timeout=THOUGHT_MS)
    line = {"sort": "labour", "text": "Coil of 2", "quantity": 1, "price": 9600}
    record(page, case, ("priced", {"stage": "estimate", "currency": "USD", "lines": [line]}))
    unsigned = page.get_by_role("link", name="Estimate not agreed to yet")
    expect(unsigned).to_have_attribute("href", f"#/case/{case}/agree", timeout=THOUGHT_MS)
    record(page, case, ("agreed", {"what": "Coil of 2", "how": "written"}))
    expect(unsigned).to_have_count(0, timeout=THOUGHT_MS)
    expect(offer).to_have_count(0)


def test_the_report_is_two_pages_at_most_with_nothing_cut_and_its_link_ends(mechanic, own_shop, chromium):
    page = mechanic.page
    told = worked_case(page, closed=True)
    line = {"sort": "labour", "text": "Finding and mending", "quantity": 1.25, "price": 7200}
    record(page, told.case, ("priced", {"stage": "bill", "currency": "EUR", "lines": [line]}))
    assert run(page, "sync.syncNow()") is True
    page.goto(f"/#/case/{told.case}/report")
    expect(page.get_by_role("heading", name="What it costs")).to_be_visible(timeout=THOUGHT_MS)
    expect(page.locator(".report img")).to_have_count(1)
    page.emulate_media(media="print")
    assert page.locator(".report img").bounding_box()["width"] >= 120  # px, of the 128 that 34 mm are
    page.emulate_media(media=None)
    for form, width in (("A4", 794), ("Letter", 816)):
        assert 1 <= len(PAGES.findall(page.pdf(format=form))) <= 2
        assert cut_off(page, width - 2 * 53) == []

    page.get_by_role("button", name="A link for 7 days").click()
    address = page.locator(".notice a").get_attribute("href")
    assert faults_of(page) == []
    stranger = chromium.new_context(base_url=own_shop.address)
    reader = stranger.new_page()
    said: list[str] = []
    reader.on("console", lambda message: said.append(message.text))
    reader.goto(address)
    expect(reader.get_by_role("heading", level=1, name="2011 Zedex Four")).to_be_visible()
    expect(reader.get_by_text("90.00 EUR").first).to_be_visible()
    assert reader.evaluate("[...document.images].map((image) => image.complete && image.naturalWidth > 0)") == [True]
    assert said == []
    assert len(PAGES.findall(reader.pdf(format="A4"))) <= 2
    page.get_by_role("button", name="Withdraw it").click()
    expect(page.get_by_text("withdrawn", exact=True)).to_be_visible()
    assert reader.reload().status == 410
    expect(reader.get_by_text("The shop has withdrawn this link.")).to_be_visible()
    expect(reader.get_by_text("555-0100")).to_be_visible()
    stranger.close()

    page.goto(f"/#/case/{told.case}/claim/{told.coil}")
    expect(page.get_by_role("heading", name="Where it sat")).to_be_visible(timeout=THOUGHT_MS)
    assert CUSTOMER not in page.locator(".report").inner_text()
    assert len(PAGES.findall(page.pdf(format="Letter"))) == 1


@pytest.mark.parametrize("language", ["English", "Español"])
def test_a_full_case_is_one_page_on_either_paper_in_either_language(mechanic, language):
    page = mechanic.page
    case = full_case(page)
    page.goto(f"/#/case/{case}/report")
    page.get_by_label(language).check()
    cost = "What it costs" if language == "English" else "Cuánto cuesta"
    expect(page.get_by_role("heading", name=cost)).to_be_visible(timeout=THOUGHT_MS)
    expect(page.locator(".report img")).to_have_count(4)
    page.wait_for_function("[...document.querySelectorAll('.report img')].every((one) => one.naturalWidth)")
    pages = {form: len(PAGES.findall(page.pdf(format=form))) for form in ("A4", "Letter")}
    assert pages == {"A4": 1, "Letter": 1}


def full_case(page: Page) -> str:
    """A case with everything that a report tells: damage before, looks with photos, a swap, codes that went and one
    that came back, a repair with its torque and photo, an agreement, a bill with a tax, what is left and the advice."""
    case = open_case(page)
    vin = {"vehicle": {"plate": "TEST 17", "vin": "1M8GDM9AXKP042788", "make": "Zedex", "model": "Four", "year": 2011}}
    customer = {"customer": {"name": CUSTOMER, "address": "4 Invented Row"}}
    [opened] = [entry for entry in run(page, "log.entriesOf(arg)", case) if entry["kind"] == "case_opened"]
    odometer = {"odometer": {"si": 226_949_709.0, "typed": "141,020", "unit": "mi"}}
    said = {"symptoms": ["shakes", "smell"], "circumstances": ["load", "wet"], "lamp": "flashing"}
    codes = [{"code": code, "status": "stored"} for code in ("P0302", "P0352", "P0442")]
    record(
        page,
        case,
        ("case_opened", opened["body"] | vin | customer | odometer),
        ("struck", {"entry": opened["id"], "why": "Put right"}),
        ("photo", take_photo(page, 1210) | {"shows": "damage_before"}),
        ("complaint", said | {"words": "Worse in the rain, and it shook at the lights this morning."}),
        ("codes_read", {"codes": codes, "complete": True}),
        *drops(dead=2),
        *(looked("connector_look", f"coil.{n}", "oily" if n == 2 else "good") for n in range(1, 5)),
        looked("coil_look", "coil.2", "tracked"),
        ("parts_moved", {"moves": [{"from": "coil.2", "to": "coil.3"}, {"from": "coil.3", "to": "coil.2"}]}),
        *drops(dead=3),
        ("agreed", {"what": "One new coil, plug wells cleaned", "limit": 195, "currency": "USD", "how": "written"}),
        ("repair", {"work": "replaced", "place": "coil.3", "brand": "Harrow", "part_number": "HC-118"} | TORQUE),
        ("codes_cleared", {"how": "reader"}),
        ("road_test", {"minutes": 18, "felt": "none"}),
        ("codes_read", {"codes": codes[2:], "complete": True}),
        ("priced", {"stage": "bill", "currency": "USD", "lines": LINES, "taxes": [SALES_TAX]}),
        (
            "case_closed",
            {
                "cause": "The coil of cylinder 2 let its spark through the boot to the engine",
                "components": ["coil@2"],
                "later": [{"code": "P0442", "text": "Small leak in the fuel vapor system: wants smoke and an hour"}],
                "advice": "The valve cover gasket weeps into well 2; have it done before next winter.",
            },
        ),
    )
    log = run(page, "log.entriesOf(arg)", case)
    for width, check, place in ((1220, "connector_look", "coil.2"), (1230, "coil_look", "coil.2")):
        [look] = [one["id"] for one in log if one["body"].get("check") == check and one["body"].get("place") == place]
        record(page, case, ("photo", take_photo(page, width) | {"of": look, "place": place}))
    [repair] = [one["id"] for one in log if one["kind"] == "repair"]
    record(page, case, ("photo", take_photo(page, 1240) | {"shows": "repair", "of": repair}))
    return case


TORQUE = {
    "torque": {"si": 8.1349, "typed": "6", "unit": "lbf·ft"},
    "torque_source": "Maker's workshop sheet, ignition, page 4",
}
LINES = [
    {"sort": "labour", "text": "Finding the fault, coil of 2, wells cleaned", "quantity": 1.25, "price": 9600},
    {"sort": "part", "text": "Coil, Harrow HC-118", "quantity": 1, "price": 6400},
]
SALES_TAX = {"label": "Sales tax", "rate": 7.25, "on": ["labour", "part"]}


def looked(check: str, place: str, finding: str) -> tuple:
    return "check", {"check": check, "place": place, "finding": finding}


def drops(dead: int) -> list[tuple]:
    bodies = [{"check": "drop", "cylinder": n, "finding": "none" if n == dead else "full"} for n in range(1, 5)]
    return [("check", body | {"disabled": "tool"}) for body in bodies]


def test_erasing_asks_twice_and_the_report_names_nobody_any_more(mechanic):
    page = mechanic.page
    case = open_case(page)
    page.goto(f"/#/case/{case}/report")
    mechanic.sees(CUSTOMER)
    page.get_by_role("link", name="Erase personal data").click()
    mechanic.tap("Erase")
    assert of_kind(page, case, "erased") == []
    mechanic.tap("Erase for good")
    wait_until(page, "log.entriesOf(arg).then((all) => all.some((entry) => entry.kind === 'erased'))", case)
    assert run(page, "sync.syncNow()") is True
    assert CUSTOMER not in str(run(page, "log.entriesOf(arg)", case))
    page.goto(f"/#/case/{case}/report")
    expect(page.locator(".report-head")).to_be_visible(timeout=THOUGHT_MS)
    expect(page.get_by_text(CUSTOMER)).to_have_count(0)


def cut_off(page: Page, width: int) -> list[str]:
    """What of the report stands out of a page of that many CSS pixels, in print."""
    before = page.viewport_size
    page.set_viewport_size({"width": width, "height": 1000})
    page.emulate_media(media="print")
    found = page.evaluate(
        """(width) => [...document.querySelectorAll('.report *')]
            .filter((one) => one.getBoundingClientRect().right > width + 1 || one.scrollWidth > one.clientWidth + 1
                && getComputedStyle(one).display !== 'inline')
            .map((one) => one.outerHTML.slice(0, 80))""",
        width,
    )
    page.emulate_media(media="null")
    page.set_viewport_size(before)
    return found


def test_axe_finds_nothing_on_any_screen_of_the_list(mechanic):
    """Every screen that the page itself lists, so that none is forgotten, as wide as a desk's."""
    page = mechanic.page
    told = worked_case(page, closed=True)
    page.set_viewport_size({"width": 1440, "height": 900})
    page.goto("/#/")
    walked = every_screen.addresses(page, told.case)
    faults = {}
    for name, address in walked:
        every_screen.arrive(page, address)
        faults[name] = faults_of(page)
    assert {name for name, _ in walked} >= {
        "start",
        "prices",
        "case-report",
        "case-claim",
        "case-estimate",
        "case-agree",
    }
    assert [f"{name} {fault}" for name, found in faults.items() for fault in found] == []
