"""A real Chromium, the real server, and a bare page of the application's origin on which modules are tried."""

import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

from coiltrail.bench.runtimes import WITHOUT_POPUPS

from .pictures import saved
from .serving import OWNER, Shop, served_shop

CHROMIUM = {
    "executable_path": os.environ.get("CHROMIUM", "/usr/bin/chromium"),
    "args": ["--no-sandbox", WITHOUT_POPUPS],
}
PHONE = {"viewport": {"width": 390, "height": 844}, "device_scale_factor": 2, "is_mobile": True, "has_touch": True}

FRAMES = 25  # of each picture of a film; the browser plays about 30 a second, over and over

# Stands for the application's page: same origin, none of its screens. A page that a route makes up would let every
# request of a phone pass through the test: a fifth of what a start costs.
BENCH = "/icons/icon-192.png"

NO_RELEASE = """{
    const { fetch } = window;
    window.fetch = (what, how) => (what === '/release.json' ? Promise.reject(new TypeError('None')) : fetch(what, how));
}"""


@pytest.fixture(scope="session")
def playwright():
    expect.set_options(timeout=20_000)  # a busy machine is no failure
    with sync_playwright() as running:
        yield running


@pytest.fixture(scope="session")
def chromium(playwright) -> Iterator[Browser]:
    browser = playwright.chromium.launch(**CHROMIUM)
    yield browser
    browser.close()


@pytest.fixture(scope="session")
def shop(tmp_path_factory) -> Iterator[Shop]:
    """One server for all tests that leave it running; devices and cases of different tests do not meet."""
    with served_shop(tmp_path_factory.mktemp("shop")) as served:
        yield served


@pytest.fixture
def own_shop(tmp_path) -> Iterator[Shop]:
    """A server of the test's own, to be stopped, restored and started again."""
    with served_shop(tmp_path / "shop") as served:
        yield served


@pytest.fixture
def new_phone(chromium, shop) -> Iterator[Callable[..., BrowserContext]]:
    """Makes phones: contexts that share nothing.

    One that stays ``connected`` is told of no release, so that it installs none: half of all that a phone does in a
    test of one screen.
    """
    phones: list[BrowserContext] = []

    def make(at: Shop = shop, connected: bool = False, **more: Any) -> BrowserContext:
        phone = chromium.new_context(base_url=at.address, **PHONE, **more)
        if connected:
            phone.add_init_script(NO_RELEASE)
        phones.append(phone)
        return phone

    yield make
    for phone in phones:
        phone.close()


@pytest.fixture
def films(playwright, shop, tmp_path):
    """Makes phones whose camera sees the given pictures in turn."""
    browsers = []

    def make(pictures: list[Image.Image]) -> BrowserContext:
        film = tmp_path / f"{len(browsers)}.mjpeg"
        film.write_bytes(b"".join(saved(picture, "JPEG", quality=90) * FRAMES for picture in pictures))
        seen = ["--use-fake-device-for-media-stream", f"--use-file-for-fake-video-capture={film}"]
        chromium = playwright.chromium.launch(
            **CHROMIUM | {"args": [*CHROMIUM["args"], *seen, "--use-fake-ui-for-media-stream"]}
        )
        browsers.append(chromium)
        return chromium.new_context(base_url=shop.address, **PHONE)

    yield make
    for one in browsers:
        one.close()


@pytest.fixture
def phone(new_phone) -> BrowserContext:
    return new_phone()


@pytest.fixture
def page(phone) -> Page:
    """The bench on a phone that nobody has signed in on."""
    return open_bench(phone)


@pytest.fixture
def signed_in(page) -> Page:
    """The bench on a phone that the owner has signed in on."""
    sign_in(page)
    return page


def open_bench(phone: BrowserContext) -> Page:
    page = phone.new_page()
    page.goto(BENCH)
    return page


def sign_in(page: Page) -> dict[str, Any]:
    return run(page, "session.signIn({...arg, deviceName: 'Bench phone'})", OWNER)


def run(page: Page, expression: str, arg: Any = None) -> Any:
    """The value of a JavaScript expression, awaited, in which each module of ``field`` goes by its own name."""
    used = [path.stem for path in FIELD.glob("*.js") if f"{name_of(path)}." in expression]
    imports = "".join(f"const {name_of_stem(stem)} = await import('/field/{stem}.js');" for stem in used)
    return page.evaluate(f"async (arg) => {{ {imports} return await ({expression}); }}", arg)


FIELD = Path(__file__).parents[2] / "pwa" / "field"


def name_of(path: Path) -> str:
    return name_of_stem(path.stem)


def name_of_stem(stem: str) -> str:
    """``sync-triggers`` as a name that JavaScript takes: ``syncTriggers``."""
    first, *rest = stem.split("-")
    return first + "".join(word.capitalize() for word in rest)


def refusal(page: Page, expression: str, arg: Any = None) -> dict[str, Any]:
    """What a JavaScript expression throws: its name, message, code and problems."""
    caught = """({{then: undefined, ...await ({expression}).then(
        () => {{ throw new Error('nothing was thrown'); }},
        ({{name, message, code, field, problems}}) => ({{name, message, code, field, problems}}))}})"""
    return run(page, caught.format(expression=expression), arg)
