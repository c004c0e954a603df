"""An export of a whole shop (``export.py``) put into an empty place: the same shop again, its hash chain made anew.

Everything is looked at before anything is written. Passwords and sign-ins are in no export.
"""

import hashlib
import json
import re
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from ..config import settings
from ..core.entries import UUID_PATTERN
from ..core.tongue import phrase
from ..trouble import Trouble
from . import audit, export, in_use, log, media, photos
from .clock import uuid7
from .database import db, writing
from .entry_check import can_be_shown
from .files import flush_folder
from .models import ROLES, Person, PhotoFile, Shop
from .people import name_key

_PHOTO = re.compile(r"photos/([0-9a-f]{64})\.[a-z0-9]{1,4}")
_PLAIN = {"shop.json", "people.json", "log.jsonl", "set_aside.jsonl", "cases.csv", "parts.csv", "entries.csv"}
_NO_PASSWORD = ""  # fits none; a link for a new one gives it


@dataclass(frozen=True)
class Imported:
    """What came in. ``lacking``: photos that the shop had lost when it was exported, asked of its phones again."""

    entries: int
    photos: int
    people: list[str]
    lacking: list[str]


def bring_in(path: Path) -> Imported:
    """Import the export at ``path``, a directory or a ZIP archive. Raises Trouble, and nothing has changed then."""
    with in_use.alone(settings().data):
        there = db.session.scalars(select(Shop.name)).first()
        if there:
            raise Trouble(f"The shop {there} is here already: import into an empty data directory (COILTRAIL_DATA).")
        with _Export(path) as found:
            shop, people = found.json("shop.json"), found.json("people.json")
            _insist_on_a_shop(shop, people)
            entries = list(found.entries("log.jsonl"))
            aside = list(found.lines("set_aside.jsonl"))
            pictures = {_PHOTO.fullmatch(name)[1]: name for name in found.files if _PHOTO.fullmatch(name)}
            kept: dict[str, PhotoFile] = {}
            try:
                for sha256, name in sorted(pictures.items()):
                    kept[sha256] = _keep(sha256, found.read(name), name)
                with writing() as session:
                    _write(session, shop, people, entries, aside, kept)
                    photos.expect(session, shop["id"], found.lacking)
            except BaseException:
                for sha256 in kept:
                    _place_of(sha256).unlink(missing_ok=True)
                raise
    return Imported(len(entries), len(kept), [person["name"] for person in people], found.lacking)


class _Export:
    """The files of an export, each what the manifest promises. Raises Trouble that names the first that is not."""

    def __init__(self, path: Path):
        self.path = path
        try:
            self.archive = zipfile.ZipFile(path) if path.is_file() else None
        except (OSError, zipfile.BadZipFile):
            raise Trouble(f"{path} is no ZIP archive: name an export's directory or archive.") from None

    def __enter__(self) -> "_Export":
        manifest = self._manifest()
        self.files: dict[str, str] = manifest["files"]
        self.lacking: list[str] = manifest["lacking"]
        for name, sha256 in sorted(self.files.items()):
            if hashlib.sha256(self.read(name)).hexdigest() != sha256:
                raise Trouble(f"{name} in {self.path} was changed since the export was made: {_ANOTHER}")
        for name in sorted(_PLAIN - self.files.keys()):
            why = "it is of one case" if "report.html" in self.files else "it was changed"
            raise Trouble(f"{self.path} holds no whole shop ({why}; {name} is missing): name an export of the shop.")
        return self

    def __exit__(self, *_: object) -> None:
        if self.archive:
            self.archive.close()

    def read(self, name: str) -> bytes:
        try:
            return self.archive.read(name) if self.archive else (self.path / name).read_bytes()
        except (OSError, KeyError, zipfile.BadZipFile, NotImplementedError):
            raise Trouble(f"{name} is missing from {self.path}, or cannot be read: {_ANOTHER}") from None

    def json(self, name: str) -> Any:
        try:
            return json.loads(self.read(name))
        except ValueError:
            raise Trouble(f"{name} in {self.path} is not JSON: {_ANOTHER}") from None

    def lines(self, name: str) -> Iterator[Any]:
        for number, line in enumerate(self.read(name).decode("utf-8", "replace").splitlines(), 1):
            try:
                yield json.loads(line)
            except ValueError:
                raise Trouble(f"{name} in {self.path}, line {number}: this is not JSON. {_ANOTHER}") from None

    def entries(self, name: str) -> Iterator[dict]:
        for number, entry in enumerate(self.lines(name), 1):
            if not can_be_shown(entry):
                raise Trouble(f"{name} in {self.path}, line {number}: this is no entry. {_ANOTHER}")
            yield entry

    def _manifest(self) -> dict:
        try:
            told = json.loads(self.read(export.MANIFEST))
            files, lacking = told["files"], told["lacking"]
            sound = all(name in _PLAIN | {"report.html"} or _PHOTO.fullmatch(name) for name in files)
            sound = sound and all(re.fullmatch("[0-9a-f]{64}", one) for one in [*files.values(), *lacking])
        except (ValueError, KeyError, TypeError, AttributeError):
            sound = False
        if not sound:
            raise Trouble(f"{export.MANIFEST} in {self.path} was changed or is damaged: {_ANOTHER}")
        if told.get("form") != export.FORM:
            raise Trouble(f"{self.path} was made by another release of Coiltrail: use that one.")
        return told


