"""A shop on its own network (``run.py --lan``): a browser that trusts its authority is paired and works offline, one
that does not is refused. No phone is at hand here, so Chromium stands for both."""

import contextlib
import os
import re
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

import pytest
from playwright.sync_api import Error, expect

from .conftest import CHROMIUM, PHONE, run
from .first_start import PATIENCE
from .serving import free_port
from .worked_case import open_case, wait_until

RUN = Path(__file__).parents[2] / "deploy" / "run.py"
OWNER = {"name": "Robin Demo", "password": "three wet plugs", "shop": "Demo shop", "device": "Server"}


class OwnNetwork:
    """The run command with ``--lan`` on this machine's own address; ``words``: all it printed until it served."""

    def __init__(self, data: Path, *options: str):
        self.port = free_port()
        self.address = f"https://127.0.0.1:{self.port}"
        plain = {name: value for name, value in os.environ.items() if name not in ("DATABASE_URL", "PUBLIC_URL")}
        self.process = subprocess.Popen(
            [sys.executable, RUN, "--lan", "--host", "127.0.0.1", "--port", str(self.port), "--data", data, *options],
            env=plain,
            stdout=subprocess.PIPE,
            text=True,
        )
        self.words = ""
        for line in self.process.stdout:
            self.words += line
            if line.startswith(("Make the shop's owner", "Sign in with")):
                self._await_answer()
                return
        raise AssertionError(f"the server ended with {self.process.wait()} before it said how to sign in")

    def _await_answer(self) -> None:
        for _ in range(PATIENCE * 10):
            with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", self.port)):
                return
            time.sleep(0.1)
        raise AssertionError(f"{self.address} does not answer")

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.process.terminate()
        self.process.communicate(timeout=PATIENCE)


@pytest.fixture(scope="module")
def data(tmp_path_factory):
    return tmp_path_factory.mktemp("network") / "shop"


@pytest.fixture(scope="module")
def trusting(data, playwright, tmp_path_factory):
    """A Chromium whose store of authorities holds the shop's, as its trust page gave it out."""
    home = tmp_path_factory.mktemp("home")

    @contextlib.contextmanager
    def launched(certificate: bytes):
        store = home / ".pki" / "nssdb"
        if not store.is_dir():
            store.mkdir(parents=True)
            (home / "authority.crt").write_bytes(certificate)
            certutil = ["certutil", "-d", f"sql:{store}"]
            subprocess.run([*certutil, "-N", "--empty-password"], check=True)
            adding = ["-A", "-n", "shop", "-t", "C,,", "-i", str(home / "authority.crt")]
            subprocess.run([*certutil, *adding], check=True)
        browser = playwright.chromium.launch(**CHROMIUM, env={**os.environ, "HOME": str(home)})
        try:
            yield browser
        finally:
            browser.close()

    return launched


def fetch(address: str) -> tuple[str, bytes]:
    """Type and content, as soon as there is an answer."""
    for _ in range(PATIENCE * 10):
        with contextlib.suppress(urllib.error.URLError), urllib.request.urlopen(address) as answer:
            return answer.headers["Content-Type"], answer.read()
        time.sleep(0.1)
    raise AssertionError(f"{address} does not answer")


def test_trusted_paired_gone_offline_and_back(data, trusting, chromium):
    with OwnNetwork(data) as shop:
        page_address = f"http://127.0.0.1:{shop.port + 1}"
        assert f"Coiltrail is served at {shop.address}" in shop.words and page_address in shop.words
        owner_link = re.search(re.escape(shop.address) + r"/#owner=\S+", shop.words)[0]
        kind, page = fetch(page_address)
        fingerprint = re.search(r"SHA-256\) is ([0-9A-F:]{95})", shop.words)[1]
        assert kind.startswith("text/html") and fingerprint in page.decode()
        kind, certificate = fetch(page_address + "/coiltrail-authority.crt")
        assert kind == "application/x-x509-ca-cert"
        assert b"PRIVATE" not in certificate and fetch(page_address + "/authority-key.pem")[1] == page
        assert b"shop_name" not in fetch(page_address + "/api/state")[1]

        refused = chromium.new_page()
        with pytest.raises(Error, match="ERR_CERT_AUTHORITY_INVALID"):
            refused.goto(shop.address)
        refused.close()

        with trusting(certificate) as browser:
            desk = browser.new_context(base_url=shop.address).new_page()
            desk.goto(owner_link)
            desk.get_by_label("Name of the shop").fill(OWNER["shop"])
            desk.get_by_label("Your name").fill(OWNER["name"])
            desk.get_by_label("Password").fill(OWNER["password"])
            desk.get_by_role("button", name="Make me the owner").click()
            expect(desk.get_by_role("heading", level=1, name="Cases")).to_be_visible()
            desk.goto("/#/pair")
            desk.get_by_text("The phone warns of an unsafe connection").click()
            expect(desk.get_by_text(page_address)).to_be_visible()

    with OwnNetwork(data, "--pair", OWNER["name"]) as shop, trusting(certificate) as browser:
        phone = browser.new_context(base_url=shop.address, **PHONE)
        page = phone.new_page()
        page.goto(re.search(re.escape(shop.address) + r"/#pair=\S+", shop.words)[0])
        page.get_by_label("Name of this device").fill("Van phone")
        page.get_by_role("button", name="Pair this phone").click()
        expect(page.get_by_text("Ready to work offline")).to_be_visible(timeout=60_000)
        assert page.evaluate("() => isSecureContext && Boolean(navigator.mediaDevices)")
        cookie = next(one for one in phone.cookies() if one["name"] == "coiltrail_device")
        assert cookie["secure"] and cookie["httpOnly"]

        phone.set_offline(True)
        page.reload()
        expect(page.get_by_role("heading", level=1, name="Cases")).to_be_visible()
        case = open_case(page)
        page.goto(f"/#/case/{case}")
        expect(page.get_by_role("heading", level=1, name="2011 Zedex Four")).to_be_visible()
        phone.set_offline(False)
        wait_until(page, "sync.syncNow()")
        assert run(page, "syncState.countAgain()")["unsyncedEntries"] == 0
