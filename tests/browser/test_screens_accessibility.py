"""Every screen, in light and dark, by the rules that axe-core checks (WCAG 2.2 A and AA, and its best practices)."""

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from .conftest import run
from .worked_case import open_case, sign_in_here, worked_case

AXE = (Path(__file__).parents[2] / "pwa/node_modules/axe-core/axe.min.js").read_text(encoding="utf-8")

THOUGHT_MS = 120_000  # the diagnosis on a busy machine: a limit for what hangs, not a measurement

# Screen of the case -> a heading of the first level that shows it has arrived.
OF_THE_CASE = {
    "": "2011 Zedex Four",
    "/round/connector_look": "Coil connector",
    "/round/drop": "Drop test",
    "/round/compression": "Compression",
    "/compare/connector_look": "Coil connector, side by side",
    "/codes": "Codes",
    "/moves": "Move parts",
    "/checks": "Check",
    "/check/spark": "Spark across a gap",
    "/check/drop": "Drop test",
    "/check/fuel_trim": "Fuel trim",
    "/repair": "Repair",
    "/clear": "Clear codes",
    "/drive": "Road test",
    "/close": "Close the case",
    "/reopen": "Open again",
    "/shake": "Engine shake",
    "/complaint": "Complaint",
    "/note": "Note",
    "/photo": "Photo",
    "/tag": "Tag",
    "/report": "Report",
    "/cylinder/1": "Cylinder 1",
}
OF_THE_SHOP = {
    "/#/": "Cases",
    "/#/new": "New case",
    "/#/settings": "Settings",
    "/#/van": "Tools in the van",
    "/#/learned": "What closed cases taught",
    "/#/people": "People",
    "/#/devices": "Devices",
    "/#/pair": "Pair a phone",
    "/#/handed-in": "Handed in",
    "/#/audit": "Who did what",
    "/#/password": "Change the password",
    "/#/lock": "Lock",
    "/#/sync": "This device and the shop",
    "/#/set-aside": "Set aside",
    "/#/find": "Find a case",
    "/#/shelf": "The shelf",
    "/#/brands": "Counts by brand",
    "/#/calls": "Calls to make",
    "/#/print-tags": "Print tags",
    "/#/stray-photos": "Photos left behind",
    "/#/shared/gone": "Shared",
    "/#/tags": "Find a tag",
    "/#/sign-in": "Sign in",
    "/#/nowhere": "Nothing stands here",
}


@pytest.fixture(params=["light", "dark"])
def scheme(request):
    return request.param


@pytest.fixture
def page(new_phone, scheme):
    page = sign_in_here(new_phone())
    page.emulate_media(color_scheme=scheme)
    return page


def test_the_screens_of_a_case(page):
    told = worked_case(page)
    more = {f"/entry/{entry_of(page, told.case)}": "Codes read", f"/part/{told.coil}": "The coil that came in at 3"}
    more |= {f"/label/{told.tag}": "Label", f"/picture/{told.photo}": "Coil connector, coil 3"}
    faults = {}
    for path, title in (OF_THE_CASE | more).items():
        faults[path] = faults_at(page, f"/#/case/{told.case}{path}", title)
    assert [f"{path} {fault}" for path, found in faults.items() for fault in found] == []


def test_the_other_screens(page):
    worked_case(page, closed=True)
    faults = {path: faults_at(page, path, title) for path, title in OF_THE_SHOP.items()}
    assert [f"{path} {fault}" for path, found in faults.items() for fault in found] == []


def test_what_opens_on_the_case(page):
    """The sheet of further keys, an explanation with its reasons, and a strike being given."""
    arrive(page, f"/#/case/{open_case(page)}", "2011 Zedex Four")
    page.get_by_role("button", name="More", exact=True).click()
    expect(page.get_by_role("dialog", name="More to record")).to_be_visible()
    assert faults_of(page) == []
    page.keyboard.press("Escape")
    told = worked_case(page)
    arrive(page, f"/#/case/{told.case}", "2011 Zedex Four")
    page.get_by_role("region", name="What it was").get_by_role("button").first.click()
    expect(page.get_by_text("Together", exact=True)).to_be_visible(timeout=THOUGHT_MS)
    assert faults_of(page) == []
    arrive(page, f"/#/case/{told.case}/entry/{entry_of(page, told.case)}", "Codes read")
    page.get_by_role("button", name="Strike out").click()
    page.get_by_role("button", name="Strike it out").click()
    expect(page.get_by_label("Why does it not count")).to_have_attribute("aria-invalid", "true")
    assert faults_of(page) == []


