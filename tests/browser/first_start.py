"""A shop as the run command opens it: from an empty data directory at first, later from the same one again."""

import os
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

from .serving import free_port

OPENING = Path(__file__).parents[2] / "deploy" / "opening.py"
PATIENCE = 120  # seconds until a start counts as hung, also on a busy machine


class FirstStart:
    """A server process on ``data`` at ``address``; ``sign_in`` is how it said that one signs in."""

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
        for line in self.process.stdout:
            if line.startswith(("Make the shop's owner", "Sign in")):
                self.sign_in = line.strip()
                return self._await_answer()
        raise AssertionError(f"the server ended with {self.process.wait()} before it said how to sign in")

    def stop(self) -> None:
        if self.process:
            self.process.terminate()
            self.process.communicate(timeout=PATIENCE)
            self.process = None

    def _await_answer(self) -> None:
        for _ in range(PATIENCE * 10):
            try:
                with urllib.request.urlopen(f"{self.address}/api/state") as answer:
                    answer.read()
                return
            except (urllib.error.URLError, ConnectionError):
                time.sleep(0.1)
        raise AssertionError(f"{self.address} does not answer")
