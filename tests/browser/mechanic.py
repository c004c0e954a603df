"""What a mechanic does on the screens of a phone, by the roles and names that are read out to those who do not see."""

import re

from playwright.sync_api import BrowserContext, FilePayload, Locator, expect

from .conftest import run

PATIENCE = 90_000  # ms; the core thinks slowly on a busy machine


class Mechanic:
    """Works on one page of ``phone``; a page that is closed and opened again takes its place."""

    def __init__(self, phone: BrowserContext):
        phone.set_default_timeout(PATIENCE)
        self.phone = phone
        self.page = phone.new_page()

    def close_and_open(self, address: str) -> None:
        """The page goes and is opened again."""
        run(self.page, "drafts.kept('any')")  # answered after what was typed in the last millisecond is written
        self.page.close()
        self.page = self.phone.new_page()
        self.page.goto(address)

    def tap(self, name: str | re.Pattern, inside: Locator | None = None) -> None:
        (inside or self.page).get_by_role("button", name=name, exact=True).click()

    def follow(self, name: str | re.Pattern, inside: Locator | None = None) -> None:
        (inside or self.page).get_by_role("link", name=name, exact=True).click()

    def write(self, label: str, text: str) -> None:
        field = self.page.get_by_label(label, exact=True)
        field.fill(text)
        expect(field).to_have_value(text, timeout=PATIENCE)

    def choose(self, question: str, *answers: str) -> None:
        """Answer a question that is asked with keys."""
        group = self.group(question)
        for answer in answers:
            group.get_by_label(answer, exact=True).check()

    def pick(self, label: str, choice: str) -> None:
        """Choose from a list that unfolds."""
        self.page.get_by_label(label, exact=True).select_option(choice)

    def unfold(self, heading: str | re.Pattern) -> None:
        """What is folded under ``heading``."""
        self.page.locator("summary").filter(has_text=heading).click()

    def photograph(self, key: str, picture: bytes) -> None:
        """Tap ``key``, which opens the camera, and take ``picture``."""
        with self.page.expect_file_chooser() as camera:
            self.page.get_by_text(key, exact=True).click()
        camera.value.set_files(FilePayload(name="IMG_0001.jpg", mimeType="image/jpeg", buffer=picture))

    def begin(self, what: str) -> None:
        """From the case to a screen that records something."""
        record = self.page.get_by_role("navigation", name="Record", exact=True)
        expect(record).to_be_visible(timeout=PATIENCE)
        if not record.get_by_role("link", name=what, exact=True).is_visible():
            self.tap("More", inside=record)
        self.follow(what, inside=record)

    def group(self, name: str) -> Locator:
        return self.page.get_by_role("group", name=name, exact=True)

    def region(self, name: str) -> Locator:
        return self.page.get_by_role("region", name=name, exact=True)

    def sees(self, text: str | re.Pattern, inside: Locator | None = None) -> None:
        found = (inside or self.page).get_by_text(text).filter(visible=True)
        expect(found.first).to_be_visible(timeout=PATIENCE)

    def sees_screen(self, title: str | re.Pattern) -> None:
        heading = self.page.get_by_role("heading", level=1, name=title, exact=True)
        expect(heading).to_be_visible(timeout=PATIENCE)

    def sees_picture(self, words: str | re.Pattern, inside: Locator | None = None) -> None:
        """A picture that is named so is there and has been drawn."""
        picture = (inside or self.page).get_by_role("img", name=words, exact=True)
        expect(picture).to_be_visible(timeout=PATIENCE)
        expect(picture).to_have_js_property("complete", True, timeout=PATIENCE)
        expect(picture).not_to_have_js_property("naturalWidth", 0)
