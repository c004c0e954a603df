"""A PostgreSQL of one's own for as long as a measurement lasts, where its programs are on the machine."""

import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from ..trouble import Trouble

# Debian keeps them out of the path.
_PLACES = "/usr/lib/postgresql"
_USER = "postgres"  # Debian's; PostgreSQL refuses to run as root


def is_here() -> bool:
    """Whether PostgreSQL's programs are on this machine."""
    return _programs() is not None


@contextmanager
def cluster() -> Iterator[str]:
    """The address of a new, empty database. It is durable as by default. Raises Trouble where there is none."""
    programs = _programs()
    if programs is None:
        raise Trouble("PostgreSQL's initdb is not on this machine")
    folder = Path(tempfile.mkdtemp(prefix="coiltrail-pg-"))
    user = {"user": _USER, "group": _USER} if os.name == "posix" and os.geteuid() == 0 else {}
    if user:
        shutil.chown(folder, _USER, _USER)
    data, log = folder / "data", folder / "log"
    # Only by a socket in a directory of its own: nothing listens on the network.
    options = f"-c listen_addresses='' -k {folder}"
    start = [programs / "pg_ctl", "start", "-w", "-D", data, "-l", log, "-o", options]
    try:
        _run([programs / "initdb", "-A", "trust", "-U", _USER, "--no-instructions", "-D", data], folder, user)
        _run(start, folder, user)
        try:
            yield f"postgresql+psycopg://{_USER}@/{_USER}?host={folder}"
        finally:
            _run([programs / "pg_ctl", "stop", "-w", "-m", "immediate", "-D", data], folder, user)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _programs() -> Path | None:
    found = shutil.which("initdb")
    places = [Path(found).resolve().parent] if found else sorted(Path(_PLACES).glob("*/bin"), reverse=True)
    return places[0] if places else None


def _run(command: list, folder: Path, user: dict) -> None:
    try:
        done = subprocess.run(command, cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, **user)
    except (OSError, LookupError) as problem:
        raise Trouble(f"PostgreSQL cannot be started ({problem})") from None
    if done.returncode:
        raise Trouble(f"PostgreSQL cannot be started ({done.stderr.strip().splitlines()[-1:]})")
