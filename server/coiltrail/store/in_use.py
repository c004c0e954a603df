"""Whether somebody serves a data directory, so that nothing is exchanged under a running server.

Where files in use cannot be moved (Windows), the system itself keeps them in place, and no lock is needed.
"""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from ..trouble import Trouble

LOCK = "in-use.lock"


@contextmanager
def serving(data: Path) -> Iterator[None]:
    """Mark ``data`` as served, by as many servers as there are. Raises Trouble while it is being restored."""
    with _locked(data, "LOCK_SH", f"{data} is being restored: start again when that has ended."):
        yield


@contextmanager
def alone(data: Path) -> Iterator[None]:
    """Hold ``data`` for oneself. Raises Trouble when it is served."""
    with _locked(data, "LOCK_EX", f"Coiltrail serves {data}: stop it first."):
        yield


@contextmanager
def _locked(data: Path, kind: str, refusal: str) -> Iterator[None]:
    if os.name != "posix":
        yield
        return
    import fcntl

    data.mkdir(parents=True, exist_ok=True)
    with (data / LOCK).open("w") as file:
        try:
            fcntl.flock(file, getattr(fcntl, kind) | fcntl.LOCK_NB)
        except BlockingIOError:
            raise Trouble(refusal) from None
        yield