def test_signing_in_and_the_first_owner(new_phone, scheme):
    page = new_phone().new_page()
    page.emulate_media(color_scheme=scheme)
    assert faults_at(page, "/", "Sign in") == []
    assert faults_at(page, "/#owner=a-token", "Set up this shop") == []
    assert faults_at(page, "/#join=a-token", "Join the shop") == []
    assert faults_at(page, "/#pair=a-token", "Pair this phone") == []


def test_people_and_devices_as_they_stand_in_use(page, new_phone, scheme):
    """Somebody being changed and invited, what was handed in, and the lock over a screen."""
    arrive(page, "/#/people", "People")
    page.get_by_role("button", name="Change").first.click()
    page.get_by_label("Name", exact=True).fill(f"Kim Sample {scheme}")
    page.get_by_role("button", name="Invite").click()
    expect(page.get_by_role("img", name="Square with the invitation")).to_be_visible()
    assert faults_of(page) == []
    lost = new_phone()
    invited = lost.new_page()
    invited.emulate_media(color_scheme=scheme)
    assert faults_at(invited, page.locator(".one-time-link").inner_text(), "Join the shop") == []
    invited.get_by_label("Password").fill("a password of my own")
    invited.get_by_role("button", name="Join", exact=True).click()
    expect(invited.get_by_role("heading", level=1, name="Cases")).to_be_visible()
    lost.set_offline(True)
    open_case(invited)
    run(page, "shop.send('DELETE', `/api/devices/${arg}`)", run(invited, "session.deviceId()"))
    lost.set_offline(False)
    run(invited, "sync.syncNow()")
    expect(invited.get_by_text("This device was shut out")).to_be_visible()
    assert faults_of(invited) == []
    arrive(page, "/#/handed-in", "Handed in")
    page.get_by_role("button", name="Leave out").first.click()
    assert faults_of(page) == []
    run(page, "lock.setCode('4711', 5)")
    arrive(page, "/#/lock", "Lock")
    page.get_by_role("button", name="Lock now").click()
    expect(page.get_by_role("dialog", name="Locked")).to_be_visible()
    assert faults_of(page) == []


def test_engines_of_every_arrangement(page):
    engines = (
        {"cylinders": 6, "layout": "vee", "ignition": "waste_spark", "orientation": "lengthways"},
        {"cylinders": 8, "layout": "vee", "ignition": "distributor"},
        {"cylinders": 12, "layout": "vee", "ignition": "coil_near_plug"},
        {"cylinders": 4, "layout": "flat", "ignition": "coil_on_plug"},
    )
    for engine in engines:
        case = open_case(page, **engine)
        assert faults_at(page, f"/#/case/{case}", "2011 Zedex Four") == []
        assert faults_at(page, f"/#/case/{case}/moves", "Move parts") == []


def faults_at(page: Page, path: str, title: str) -> list[str]:
    arrive(page, path, title)
    return faults_of(page)


def arrive(page: Page, path: str, title: str) -> None:
    page.goto(path)
    expect(page.get_by_role("heading", level=1, name=title, exact=True)).to_be_attached()
    expect(page.locator("main [aria-busy=true]:not(section)")).to_have_count(0, timeout=THOUGHT_MS)


def faults_of(page: Page) -> list[str]:
    """What axe finds, one line each: rule, element, what is wrong."""
    page.evaluate(AXE)
    found = page.evaluate("async () => (await axe.run(document, {resultTypes: ['violations']})).violations")
    return [f"{v['id']}: {n['html'][:120]} - {n['failureSummary']}" for v in found for n in v["nodes"]]


def entry_of(page: Page, case: str) -> str:
    read = "(await import('/field/log.js')).entriesOf(arg)"
    entries = page.evaluate(f"async (arg) => await {read}", case)
    return next(entry["id"] for entry in entries if entry["kind"] == "codes_read")
