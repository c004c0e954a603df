"""How fast the phone's side is: first visit, start without a signal, advice, taps, long tasks, Lighthouse.

A real Chromium as a phone, slowed by its own throttle, with a full store. Chromium slows the page alone, not the
core's worker; beside the advice stands what it comes to when the worker's part is multiplied too.
"""

import json
import os
import shutil
import statistics
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from ..store.clock import uuid7
from ..trouble import Trouble
from . import cases, from_npm, link, serving
from . import day as days
from .runtimes import BENCH, BROWSERS, WITHOUT_POPUPS
from .serving import Shop
from .sync import Phone

SCREEN = {"width": 390, "height": 844}
CASES = 200
CASE_ENTRIES = 20
PHOTOS = 3_000
PHOTO_BYTES = days.PHOTO_BYTES
WAIT_MS = 180_000
ASKED_EVERY_S = 0.2
SETTLED_MS = 8_000  # then what is read ahead has been read
TIMES = 5  # starts, of which the median counts: whatever else a machine does makes some of them slow
BROWSER_UP_S = 3.0  # then a browser that was just started has done with itself
PAGES = ("performance", "accessibility", "best-practices")  # Lighthouse's own names
LIGHTHOUSE_OPTIONS = (
    "--disable-storage-reset",
    "--quiet",
    "--output=json",
    f"--only-categories={','.join(PAGES)}",
)
LIGHTHOUSE_TIMES = 3
LIGHTHOUSE = ("lighthouse@12.8.2",)  # the newest that runs on Node 20
NAME_WIDTH = 58


@dataclass(frozen=True)
class Figure:
    """One line: ``value`` in ``unit``. ``target``: the most it may be (the least, for a score)."""

    name: str
    value: float
    unit: str
    target: float | None = None

    @property
    def met(self) -> bool:
        return self.target is None or (
            self.value >= self.target if self.unit == "of 100" else self.value <= self.target
        )

    def __str__(self) -> str:
        said = f"{self.name:{NAME_WIDTH}}{self.value:>8.0f} {self.unit}"
        return said if self.target is None else f"{said} {'met' if self.met else 'not met'} ({self.target:.0f})"


def run(photos: int, throttle: float, lighthouse: bool, as_json: bool) -> None:
    """Measure and print, one line each as it is known."""
    figures = []
    for figure in measured(photos, throttle, lighthouse):
        figures.append(figure)
        if not as_json:
            print(figure, flush=True)
    if as_json:
        print(json.dumps([figure.__dict__ | {"met": figure.met} for figure in figures]))


def measured(photos: int, throttle: float, lighthouse: bool) -> Iterator[Figure]:
    """Every figure. Raises Trouble where something that is needed is missing or the page does not come up."""
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        raise Trouble("Playwright is not installed: python3 deploy/test.py installs it") from None
    with tempfile.TemporaryDirectory(prefix="coiltrail-field-") as folder, sync_playwright() as playwright:
        place = Path(folder)
        with serving.served(place / "shop") as shop:
            yield from _first_visit(playwright, place / "visitor", shop)
            case = _fill_shop(shop)
            with _phone(playwright, place / "phone") as phone:
                page = _sign_in(_page(phone, shop.port))
                _await(page, _ALL_HERE, CASES)
                _put_photos(page, photos, case)
            if lighthouse:
                yield from _lighthouse(playwright, place / "phone", shop, case)
        # The shop is gone: what follows is without a signal.
        yield from _starts(playwright, place / "phone", shop, case, throttle)
        yield from _taps(playwright, place / "phone", shop, case, throttle)


def _first_visit(playwright, folder: Path, shop: Shop) -> Iterator[Figure]:
    """What goes over the wire until the phone can work alone, requests and headers counted in."""
    wire = link.Link(shop.port)
    with link.opened(wire), _phone(playwright, folder) as phone:
        page = _sign_in(_page(phone, wire.port))
        _await(page, "async () => (await navigator.serviceWorker.getRegistration())?.active?.state === 'activated'")
        yield Figure("first visit, until it works without a signal", wire.passed / 1000, "KB", 700)
        page.wait_for_load_state("networkidle")
        page.wait_for_timeout(5_000)  # what is fetched in idle
        yield Figure("first visit, with what is fetched in idle", wire.passed / 1000, "KB")


def _fill_shop(shop: Shop) -> str:
    """Cases as other phones brought them, and the V8 of the benchmark of the diagnosis; gives its id."""
    day = days.make(shop.device, shop.person, CASES - 1, (CASES - 1) * CASE_ENTRIES, 0)
    case = uuid7()
    for entry in cases.Shape(8, 1, "chain").entries():
        envelope = {"id": uuid7(), "case": case, "at": [entry["at"][0], 0]}
        envelope |= {"device": shop.device, "n": len(day.entries) + 1, "by": shop.person}
        day.entries.append(entry | envelope)
    Phone(shop, shop.port).send(day)
    return case


