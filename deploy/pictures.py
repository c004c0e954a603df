"""Takes the pictures of README anew from the invented shop; run it after deploy/test.py has set up its tools."""

import subprocess
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import Page, sync_playwright
from testing import find_chromium

HERE = Path(__file__).resolve().parent
PICTURES = HERE / "pictures"
PORT = 8187
PHONE = {"width": 390, "height": 844}


def main() -> None:
    """Starts the invented shop in a directory of its own, takes the pictures, stops it."""
    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, str(HERE / "run.py"), "--demo", "--data", folder, "--port", str(PORT)]
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as shop:
            try:
                for line in shop.stdout:
                    if line.startswith("Sign in"):
                        break
                with sync_playwright() as playwright:
                    browser = playwright.chromium.launch(
                        executable_path=find_chromium(), args=["--no-sandbox", "--hide-scrollbars"]
                    )
                    take(browser)
                    browser.close()
            finally:
                shop.terminate()


def take(browser) -> None:
    """The four pictures, two of them in the dark theme."""
    for scheme in ("light", "dark"):
        context = browser.new_context(viewport=PHONE, device_scale_factor=2, color_scheme=scheme, has_touch=True)
        page = context.new_page()
        page.set_default_timeout(90_000)
        page.goto(f"http://localhost:{PORT}")
        page.get_by_label("Your name").fill("Robin Vale")
        page.get_by_label("Password").fill("demo-mechanic")
        page.get_by_role("button", name="Sign in").click()
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
            page.goto(f"http://localhost:{PORT}/#/")
            page.get_by_text("Elin Marsh").click()
            page.get_by_role("link", name="The owner's report").click()
            page.get_by_role("heading", name="How it was found").wait_for()
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
