"""A mechanic's thumb and eyes on a screen, by the names of what is on it, in any engine that WebDriver steers."""

import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from .webdriver import Driver, DriverError

PATIENCE_S = 60  # the core thinks slowly on a busy machine
DRAWN_ANEW = ("stale element reference", "no such element", "element not interactable")

FIND = Path(__file__).with_name("finding.js").read_text()
# Where to press: once it stands still and nothing lies over it. What is pressed then says so.
AIM = """
const shown = arguments[0].labels?.[0] ?? arguments[0];
shown.scrollIntoView({ block: 'center' });
const middle = () => {
  const { x, y, width, height } = shown.getBoundingClientRect();
  return [x + width / 2, y + height / 2].map(Math.round);
};
const before = middle();
return new Promise((resolve) => setTimeout(resolve, 50)).then(() => {
  const [x, y] = middle();
  if (x !== before[0] || y !== before[1] || !shown.contains(document.elementFromPoint(x, y))) return null;
  window.pressed = false;
  shown.addEventListener('click', () => { window.pressed = true; }, { capture: true, once: true });
  return [x, y];
});
"""
OPTION = "return [...arguments[0].options].find(({ label }) => label === arguments[1])"
DRAWN = "return arguments[0]?.complete && arguments[0].naturalWidth > 0"


class Hand:
    """Works on the page that ``driver`` shows. Names are whole, or beginnings where they end in an ellipsis."""

    def __init__(self, driver: Driver):
        self.driver = driver

    def tap(self, name: str, group: str | None = None) -> None:
        self._press("button", name, group)

    def follow(self, name: str, group: str | None = None) -> None:
        self._press("link", name, group)

    def choose(self, question: str, answer: str) -> None:
        """Answer a question that is asked with keys."""
        self._press("field", answer, question)
        chosen = "return arguments[0]?.checked"
        self.until(lambda: self.driver.run(chosen, self._look("field", answer, question)), f"{answer} is chosen")

    def answer(self, question: str, answer: str) -> None:
        """Answer a question that is folded away once it is answered."""
        self._press("field", answer, question)

    def write(self, label: str, text: str) -> None:
        def type_in(field: dict) -> None:
            self.driver.run("arguments[0].focus(); arguments[0].select();", field)
            self.driver.write(field, text)

        self._do(type_in, "field", label)
        holds = "return arguments[0]?.value === arguments[1]"
        self.until(lambda: self.driver.run(holds, self._look("field", label), text), f"{label} is {text}")

    def pick(self, label: str, choice: str) -> None:
        """Choose from a list that unfolds."""
        self._do(lambda field: self.driver.choose(self.driver.run(OPTION, field, choice)), "field", label)

    def give(self, key: str, file: Path) -> None:
        """The phone's own camera, which ``key`` opens, gives ``file``."""
        self._do(lambda field: self.driver.write(field, str(file)), "field", key)

    def sees(self, text: str) -> None:
        self.find("text", text)

    def sees_screen(self, title: str) -> None:
        self.find("heading", title)

    def sees_picture(self, words: str) -> None:
        """A picture that is named so is there and has been drawn."""
        self.until(lambda: self.driver.run(DRAWN, self._look("picture", words)), f"picture {words}")

    def find(self, role: str, name: str, group: str | None = None) -> dict:
        return self.until(lambda: self._look(role, name, group), f"{role} {name}")

    def shows(self, role: str, name: str) -> bool:
        """Whether it is there now."""
        return self._look(role, name) is not None

    def field_run(self, expression: str, *arguments: Any) -> Any:
        """The value of a JavaScript expression that begins with the name of a module of ``field``; awaited."""
        module = expression.partition(".")[0]
        return self.driver.run(f"return import('/field/{module}.js').then(({module}) => {expression})", *arguments)

    def until(self, question: Callable[[], Any], what: str) -> Any:
        """What the question gives once it gives something. A screen that is drawn anew meanwhile is asked again."""
        end = time.monotonic() + PATIENCE_S
        trouble = None
        while time.monotonic() < end:
            try:
                if answer := question():
                    return answer
            except DriverError as error:
                if error.code not in DRAWN_ANEW:
                    raise
                trouble = error
            time.sleep(0.05)
        screen = self.driver.run("return document.body.innerText")
        raise AssertionError(f"never there: {what} ({trouble}). The screen says:\n{screen}")

    def _look(self, role: str, name: str, group: str | None = None) -> dict | None:
        if group is None:
            return self.driver.run(FIND, role, name)
        within = self.driver.run(FIND, "group", group)
        return within and self.driver.run(FIND, role, name, within)

    def _press(self, role: str, name: str, group: str | None = None) -> None:
        """In the middle of it; again where it moved away under the thumb."""

        def press(element: dict) -> bool:
            middle = self.driver.run(AIM, element)
            if middle:
                self.driver.tap(*middle)
            return bool(middle) and self.driver.run("return window.pressed")

        self._do(press, role, name, group)

    def _do(self, deed: Callable[[dict], Any], role: str, name: str, group: str | None = None) -> None:
        def attempt() -> bool:
            element = self._look(role, name, group)
            return element is not None and deed(element) is not False

        self.until(attempt, f"{role} {name}")