_ANOTHER = "nothing was imported. Take another copy of the export."


def _insist_on_a_shop(shop: Any, people: Any) -> None:
    try:
        sound = re.fullmatch(UUID_PATTERN, shop["id"]) and all(isinstance(shop[key], str) for key in ("name", "phone"))
        sound = sound and all(
            re.fullmatch(UUID_PATTERN, one["id"]) and one["role"] in ROLES and isinstance(one["name"], str)
            for one in people
        )
    except (KeyError, TypeError):
        sound = False
    if not sound:
        raise Trouble(f"shop.json and people.json do not name a shop and its people: {_ANOTHER}")


def _keep(sha256: str, content: bytes, name: str) -> PhotoFile:
    """Bring a picture or sound to its place; its row, but for the shop."""
    path = _place_of(sha256)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)
    flush_folder(path.parent)
    try:
        if hashlib.sha256(content).hexdigest() != sha256:
            raise media.Unfit("It is not what its name says.")
        found = media.inspect(path, settings().pixel_limit)
    except media.Unfit as unfit:
        path.unlink()
        raise Trouble(f"{name}: {unfit} {_ANOTHER}") from None
    size = len(content)
    return PhotoFile(
        sha256=sha256,
        size=size,
        received=size,
        complete=True,
        media_type=found.type,
        width=found.width,
        height=found.height,
    )


def _place_of(sha256: str) -> Path:
    return settings().data / "photos" / sha256[:2] / sha256


def _write(
    session: Session, shop: dict, people: list[dict], entries: list[dict], aside: list[dict], kept: dict[str, PhotoFile]
) -> None:
    session.add(Shop(id=shop["id"], name=shop["name"], phone=shop["phone"], epoch=uuid7()))
    session.flush()
    for person in people:
        session.add(
            Person(
                id=person["id"],
                shop_id=shop["id"],
                name=person["name"],
                name_key=name_key(person["name"]),
                role=person["role"],
                password_hash=_NO_PASSWORD,
                left_ms=person.get("left_ms"),
            )
        )
    for row in kept.values():
        row.shop_id = shop["id"]
        session.add(row)
    session.flush()
    # What the shop had accepted or set aside once stays so, whatever today's check says.
    accepted = [(entry, None) for entry in entries]
    left = [(one["entry"], {"field": one["field"], "message": one["message"]}) for one in aside]
    log.take_in(session, log.lock(session, shop["id"]), None, accepted + left)

    def about() -> str:
        return phrase("{entries} entries, {photos} photos", entries=len(entries), photos=len(kept))

    audit.note(session, audit.By(shop["id"]), "imported", about)
