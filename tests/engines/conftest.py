"""A shop, and phones with the engine that iPhones have and with Firefox's."""

import os
import subprocess
from collections.abc import Iterator

import pytest

from tests.browser.serving import OWNER, Shop, served_shop

from .browsers import Firefox, Phone, WebKit
from .hand import Hand


@pytest.fixture(scope="session")
def display() -> Iterator[str]:
    """A screen that nobody sees, for engines that must have one; its name."""
    reading, writing = os.pipe()
    screen = ["Xvfb", "-displayfd", str(writing), "-screen", "0", "1000x1000x24", "-nolisten", "tcp"]
    with subprocess.Popen(screen, pass_fds=[writing], stderr=subprocess.DEVNULL) as process:
        os.close(writing)
        with open(reading) as named:
            number = named.readline().strip()
        assert number, "Xvfb ended before it showed a screen"
        yield f":{number}"
        process.terminate()


@pytest.fixture(scope="module")
def shop(tmp_path_factory) -> Iterator[Shop]:
    """One server for the tests of a file, which leave it running."""
    with served_shop(tmp_path_factory.mktemp("shop")) as served:
        yield served


@pytest.fixture
def own_shop(tmp_path) -> Iterator[Shop]:
    """A server of the test's own, to be stopped and started again."""
    with served_shop(tmp_path / "shop") as served:
        yield served


@pytest.fixture(params=[WebKit, Firefox], ids=["webkit", "firefox"])
def phone(request, tmp_path, display) -> Iterator[Phone]:
    made = request.param(tmp_path / "phone", display)
    yield made
    made.kill()


@pytest.fixture
def iphone(tmp_path, display) -> Iterator[WebKit]:
    """With a camera that the engine makes up."""
    made = WebKit(tmp_path / "phone", display)
    made.camera = True
    yield made
    made.kill()


def sign_in(phone: Phone, shop: Shop) -> Hand:
    """The owner signs in on a new phone, and waits until it works without a connection."""
    hand = Hand(phone.start())
    hand.driver.go(shop.address)
    hand.write("Your name", OWNER["name"])
    hand.write("Password", OWNER["password"])
    hand.tap("Sign in")
    hand.sees("Ready to work offline")
    hand.tap("Good")
    return hand
