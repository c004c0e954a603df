"""W3C WebDriver (https://www.w3.org/TR/webdriver2/), as far as these tests need it.

WebKitGTK has a driver that is asked over HTTP. Firefox takes the same commands over a socket of its own (Marionette);
Debian has no package of the program that puts HTTP before it.
"""

import json
import socket
import urllib.error
import urllib.request
from typing import Any, Protocol

ELEMENT = "element-6066-11e4-a52e-4f735466cecf"  # section 12.1
HUNG_S = 120  # without an answer; a busy machine is no failure


class DriverError(Exception):
    """A command that the browser refuses; ``code`` as section 6.6 has it."""

    def __init__(self, code: str, message: str):
        super().__init__(f"{code}: {message}")
        self.code = code


class Driver(Protocol):
    """One window. Elements are what ``run`` gives for them."""

    def go(self, address: str) -> None: ...

    def run(self, script: str, *arguments: Any) -> Any:
        """What the body of a function returns, or what its promise comes to."""

    def tap(self, x: int, y: int) -> None:
        """Press and let go at a point of the window, in CSS pixels."""

    def write(self, element: dict, text: str) -> None:
        """Type where the cursor is; a field for files takes the path of one."""

    def choose(self, option: dict) -> None:
        """Pick an option of a list that unfolds."""

    def close(self) -> None:
        """Hang up; the browser runs on."""


def tapping(x: int, y: int) -> list[dict]:
    """Section 15.4.2. WebKitGTK's driver clicks on no piece of a drawing (SVG), but presses where one is."""
    steps = [
        {"type": "pointerMove", "x": x, "y": y},
        *({"type": f"pointer{way}", "button": 0} for way in ("Down", "Up")),
    ]
    return [{"type": "pointer", "id": "thumb", "actions": steps}]


class WebKitDriver:
    """A session at the driver that listens at ``port``, with a window that ``program`` opens."""

    def __init__(self, port: int, program: str, arguments: list[str]):
        self.address = f"http://127.0.0.1:{port}/session"
        window = {"webkitgtk:browserOptions": {"binary": program, "args": arguments}}
        self.address += "/" + self._ask("", {"capabilities": {"alwaysMatch": window}})["sessionId"]

    def go(self, address: str) -> None:
        self._ask("/url", {"url": address})

    def run(self, script: str, *arguments: Any) -> Any:
        return self._ask("/execute/sync", {"script": script, "args": arguments})

    def tap(self, x: int, y: int) -> None:
        self._ask("/actions", {"actions": tapping(x, y)})

    def write(self, element: dict, text: str) -> None:
        self._ask(f"/element/{element[ELEMENT]}/value", {"text": text})

    def choose(self, option: dict) -> None:
        self._ask(f"/element/{option[ELEMENT]}/click", {})

    def close(self) -> None:
        pass  # each command is a connection of its own

    def _ask(self, path: str, body: dict) -> Any:
        try:
            with urllib.request.urlopen(self.address + path, json.dumps(body).encode(), HUNG_S) as answer:
                return json.load(answer)["value"]
        except urllib.error.HTTPError as error:
            told = json.load(error)["value"]
            raise DriverError(told["error"], told["message"]) from None


class FirefoxDriver:
    """A session of the Firefox that listens at ``port``. Each message is its length, a colon and JSON."""

    def __init__(self, port: int):
        self.socket = socket.create_connection(("127.0.0.1", port), HUNG_S)
        self.stream = self.socket.makefile("rb")
        self.sent = 0
        self._receive()  # a greeting
        self._ask("NewSession", capabilities={})

    def go(self, address: str) -> None:
        self._ask("Navigate", url=address)

    def run(self, script: str, *arguments: Any) -> Any:
        return self._ask("ExecuteScript", script=script, args=arguments, sandbox=None)["value"]

    def tap(self, x: int, y: int) -> None:
        self._ask("PerformActions", actions=tapping(x, y))

    def write(self, element: dict, text: str) -> None:
        self._ask("ElementSendKeys", id=element[ELEMENT], text=text)

    def choose(self, option: dict) -> None:
        self._ask("ElementClick", id=option[ELEMENT])

    def close(self) -> None:
        self.stream.close()
        self.socket.close()

    def _ask(self, command: str, **parameters: Any) -> Any:
        self.sent += 1
        message = json.dumps([0, self.sent, f"WebDriver:{command}", parameters]).encode()
        self.socket.sendall(b"%d:%s" % (len(message), message))
        _, number, error, answer = self._receive()
        assert number == self.sent
        if error:
            raise DriverError(error["error"], error["message"])
        return answer

    def _receive(self) -> Any:
        length = b""
        while (letter := self.stream.read(1)) != b":":
            if not letter:
                raise ConnectionError("Firefox has ended")
            length += letter
        return json.loads(self.stream.read(int(length)))
