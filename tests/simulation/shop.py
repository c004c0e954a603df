"""The shop of a simulation: the server's own functions, called in this process, which may crash at any step.

Each run has a shop and a data directory of its own. A step of the server ends with a flush, a rename or a commit; a
call that says ``"crash": 2`` does not come further than its second. What the server had not committed by then is gone,
as after a power failure; what it had written to files stays.
"""

import base64
import dataclasses
import gc
import json
import os
import shutil
import traceback
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Table, bindparam, delete, event, insert, select, union_all

from coiltrail.app import create_app
from coiltrail.config import Config
from coiltrail.core import canonical, casefile
from coiltrail.store import chain, derived, entry_check, exchange, log, media, migrations, photos
from coiltrail.store.database import db, writing
from coiltrail.store.models import Device, Entry, Person, PhotoFile, SetAside, Shop, Tag
from tests.phone import sha256

ANSWER_BYTES = 1_500  # of entries in one answer: short, so that it takes several
TABLES: list[Table] = [model.__table__ for model in (Entry, SetAside, PhotoFile, Tag)]

# Statements are built once: there are ten thousand runs.
SHOP = bindparam("shop")
ROWS = {table: select(table).where(table.c.shop_id == SHOP) for table in TABLES}
EMPTY = {table: delete(table).where(table.c.shop_id == SHOP) for table in TABLES}
ACCEPTED = select(Entry.content).where(Entry.shop_id == SHOP).order_by(Entry.number)
STILL_ASIDE = select(SetAside.content).where(SetAside.shop_id == SHOP, SetAside.settled_ms.is_(None))
COMPLETE = select(PhotoFile.sha256).where(PhotoFile.shop_id == SHOP, PhotoFile.complete)
NUMBERED = union_all(
    *(select(model.number, model.content, model.chain).where(model.shop_id == SHOP) for model in (Entry, SetAside))
)


class Crash(BaseException):
    """The server has stopped here. No code of the server may catch it."""


class Steps:
    """Counts the steps of the call that runs now, and stops it after ``left`` of them."""

    left: int | None = None
    stopped = False

    def __call__(self) -> None:
        if self.left is not None:
            self.left -= 1
            if self.left <= 0:
                self.stopped = True
                raise Crash


step = Steps()


class StoppingOs:
    """``os`` as the photo store uses it, each step counted. Nothing is flushed: a test machine may lose its power."""

    def __getattr__(self, name: str) -> Any:
        return getattr(os, name)

    def replace(self, source: Path, target: Path) -> None:
        os.replace(source, target)
        step()

    def fsync(self, _file: int) -> None:
        step()


class StoppingPath(type(Path())):
    """A path whose file outlives a crash, whatever the server's ``finally`` would do."""

    def unlink(self, missing_ok: bool = False) -> None:
        if not step.stopped:
            super().unlink(missing_ok)


class Shops:
    """The shops of all runs, in one database. ``answer`` does what a run asks for."""

    def __init__(self, folder: Path):
        self.folder = StoppingPath(folder)
        self.app = create_app(Config(data=self.folder, database_url=f"sqlite:///{folder / 'shops.sqlite3'}"))
        migrations.apply(self.app)
        self.settings = self.app.extensions["coiltrail"]
        self.runs: dict[int, Run] = {}
        self.now_ms = 0
        with self.app.app_context():
            db.engine.dispose()
            event.listen(db.engine, "connect", _write_fast)
        db.session.commit = _counted(db.session.commit)
        photos.os = StoppingOs()
        entry_check.now_ms = lambda: self.now_ms
        derived.follow = lambda *_: None  # what is derived from the log is no part of the protocol, and takes its time
        gc.freeze()  # what is loaded by now stays, so garbage is not looked for in it again and again
        gc.set_threshold(20_000)

    def close(self) -> None:
        """Let go of the database."""
        with self.app.app_context():
            db.engine.dispose()

    def answer(self, run: int, call: dict[str, Any]) -> Any:
        """What the shop of ``run`` answers; ``{"crashed": true}`` when it stopped before it could, ``{"failed": ...}``
        when its code does not bear what was asked."""
        with self.app.app_context():
            if run not in self.runs:
                self.runs[run] = Run(self.folder / f"run{run}")
            shop = self.runs[run]
            self.app.extensions["coiltrail"] = dataclasses.replace(self.settings, data=shop.folder)
            self.now_ms = call["now"]
            with stopping(call.get("crash")) as crashed:
                try:
                    answer = getattr(shop, call["do"])(**call.get("with", {}))
                except Exception:
                    return {"failed": traceback.format_exc()}
            return {"crashed": True} if crashed else answer


@contextmanager
def stopping(after: int | None) -> Iterator[list[bool]]:
    """Let the server crash after so many steps; what is given holds True when it has."""
    crashed: list[bool] = []
    step.left, step.stopped = after, False
    try:
        yield crashed
    except Crash:
        crashed.append(True)
    finally:
        step.left, step.stopped = None, False
        db.session.remove()


def _counted(commit):
    def counted() -> None:
        step()
        commit()
        step()

    return counted


def _write_fast(connection, _record) -> None:
    for pragma in ("synchronous = OFF", "journal_mode = MEMORY", "cache_size = -64000"):
        connection.execute("PRAGMA " + pragma)


