"""Takes pictures of the invented shop; run it after deploy/test.py has set up its tools.

Without arguments those of README anew. ``--all DIR``: every screen at each width, into DIR, to be looked at.
"""

import argparse
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import every_screen
from playwright.sync_api import Browser, Page, sync_playwright
from testing import find_chromium

HERE = Path(__file__).resolve().parent
PICTURES = HERE / "pictures"
PORT = 8187
PHONE = {"width": 390, "height": 844}
WIDTHS = (390, 820, 1440)
CASE = "Elin Marsh"  # whose case has photos, a swap, a tagged part and a report


def main() -> None:
    """The command."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--all", type=Path, metavar="DIR", help="every screen at 390, 820 and 1440 px")
    parser.add_argument("--port", type=int, default=PORT, help="where the invented shop is served meanwhile")
    wanted = parser.parse_args()
    with invented_shop(wanted.port) as address, sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=find_chromium(), args=["--no-sandbox", "--hide-scrollbars"]
        )
        if wanted.all:
            wanted.all.mkdir(parents=True, exist_ok=True)
            print(f"{take_all(browser, address, wanted.all)} pictures in {wanted.all}")
        else:
            PICTURES.mkdir(exist_ok=True)
            take(browser, address)
        browser.close()


@contextmanager
def invented_shop(port: int) -> Iterator[str]:
    """The invented shop, served from a directory of its own; gives its address."""
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, str(HERE / "run.py"), "--demo", "--data", folder, "--port", str(port)]
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as shop:
            try:
                for line in shop.stdout:
                    if line.startswith("Sign in"):
                        break
                yield f"http://localhost:{port}"
            finally:
                shop.terminate()


def sign_in(page: Page, address: str, name: str, password: str) -> None:
    page.set_default_timeout(120_000)
    page.goto(address)
    page.get_by_label("Your name").fill(name)
    page.get_by_label("Password").fill(password)
    page.get_by_role("button", name="Sign in").click()


def take_all(browser: Browser, address: str, folder: Path) -> int:
    """Every screen at every width, whole; gives how many pictures that makes."""
    count = 0
    page = browser.new_context(viewport=PHONE).new_page()
    page.goto(address)
    page.get_by_label("Your name").wait_for()
    count += take_widths(page, folder, "sign-in-first")
    sign_in(page, address, "June Vale", "demo-owner")
    page.get_by_text(CASE).first.wait_for()
    cases = page.evaluate("async () => (await import('/field/log.js')).caseList()")
    [case] = [one["case"] for one in cases if one["customer"] == CASE]
    for name, screen in every_screen.addresses(page, case):
        every_screen.arrive(page, screen)
        count += take_widths(page, folder, name)
    return count


def take_widths(page: Page, folder: Path, name: str) -> int:
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": PHONE["height"]})
        page.wait_for_timeout(300)  # photos, and what moves
        page.screenshot(path=folder / f"{name}-{width}.png", full_page=True)
    return len(WIDTHS)


def take(browser: Browser, address: str) -> None:
    """The four pictures of README, two of them in the dark theme."""
    for scheme in ("light", "dark"):
        context = browser.new_context(viewport=PHONE, device_scale_factor=2, color_scheme=scheme, has_touch=True)
        page = context.new_page()
        sign_in(page, address, "Robin Vale", "demo-mechanic")
        if scheme == "light":
            open_case(page, "Ben Tarrow", "Coil 2: dead")
            page.screenshot(path=PICTURES / "engine.png")
            page.get_by_text("Coil 2: dead").first.click()
            page.get_by_text("Drop test, cylinder").nth(1).wait_for()
            page.get_by_text("Weighing the findings.").wait_for(state="hidden")
            page.get_by_role("heading", name="What it may be").evaluate("heading => heading.scrollIntoView()")
            page.mouse.wheel(0, -110)  # from under the head of the screen
            page.wait_for_timeout(1500)
            page.screenshot(path=PICTURES / "explanations.png")
            page.goto(f"{address}/#/")
            page.get_by_text("Elin Marsh").click()
            page.get_by_role("link", name="The owner's report").click()
            page.get_by_role("heading", name="How we found it").wait_for()
            page.wait_for_timeout(2000)  # the photos
            page.screenshot(path=PICTURES / "report.png")
        else:
            open_case(page, "Ben Tarrow", "Coil 2: dead")
            page.get_by_role("link", name="Connectors").click()
            page.get_by_role("button", name="Good", exact=True).wait_for()
            page.screenshot(path=PICTURES / "round.png")
        context.close()


def open_case(page: Page, customer: str, explanation: str) -> None:
    """Opens a case from the list and waits until the core has thought about it."""
    page.get_by_text(customer).click()
    page.get_by_text(explanation).first.wait_for()


if __name__ == "__main__":
    main()
