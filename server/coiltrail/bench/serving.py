"""A server of one's own for as long as a measurement lasts, started as people start it."""

import os
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from ..app import create_app
from ..config import Config
from ..store import migrations, people
from ..store.clock import uuid7
from ..store.database import db, writing
from ..trouble import Trouble

READY_WITHIN_S = 60
NAME, PASSWORD = "Ada", "coil boot plug lead"


@dataclass(frozen=True)
class Shop:
    """A shop that is served on ``port``, and the device that is signed in there by ``token``."""

    port: int
    device: str
    person: str
    token: str


@contextmanager
def served(folder: Path, database_url: str | None = None) -> Iterator[Shop]:
    """A new shop in ``folder``, on SQLite or another database, until the end of the block."""
    settings = {"COILTRAIL_DATA": str(folder)} | ({"DATABASE_URL": database_url} if database_url else {})
    app = create_app(Config.from_environment(settings))
    migrations.apply(app)
    device = uuid7()
    with app.app_context():
        with writing() as session:
            shop_id = people.add_shop(session, "Driveway Motors", "555-0134").id
        person = people.add_person(shop_id, NAME, "owner", PASSWORD)
        person_id = person.id
        _, token = people.sign_in(person, device, "A phone")
        db.session.remove()
        db.engine.dispose()
    port = free_port()
    environment = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"} | settings
    command = [sys.executable, "-m", "coiltrail.cli", "serve", "--port", str(port)]
    with subprocess.Popen(command, env=environment, stdout=subprocess.DEVNULL) as server:
        try:
            wait_for(f"http://127.0.0.1:{port}/api/state", server)
            yield Shop(port, device, person_id, token)
        finally:
            server.terminate()


def free_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return free.getsockname()[1]


def wait_for(url: str, server: subprocess.Popen) -> None:
    """Wait until something answers at ``url``. Raises Trouble when the server ends or is too slow."""
    end = time.monotonic() + READY_WITHIN_S
    while time.monotonic() < end and server.poll() is None:
        try:
            urllib.request.urlopen(url, timeout=5).close()
            return
        except urllib.error.HTTPError as answer:
            answer.close()
            return
        except OSError:
            time.sleep(0.1)
    raise Trouble(f"no server came up at {url}")