class Run:
    """The shop of one run. Its public methods are what a simulation calls."""

    def __init__(self, folder: Path):
        self.folder = folder
        folder.mkdir()
        self.backups: list[tuple[dict, Path]] = []
        with writing() as session:
            shop = Shop(name="Shop", phone="")
            session.add(shop)
            session.flush()
            person = Person(shop_id=shop.id, name="A", name_key=shop.id, role="owner", password_hash="")
            session.add(person)
            session.flush()
            self.shop_id, self.person_id = shop.id, person.id

    def pair(self, device: str) -> None:
        with writing() as session:
            session.add(Device(id=device, person_id=self.person_id, name="A phone"))

    def sync(self, signed_in: str, request: dict) -> dict:
        """As ``POST /api/sync`` from the device that signed in as ``signed_in``."""
        head = tuple(request["head"]) if request["head"] else None
        place = exchange.Place(request["epoch"], request["cursor"], head)
        return exchange.exchange(
            self.shop_id, signed_in, place, request["entries"], request["unsynced"], answer_limit=ANSWER_BYTES
        )

    def photo(self, method: str, sha256: str, offset: int = 0, size: int = 0, piece: str = "") -> dict:
        """As ``HEAD`` and ``PATCH /api/photos/<sha256>``: status, error code, and where the shop stands."""
        try:
            if method == "HEAD":
                return _told(200, photos.progress(self.shop_id, sha256))
            progress = photos.add_piece(self.shop_id, sha256, offset, size, base64.b64decode(piece))
            return _told(204, progress)
        except photos.Disagrees as disagrees:
            return _told(409, disagrees.progress) | {"code": "other_offset"}
        except photos.WrongHash:
            return {"status": 422, "code": "wrong_hash"}
        except media.Unfit:
            return {"status": 422, "code": "unfit"}

    def back_up(self) -> None:
        """Keep a copy of everything as it is now."""
        shop = db.session.get_one(Shop, self.shop_id)
        rows = {
            table.name: [dict(row) for row in db.session.execute(ROWS[table], self._here).mappings()]
            for table in TABLES
        }
        rows["shop"] = {"epoch": shop.epoch, "next_number": shop.next_number}
        files = self.folder.with_name(f"{self.folder.name}-backup{len(self.backups)}")
        shutil.copytree(self.folder, files)
        self.backups.append((rows, files))

    def restore(self, backup: int, told: bool, files: str) -> None:
        """Put a copy back. ``told``: whoever did it said so; ``files``: "copy" puts those of the copy back too, "keep"
        leaves them as they are, "lost" leaves none."""
        rows, copy = self.backups[backup]
        with writing() as session:
            shop = log.lock(session, self.shop_id)
            shop.epoch, shop.next_number = rows["shop"]["epoch"], rows["shop"]["next_number"]
            for table in TABLES:
                session.execute(EMPTY[table], self._here)
                if rows[table.name]:
                    session.execute(insert(table), rows[table.name])
            if told:
                log.begin_epoch(shop)
        if files != "keep":
            shutil.rmtree(self.folder)
            if files == "copy":
                shutil.copytree(copy, self.folder)
            else:
                self.folder.mkdir()

    def holds(self) -> dict:
        """Ids of all entries that are here, whether accepted or set aside, and the photos whose bytes are whole."""
        entries = [entry["id"] for entry in (*self._accepted(), *self._set_aside())]
        return {"entries": entries, "photos": self._whole_photos()}

    def end(self, logs: list[list[dict]]) -> dict:
        """Everything that is here at the end, what is wrong with it by itself, and the folds of the given ``logs``."""
        accepted, set_aside = self._accepted(), self._set_aside()
        answer = {
            "accepted": accepted,
            "setAside": set_aside,
            "photos": self._whole_photos(),
            "wrong": self._wrong(),
            "folds": [fold_of(entries) for entries in logs],
        }
        for folder in (self.folder, *(copy for _, copy in self.backups)):
            shutil.rmtree(folder)
        with writing() as session:
            for table in TABLES:
                session.execute(EMPTY[table], self._here)
        return answer

    @property
    def _here(self) -> dict[str, str]:
        return {"shop": self.shop_id}

    def _accepted(self) -> list[dict]:
        return [json.loads(content) for content in db.session.scalars(ACCEPTED, self._here)]

    def _set_aside(self) -> list[dict]:
        return [json.loads(content) for content in db.session.scalars(STILL_ASIDE, self._here)]

    def _whole_photos(self) -> list[str]:
        found = []
        for name in db.session.scalars(COMPLETE, self._here):
            path = self.folder / "photos" / name[:2] / name
            if path.exists() and sha256(path.read_bytes()) == name:
                found.append(name)
        return found

    def _wrong(self) -> list[str]:
        """Numbers without a gap, and a hash of everything at each."""
        rows = sorted(map(tuple, db.session.execute(NUMBERED, self._here)))
        numbers = [number for number, _, _ in rows]
        next_number = db.session.get_one(Shop, self.shop_id).next_number
        wrong = [] if numbers == list(range(1, next_number)) else [f"the log is numbered {numbers}, next {next_number}"]
        link = ""
        for number, content, found in rows:
            link = chain.link(link, content)
            if link != found:
                wrong.append(f"the hash at {number} is not that of the log")
        return wrong


def fold_of(entries: list[dict]) -> str:
    """What a log means, as a short text that is the same where the meaning is."""
    try:
        told = canonical.dumps(casefile.view(casefile.fold(entries)))
    except ValueError as told_nothing:
        told = str(told_nothing)
    return sha256(told.encode())


def _told(status: int, progress: photos.Progress) -> dict:
    complete = "?1" if progress.complete else "?0"
    return {"status": status, "headers": {"Upload-Offset": str(progress.received), "Upload-Complete": complete}}
