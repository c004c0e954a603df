"""The real server as a process of its own, on a free port with a data directory of its own."""

import os
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from coiltrail.app import create_app
from coiltrail.config import Config
from coiltrail.store import migrations, people

OWNER = {"name": "Robin Demo", "password": "three wet plugs"}


@contextmanager
def served_shop(data: Path) -> Iterator["Shop"]:
    """A shop on ``data``, served meanwhile."""
    shop = Shop(data)
    shop.start()
    yield shop
    shop.stop()


class Shop:
    """A shop, with its first owner (``OWNER``) unless told otherwise, served at ``address``."""

    def __init__(self, data: Path, owner: bool = True):
        self.data = data
        self.port = free_port()
        self.address = f"http://localhost:{self.port}"
        self.environment = {
            **os.environ,
            "COILTRAIL_DATA": str(data),
            "DATABASE_URL": "",
            "PUBLIC_URL": self.address,
        }
        self.process: subprocess.Popen | None = None
        app = self.app()
        migrations.apply(app)
        if not owner:
            return
        with app.app_context():
            people.make_owner(people.new_owner_link(), "Demo shop", "555-0100", OWNER["name"], OWNER["password"])

    def app(self):
        """The application over the same data, for a look into the database."""
        return create_app(Config.from_environment(self.environment))

    def start(self) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-m", "coiltrail.cli", "serve", "--port", str(self.port)],
            env=self.environment,
        )
        self._await_answer()

    def stop(self) -> None:
        if self.process:
            self.process.terminate()
            self.process.wait(20)
            self.process = None

    def _await_answer(self) -> None:
        for _ in range(1000):
            if self.process.poll() is not None:
                raise RuntimeError(f"the server ended with {self.process.returncode} before it answered")
            try:
                with urllib.request.urlopen(f"{self.address}/api/state") as answer:
                    answer.read()
                return
            except (urllib.error.URLError, ConnectionError):
                time.sleep(0.02)
        raise RuntimeError("the server does not answer")


def free_port() -> int:
    with socket.socket() as trial:
        trial.bind(("127.0.0.1", 0))
        return trial.getsockname()[1]
