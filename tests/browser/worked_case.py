"""A case recorded through the phone's log, so that every screen of the application has something to show."""

import base64
import json
import time
from dataclasses import dataclass

from playwright.sync_api import BrowserContext, Page, expect

from .conftest import open_bench, run, sign_in
from .pictures import camera_jpeg


@dataclass
class WorkedCase:
    """``case``: its id; ``photo``: the picture's SHA-256; ``coil``: the replaced one, which carries ``tag``."""

    case: str
    photo: str
    coil: str
    tag: str


def sign_in_here(phone: BrowserContext) -> Page:
    """A page of the application's origin on which the owner is signed in."""
    page = open_bench(phone)
    sign_in(page)
    return page


def record(page: Page, case: str, *drafts: tuple) -> list[dict]:
    """Record (kind, body) or (kind, body, when) in ``case``."""
    named = [{"case": case, "kind": d[0], "body": d[1], "when": d[2] if len(d) > 2 else None} for d in drafts]
    return run(page, "log.recordAll(arg)", named)


def open_case(page: Page, **engine) -> str:
    """A case with a four-cylinder engine, or with what ``engine`` says; its id."""
    case = run(page, "log.newCaseId()")
    laid_out = {"cylinders": 4, "layout": "inline", "ignition": "coil_on_plug", "orientation": "crosswise"} | engine
    vehicle = {"plate": f"TEST {case[-8:]}", "make": "Zedex", "model": "Four", "year": 2011}
    customer = {"name": "Kim Sample", "phone": "555-0142"}
    record(page, case, ("case_opened", {"vehicle": vehicle, "engine": laid_out, "customer": customer}))
    return case


def take_photo(page: Page, width: int = 1200) -> dict:
    """A picture on the phone, as the body of a photo entry begins."""
    content = base64.b64encode(camera_jpeg(width, 900, 6)).decode()
    taken = run(page, "photos.takeIn(new Blob([Uint8Array.from(atob(arg), (c) => c.charCodeAt(0))]))", content)
    return {key: taken[key] for key in ("sha256", "bytes", "width", "height")}


def drop_round(page: Page, case: str, dead: int) -> None:
    record(
        page,
        case,
        *(
            ("check", {"check": "drop", "cylinder": c, "finding": "none" if c == dead else "full", "disabled": "tool"})
            for c in range(1, 5)
        ),
    )


def worked_case(page: Page, closed: bool = False) -> WorkedCase:
    """From opening to a proved repair: the coil of 3 was dead, was moved to 1 and replaced there."""
    case = open_case(page)
    photo = take_photo(page)
    look = record(
        page,
        case,
        ("check", {"check": "connector_look", "place": "coil.3", "finding": "latch_broken", "note": "Snapped"}),
    )
    record(
        page,
        case,
        ("complaint", {"symptoms": ["shakes"], "lamp": "flashing", "words": "It shakes at the lights"}),
        ("photo", photo | {"shows": "connector", "place": "coil.3", "of": look[0]["id"]}),
        (
            "codes_read",
            {
                "codes": [{"code": "P0303", "status": "stored"}, {"code": "P0455", "status": "pending"}],
                "complete": True,
            },
        ),
    )
    drop_round(page, case, dead=3)
    record(
        page, case, ("parts_moved", {"moves": [{"from": "coil.3", "to": "coil.1"}, {"from": "coil.1", "to": "coil.3"}]})
    )
    drop_round(page, case, dead=1)
    coil = f"{case}.coil.3"
    torque = {"si": 8.0, "typed": "8", "unit": "N·m"}
    record(
        page,
        case,
        ("repair", {"work": "replaced", "place": "coil.1", "brand": "Ostler", "torque": torque}),
        ("codes_cleared", {"how": "reader"}),
        ("codes_read", {"codes": [{"code": "P0455", "status": "stored"}], "complete": True}),
        ("road_test", {"minutes": 14, "felt": "none"}),
        ("tag_bound", {"code": tag_code(page), "part": coil}),
        ("part_fate", {"part": coil, "fate": "shelf"}),
    )
    if closed:
        later = [{"code": "P0455", "text": "Fuel vapor leak, to be looked at"}]
        record(page, case, ("case_closed", {"cause": "The coil that came in at 3", "later": later}))
    bound = [e for e in run(page, "log.entriesOf(arg)", case) if e["kind"] == "tag_bound"]
    return WorkedCase(case, photo["sha256"], coil, bound[0]["body"]["code"])


def wait_until(page: Page, expression: str, arg=None) -> None:
    """Until the JavaScript expression, with the modules of `field` at hand, is true."""
    for _ in range(200):
        if run(page, expression, arg):
            return
        time.sleep(0.1)
    raise AssertionError(f"never true: {expression}")


def reload_kept(page: Page) -> None:
    """Load the page anew once the disk has what the last tap wrote: a write waits its turn behind every one asked for
    before it, and what was touched while a draft was being written is asked for only after that."""
    for _ in range(2):
        run(page, "database.write(['drafts'], (tx) => tx.objectStore('drafts').count())")
    page.reload()


def tag_code(page: Page) -> str:
    """A tag that no other case has."""
    for _ in range(50):
        draw = "crypto.getRandomValues(new Uint8Array(16))"
        random = run(page, f"[...{draw}].map((byte) => byte.toString(16).padStart(2, '0')).join('')")
        code = run(page, "core.ask('new_tag', {random: arg})", random).get("code")
        if code:
            return code
    raise AssertionError("no tag in fifty draws")


def to_the_end_of_the_list(page: Page) -> None:
    """Scroll until every case of the shop is drawn: other tests have left some there."""
    expect(page.locator(".case-row").first).to_be_visible()
    more = page.get_by_role("button", name="More cases")
    while more.is_visible():
        page.locator(".case-row").last.scroll_into_view_if_needed()
        page.evaluate("() => new Promise(requestAnimationFrame)")


def set_aside(phone: BrowserContext, message: str) -> None:
    """The shop accepts everything but notes."""

    def answer(route):
        asked = json.loads(route.request.post_data)
        notes = [entry["id"] for entry in asked["entries"] if entry["kind"] == "note"]
        others = [entry for entry in asked["entries"] if entry["kind"] != "note"]
        response = route.fetch(post_data=json.dumps(asked | {"entries": others}))
        told = response.json()
        told["set_aside"] += [{"id": id_, "field": "text", "message": message} for id_ in notes]
        route.fulfill(response=response, json=told)

    phone.route("**/api/sync", answer)