_FORGET = "async (key) => (await import('/field/drafts.js')).drop(key)"
_SETTLED = f"() => new Promise((settled) => setTimeout(settled, {SETTLED_MS}))"
_ALL_HERE = "async (cases) => (await (await import('/field/log.js')).caseList()).length === cases"


def _put_photos(page, photos: int, apart: str) -> None:
    """As many photos, each as large as a real one, as a phone of a busy year holds; of every case but ``apart``."""
    page.evaluate(
        """async ([photos, size, apart]) => {
          const { write } = await import('/field/database.js');
          const { caseList } = await import('/field/log.js');
          const cases = (await caseList()).map((one) => one.case).filter((one) => one !== apart);
          const device = crypto.randomUUID();
          for (let n = 0; n < photos; n += 50) {
            const rows = Array.from({ length: Math.min(50, photos - n) }, (_, one) => ({
              sha256: (n + one).toString(16).padStart(64, '0'),
              bytes: crypto.getRandomValues(new Uint8Array(size).subarray(0, 65536)).buffer,
              mime: 'image/jpeg',
            }));
            await write(['photos', 'thumbs', 'entries'], async (tx) => {
              for (const [one, row] of rows.entries()) {
                const envelope = { id: crypto.randomUUID(), at: [Date.now(), one], when: null, by: device };
                const here = { case: cases[(n + one) % cases.length], device, n: n + one + 1 };
                const photo = { kind: 'photo', body: { sha256: row.sha256, bytes: size } };
                await tx.objectStore('entries').put({ entry: { ...envelope, ...here, ...photo } });
                await tx.objectStore('photos').put({ ...row, size, taken: Date.now(), state: 'shop' });
                await tx.objectStore('thumbs').put({ ...row, bytes: row.bytes.slice(0, 12_000) });
              }
            });
          }
        }""",
        [photos, PHOTO_BYTES, apart],
    )


def _starts(playwright, folder: Path, shop: Shop, case: str, throttle: float) -> Iterator[Figure]:
    """From nothing to the list and to the advice, each by the first page of a browser; medians of several starts."""

    def start(hash_: str = "", watching: str = "list", up: bool = True, then: str = "") -> tuple[float, float, float]:
        """Milliseconds until it is seen, those of the longest task, and those that the core had been at work."""
        with _phone(playwright, folder) as phone:
            page = _page(phone, shop.port, hash_, throttle, watching, up)
            told = _seen(page), _longest(page), page.evaluate("() => globalThis.watched.thought")
            if then:
                page.evaluate(then, f"told/{case}")
            return told

    with _phone(playwright, folder) as phone:
        yield Figure("this machine: 100,000 rows of JSON, page not slowed", _speed(phone), "ms")
    lists, advice = [], []
    for _ in range(TIMES):
        lists.append(start(then=_FORGET))  # so that the advice is worked out
        advice.append(start(f"#/case/{case}", "advice"))
    yield Figure(f"start without a signal to the list, page {throttle:g} times slower", _median(lists), "ms", 1000)
    yield Figure("longest task of it", _median(lists, 1), "ms", 200)
    yield Figure("the same while the browser itself still starts", start(up=False)[0], "ms")
    yield Figure("start without a signal to full advice, worked out", _median(advice), "ms", 2000)
    slowed = _median([(seen + (throttle - 1) * core,) for seen, _, core in advice])
    yield Figure("the same, had the worker been slowed too (reckoned)", slowed, "ms")
    yield Figure("longest task of it", _median(advice, 1), "ms", 200)
    start(f"#/case/{case}", "advice", then=_SETTLED)  # until it is kept
    kept = [start(f"#/case/{case}", "advice") for _ in range(TIMES)]
    name = "the same start, the case being as it was (kept, whatever the worker)"
    yield Figure(name, _median(kept), "ms", 2000)


def _median(rows: list[tuple], column: int = 0) -> float:
    return statistics.median(row[column] for row in rows)


def _taps(playwright, folder: Path, shop: Shop, case: str, throttle: float) -> Iterator[Figure]:
    """A round over eight cylinders: from the finger to the next cylinder on the screen, and to the disk."""
    with _phone(playwright, folder) as phone:
        page = _page(phone, shop.port, f"#/case/{case}/round/connector_look", throttle, "taps")
        page.wait_for_timeout(SETTLED_MS)
        for cylinder in range(1, 9):
            page.get_by_role("heading", name=f"Cylinder {cylinder}").wait_for()
            page.get_by_role("group", name="Finding").get_by_role("button").first.tap()
        page.get_by_role("button", name="Done").first.wait_for()
        page.wait_for_timeout(1_000)  # the observers hear of an event after it was painted
        shown, kept = page.evaluate("() => [globalThis.watched.shown, globalThis.watched.kept]")
        yield Figure("slowest tap to the screen, of eight", max(shown), "ms", 100)
        yield Figure("slowest tap to the disk, of eight", max(kept), "ms", 200)
        yield Figure("longest task of it", _longest(page), "ms", 200)


