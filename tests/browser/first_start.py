"""A shop as the run command opens it: an empty data directory at first, later the same one again."""

import os
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

from .serving import free_port

OPENING = Path(__file__).parents[2] / "deploy" / "opening.py"
ATTEMPTS = 1200  # a tenth of a second each, until a start counts as hung


class FirstStart:
    """A server process on ``data`` at ``address``; ``sign_in`` is its last word before it serves."""

    def __init__(self, data: Path):
        self.data = data
        self.port = free_port()
        self.address = f"http://localhost:{self.port}"
        self.sign_in = ""
        self.process: subprocess.Popen | None = None

    def start(self) -> None:
        plain = {name: value for name, value in os.environ.items() if name not in ("DATABASE_URL", "PUBLIC_URL")}
        self.process = subprocess.Popen(
            [sys.executable, OPENING, self.data, "127.0.0.1", str(self.port)],
            env=plain,
            stdout=subprocess.PIPE,
            text=True,
        )
        while not self.sign_in.startswith(("Make the shop's owner", "Sign in")):
            self.sign_in = self.process.stdout.readline()
            assert self.sign_in, f"the server ended with {self.process.wait()} before it said how to sign in"
        self._await_answer()

    def stop(self) -> None:
        if self.process:
            self.process.terminate()
            self.process.communicate(timeout=60)
            self.process = None
            self.sign_in = ""

    def _await_answer(self) -> None:
        for _ in range(ATTEMPTS):
            try:
                with urllib.request.urlopen(f"{self.address}/api/state") as answer:
                    answer.read()
                return
            except (urllib.error.URLError, ConnectionError):
                time.sleep(0.1)
        raise AssertionError(f"{self.address} does not answer")
