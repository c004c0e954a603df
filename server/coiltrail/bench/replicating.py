"""The same load through a general-purpose replicating database (PouchDB with its server, from npm).

It is installed when it is first measured, into a cache directory outside the tree, and is no part of the product. Its
server keeps documents in LevelDB, its client sends photos as attachments. Both sides run on Node.
"""

import base64
import json
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from ..trouble import Trouble
from . import from_npm
from .day import Day
from .link import Link, opened
from .serving import free_port, wait_for

PACKAGES = ("pouchdb@9.0.0", "express-pouchdb@4.2.0", "express@4")
_SCRIPT = Path(__file__).with_suffix(".mjs")


@dataclass(frozen=True)
class Pushed:
    """What replicating took: seconds, and bytes on the wire both ways."""

    seconds: float
    bytes: int


def install() -> Path:
    """The directory where it is installed, after installing it where it is not. Raises Trouble."""
    return from_npm.install("bench", PACKAGES)


@contextmanager
def served(cache: Path) -> Iterator[int]:
    """Its server on an empty directory, until the end of the block; gives the port."""
    shutil.copy(_SCRIPT, cache)
    port = free_port()
    with tempfile.TemporaryDirectory(prefix="coiltrail-bench-") as folder:
        command = ["node", _SCRIPT.name, "serve", folder, str(port)]
        with subprocess.Popen(command, cwd=cache, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as server:
            try:
                wait_for(f"http://127.0.0.1:{port}/", server)
                yield port
            finally:
                server.terminate()


def push(cache: Path, port: int, day: Day, link: Link) -> Pushed:
    """Replicate the day to a new database of the server at ``port`` over ``link``. Raises Trouble."""
    named = iter(day.photos)
    photos = [
        {"entry": entry["id"], "base64": base64.b64encode(photo).decode()}
        for entry in day.entries
        if entry["kind"] == "photo"
        for photo in [next(named, None)]
        if photo is not None
    ]
    with tempfile.TemporaryDirectory(prefix="coiltrail-bench-") as folder, opened(link):
        load = Path(folder) / "load.json"
        load.write_text(json.dumps({"entries": day.entries, "photos": photos}))
        url = f"http://127.0.0.1:{link.port}/day{link.port}"
        command = ["node", _SCRIPT.name, "push", load, url, folder]
        done = subprocess.run(command, cwd=cache, capture_output=True, text=True)
        told = json.loads(done.stdout) if done.returncode == 0 else {}
        if told.get("written") != len(day.entries) or told["failed"]:
            raise Trouble(f"it did not take everything ({(done.stderr or done.stdout).strip()[-200:]})")
        return Pushed(told["seconds"], link.passed)
