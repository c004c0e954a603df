"""A copy of the whole shop in a directory, taken while the server runs.

``rows/<table>.jsonl`` holds the database as it stood at one moment, ``photos/`` the files that it knew to be here,
``manifest.json`` the hash of each. It fits either database: a shop may move from SQLite to PostgreSQL by it.
"""

import json
import os
import re
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection, column, select, table, true
from sqlalchemy.exc import DBAPIError

from ..config import settings
from ..trouble import Trouble
from . import rows
from .clock import now_ms
from .database import db
from .files import copy_file, flush_folder, hash_of

FORM = 1  # of the directory; a release reads this one and older ones
UNFINISHED = ".unfinished-"
MANIFEST = "manifest.json"
_NAMES = re.compile(r"rows/[a-z_]+\.jsonl|photos/[0-9a-f]{2}/[0-9a-f]{64}")


@dataclass(frozen=True)
class Backup:
    """What a backup holds. ``lacking``: photos that the database says are here and the disk does not have whole."""

    folder: Path
    made_ms: int
    revision: str
    rows: dict[str, int]
    files: dict[str, str]  # path in the backup -> SHA-256
    lacking: list[str]

    @property
    def photos(self) -> list[str]:
        return [path for path in self.files if path.startswith("photos/")]


def make(target: Path) -> Backup:
    """Take a backup into the new directory ``target``, which appears when it is whole. Raises Trouble."""
    target = target.absolute()
    if target.exists():
        raise Trouble(f"{target} is there already: name a new directory for each backup.")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        unfinished = Path(tempfile.mkdtemp(prefix=f"{target.name}{UNFINISHED}", dir=target.parent))
    except OSError as problem:
        raise Trouble(f"{target} cannot be made ({problem.strerror}): name another directory.") from None
    try:
        _fill(unfinished)
        _flush(unfinished)
        os.rename(unfinished, target)
        flush_folder(target.parent)
    except DBAPIError as problem:
        raise Trouble(f"The database cannot be read ({problem.orig}); see what is affected: coiltrail check") from None
    except OSError as problem:
        raise Trouble(f"The backup cannot be written ({problem.strerror}); nothing is left of it.") from None
    finally:
        shutil.rmtree(unfinished, ignore_errors=True)
    return read_manifest(target)


def read_manifest(folder: Path) -> Backup:
    """The backup in ``folder`` as it describes itself. Raises Trouble."""
    try:
        told = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
        form = told["form"]
        backup = Backup(
            folder,
            told["made_ms"],
            told["revision"],
            told["rows"],
            told["files"],
            [str(one) for one in told["lacking"]],
        )
        named = [*backup.files, *(f"rows/{name}.jsonl" for name in backup.rows)]
        sound = all(_NAMES.fullmatch(name) for name in named) and set(named) == set(backup.files)
    except FileNotFoundError:
        raise Trouble(f"{folder} is no whole backup: it has no {MANIFEST}. Name another.") from None
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        sound = False
    if not sound:
        raise Trouble(f"{folder / MANIFEST} is damaged: take another backup.")
    if form != FORM:
        raise Trouble(f"{folder} was made by a newer release of Coiltrail: use that one.")
    return backup


def damaged_files(backup: Backup) -> list[str]:
    """The paths in the backup whose files are missing or are not what was backed up."""
    return [path for path, sha256 in sorted(backup.files.items()) if hash_of(backup.folder / path) != sha256]


@contextmanager
def snapshot() -> Iterator[Connection]:
    """A connection that sees the database as it stood at one moment, and holds up nobody who writes."""
    with db.engine.connect() as connection:
        if connection.dialect.name == "postgresql":
            connection = connection.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)
        with connection.begin():
            yield connection


def _fill(folder: Path) -> None:
    (folder / "rows").mkdir()
    with snapshot() as connection:
        revision = rows.revision(connection)
        if revision is None:
            raise Trouble(f"There is no shop in {settings().data}: say where it is with COILTRAIL_DATA.")
        counts = rows.write(connection, folder / "rows")
        photos = table("photo_file", column("sha256"), column("complete"))
        names = connection.scalars(select(photos.c.sha256).where(photos.c.complete == true()).distinct()).all()
    # A photo that the snapshot knows never changes, so it may be copied later.
    files = {f"rows/{name}.jsonl": hash_of(folder / "rows" / f"{name}.jsonl") for name in counts}
    lacking = []
    for sha256 in sorted(names):
        path = f"photos/{sha256[:2]}/{sha256}"
        if copy_file(settings().data / path, folder / path) == sha256:
            files[path] = sha256
        else:
            (folder / path).unlink(missing_ok=True)
            lacking.append(sha256)
    told = {"form": FORM, "made_ms": now_ms(), "revision": revision, "rows": counts, "files": files, "lacking": lacking}
    (folder / MANIFEST).write_text(json.dumps(told, indent=1) + "\n", encoding="utf-8")


def _flush(folder: Path) -> None:
    for path in folder.rglob("*"):
        if path.is_dir():
            flush_folder(path)
        elif path.parent == folder or path.parent.name == "rows":
            with path.open("rb+") as file:
                os.fsync(file.fileno())
    flush_folder(folder)
