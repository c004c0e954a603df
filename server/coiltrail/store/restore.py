"""Putting a backup back, into an empty shop or over what is there.

What is there is never deleted: it goes to ``replaced-<time>`` in the data directory. The rows come in by one
transaction, so a restore that breaks off leaves a shop that is plainly empty, and is simply done again.
"""

import os
from dataclasses import dataclass
from pathlib import Path

from flask_migrate import upgrade
from sqlalchemy import Engine, inspect, select, text
from sqlalchemy.exc import DBAPIError

from ..config import settings
from ..trouble import Trouble
from . import audit, derived, in_use, log, migrations, photos, rows
from . import backup as backups
from .audit import By
from .backup import Backup
from .clock import now_ms
from .database import db, writing
from .files import copy_file, flush_folder, hash_of
from .models import Shop

_FOLDERS = ("photos", "thumbs", "uploads")


@dataclass(frozen=True)
class Restored:
    """What came back. ``asked``: photos (SHA-256) that the backup has lost, which are asked of the phones.

    ``replaced``: where that is which was here before.
    """

    backup: Backup
    asked: list[str]
    replaced: Path | None


def restore(folder: Path, *, over: bool) -> Restored:
    """Make the shop what it was when the backup in ``folder`` was taken, and let every device offer everything again.

    ``over``: also where a shop is there already. Raises Trouble, before anything is changed, where the backup or the
    place is not fit.
    """
    backup = backups.read_manifest(folder.absolute())
    damaged = backups.damaged_files(backup)
    lost = [path for path in damaged if path.startswith("rows/")]
    if lost:
        raise Trouble(f"{lost[0]} in {backup.folder} is damaged; nothing was changed. Take another backup.")
    if not migrations.knows(backup.revision):
        raise Trouble(f"{backup.folder} was made by a newer release of Coiltrail: use that one.")
    data = settings().data
    with in_use.alone(data):
        occupied = _occupied(data)
        if occupied and not over:
            raise Trouble(f"{occupied} Restore into an empty directory, or replace it with --over; it is kept aside.")
        replaced = _put_aside(data) if occupied else None
        _clear_tables()
        _bring_photos(backup, damaged, data)
        _bring_rows(backup)
        missing = sorted({Path(path).name for path in damaged} | set(backup.lacking))
        photos.ask_again(missing)
        log.begin_epochs()
        _note(backup)
    return Restored(backup, missing, replaced)


def _note(backup: Backup) -> None:
    with writing() as session:
        for shop_id in session.scalars(select(Shop.id)).all():
            audit.note(session, By(shop_id), "restored", backup.folder.name)


def _occupied(data: Path) -> str | None:
    """What is in the way of a restore, as a sentence; None where nothing is."""
    try:
        with db.engine.connect() as connection:
            there = inspect(connection).has_table("shop")
            names = connection.execute(text("SELECT name FROM shop LIMIT 1")).scalars().all() if there else []
    except DBAPIError:
        return "A database that cannot be read is there."
    if names:
        return f"The shop {names[0]} is there."
    return "Photos are there." if any(path.is_file() for path in (data / "photos").rglob("*")) else None


def _put_aside(data: Path) -> Path:
    """Move what is there to a directory of its own; gives that."""
    aside = data / f"replaced-{now_ms()}"
    if db.engine.dialect.name != "sqlite":
        # Rows cannot be moved out of a server's database; a backup of them can be restored as any other.
        backups.make(aside / "backup")
    aside.mkdir(exist_ok=True)
    for path in [*_database_files(db.engine), *(data / name for name in _FOLDERS)]:
        if path.exists():
            os.rename(path, aside / path.name)
    flush_folder(data)
    return aside


def _database_files(engine: Engine) -> list[Path]:
    """SQLite's file and what belongs to it, its connections closed."""
    if engine.dialect.name != "sqlite":
        return []
    engine.dispose()
    return [Path(engine.url.database + end) for end in ("", "-wal", "-shm")]


def _clear_tables() -> None:
    with db.engine.begin() as connection:
        rows.drop_all(connection)


def _bring_photos(backup: Backup, damaged: list[str], data: Path) -> None:
    for path in backup.photos:
        if path not in damaged and hash_of(data / path) != backup.files[path]:
            copy_file(backup.folder / path, data / path)


def _bring_rows(backup: Backup) -> None:
    upgrade(revision=backup.revision)
    with db.engine.begin() as connection:
        rows.read(connection, backup.folder / "rows")
    upgrade()
    derived.reindex()