def _lighthouse(playwright, folder: Path, shop: Shop, case: str) -> Iterator[Figure]:
    """Scores of Lighthouse, as it is set for a phone, on the start screen and on a case."""
    program = from_npm.install("lighthouse", LIGHTHOUSE) / "node_modules/lighthouse/cli/index.js"
    port = serving.free_port()
    with _phone(playwright, folder, port):
        for name, hash_ in (("the start screen", ""), ("a case", f"#/case/{case}")):
            address = f"http://127.0.0.1:{shop.port}/{hash_}"
            found = _scores(program, address, port, folder.parent / "lighthouse.json")
            for page in PAGES:
                yield Figure(f"Lighthouse, {page} of {name}", 100 * found[page]["score"], "of 100", 100)


def _scores(program: Path, address: str, port: int, told: Path) -> dict:
    """Lighthouse's categories for a page; begun anew where it says that its recording failed."""
    command = ["node", program, address, f"--port={port}", f"--output-path={told}", *LIGHTHOUSE_OPTIONS]
    for _ in range(LIGHTHOUSE_TIMES):
        done = subprocess.run(command, capture_output=True, text=True, timeout=WAIT_MS / 1000)
        if not done.returncode:
            return json.loads(told.read_text())["categories"]
    raise Trouble(f"Lighthouse ended with {done.returncode}: {done.stderr[-300:]}")


@contextmanager
def _phone(playwright, folder: Path, debugging: int = 0) -> Iterator:
    """A phone's browser on the store in ``folder``."""
    path = os.environ.get("CHROMIUM") or next(filter(None, map(shutil.which, BROWSERS)), None)
    if not path:
        raise Trouble("no Chromium is on this machine: name it in CHROMIUM")
    arguments = ["--no-sandbox", WITHOUT_POPUPS] + ([f"--remote-debugging-port={debugging}"] if debugging else [])
    context = playwright.chromium.launch_persistent_context(
        folder, executable_path=path, args=arguments, viewport=SCREEN, has_touch=True, is_mobile=True
    )
    context.set_default_timeout(WAIT_MS)
    try:
        yield context
    finally:
        context.close()


def _page(phone, port: int, hash_: str = "", throttle: float = 1, watching: str = "", up: bool = True):
    """The application's page. ``watching``: what field.mjs is to measure from the first moment on.

    ``up``: the browser, which was just started, is left to come up first: a phone's is there before its owner taps.
    """
    page = phone.new_page()
    if watching:
        page.add_init_script(f"globalThis.watching = '{watching}';\n" + (BENCH / "field.mjs").read_text())
    if watching and up:
        time.sleep(BROWSER_UP_S)
    phone.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": throttle})
    page.goto(f"http://127.0.0.1:{port}/{hash_}")
    return page


def _speed(phone) -> float:
    """Milliseconds for a fixed piece of work, the best of five, so that figures of two days can be compared."""
    page = phone.new_page()
    time.sleep(BROWSER_UP_S)
    return page.evaluate(
        """() => Math.min(...Array.from({ length: 5 }, () => {
          const rows = Array.from({ length: 100_000 }, (_, n) => ({ n, words: `row ${n}`, parts: [n, n + 1] }));
          const began = performance.now();
          JSON.parse(JSON.stringify(rows));
          return performance.now() - began;
        }))"""
    )


def _sign_in(page):
    page.get_by_label("Your name").fill(serving.NAME)
    page.get_by_label("Password").fill(serving.PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("link", name="New case").first.wait_for()
    return page


def _await(page, question: str, arg=None) -> None:
    """Wait until an asynchronous function in the page says yes; Playwright takes a promise for a yes."""
    _soon(lambda: page.evaluate(question, arg))


def _seen(page) -> float:
    """Milliseconds from the navigation until what was awaited was painted.

    Asked for in the browser's own protocol, now and then: what Playwright waits by is a script in the page, which
    weighs 80 ms there just when the page starts.
    """
    asked = {"expression": "globalThis.watched?.seen", "returnByValue": True}
    session = page.context.new_cdp_session(page)
    return _soon(lambda: session.send("Runtime.evaluate", asked)["result"].get("value"))


def _soon(question: Callable):
    """The first answer that is not empty. Raises Trouble where none comes."""
    end = time.monotonic() + WAIT_MS / 1000
    while time.monotonic() < end:
        if answer := question():
            return answer
        time.sleep(ASKED_EVERY_S)
    raise Trouble("the page did not come to what was awaited of it")


def _longest(page) -> float:
    return page.evaluate("() => globalThis.watched.longest")
