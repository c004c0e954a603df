"""What a mechanic does on the screens of a phone, by the roles and names that are read out to those who do not see."""

import re

from playwright.sync_api import FilePayload, Locator, Page, expect


class Mechanic:
    """Works on ``page``; a page that is closed and opened again is put in its place."""

    def __init__(self, page: Page):
        self.page = page

    def tap(self, name: str | re.Pattern, role: str = "button", inside: Locator | None = None) -> None:
        (inside or self.page).get_by_role(role, name=name, exact=True).click()

    def follow(self, name: str | re.Pattern) -> None:
        self.tap(name, "link")

    def write(self, label: str, text: str) -> None:
        field = self.page.get_by_label(label, exact=True)
        field.fill(text)
        expect(field).to_have_value(text)

    def choose(self, question: str, *answers: str) -> None:
        """Tap the keys of a question that is answered by keys."""
        group = self.page.get_by_role("group", name=question, exact=True)
        for answer in answers:
            group.get_by_label(answer, exact=True).check()

    def pick(self, label: str, choice: str) -> None:
        """Choose from a list that unfolds."""
        self.page.get_by_label(label, exact=True).select_option(choice)

    def photograph(self, key: str, picture: bytes) -> None:
        """Tap ``key``, which opens the camera, and take ``picture``."""
        with self.page.expect_file_chooser() as camera:
            self.page.get_by_text(key, exact=True).click()
        camera.value.set_files(FilePayload(name="IMG_0001.jpg", mimeType="image/jpeg", buffer=picture))

    def begin(self, what: str) -> None:
        """From the case to a screen that records something."""
        record = self.page.get_by_role("navigation", name="Record")
        link = record.get_by_role("link", name=what, exact=True)
        expect(record).to_be_visible()
        if not link.is_visible():
            self.tap("More", inside=record)
        link.click()

    def sees_screen(self, title: str | re.Pattern) -> None:
        expect(self.page.get_by_role("heading", level=1, name=title, exact=True)).to_be_visible()

    def sees(self, text: str | re.Pattern) -> None:
        expect(self.page.get_by_text(text).filter(visible=True).first).to_be_visible()

    def at_station(self, words: str) -> None:
        """A round stands at this cylinder."""
        expect(self.page.get_by_role("heading", level=2, name=words, exact=True)).to_be_visible()

    def sees_picture(self, words: str) -> None:
        expect(self.page.get_by_role("img", name=words, exact=True)).to_be_visible()
