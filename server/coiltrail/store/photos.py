"""Photos, recordings and signatures: files named by their SHA-256.

A file arrives in pieces. What has arrived so far lies in ``uploads``; the whole moves to ``photos`` only when
it is its hash and fit to keep. The row in the database, locked while a piece is written, says how far it is.
"""

import hashlib
import os
import secrets
from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from sqlalchemy import bindparam, func, select
from sqlalchemy.orm import Session

from ..config import settings
from . import media
from .clock import now_ms
from .database import add_if_missing, db, when_committed, writing
from .files import flush_folder
from .models import PhotoFile

ERASED = "This was erased at a person's request: delete it on the phone too."

# Kind of entry -> the field of its body that names a file.
_NAMING_FIELDS = {"photo": "sha256", "recording": "sha256", "agreed": "signature"}


class Disagrees(Exception):
    """The phone and the server do not agree how far the file is; ``progress`` is the server's word."""

    def __init__(self, progress: "Progress"):
        super().__init__("The server has another part of this file than the phone thinks.")
        self.progress = progress


class WrongHash(Exception):
    """All bytes arrived and are not what their name says; they are discarded and may be sent again."""


@dataclass(frozen=True)
class Progress:
    """How far a file is: bytes ``received`` of ``size`` (None: not known yet)."""

    received: int
    size: int | None
    complete: bool


def named_by(entry: dict) -> str | None:
    """The SHA-256 of the file that ``entry`` names, if it names one."""
    return entry["body"].get(_NAMING_FIELDS.get(entry["kind"]))


# In any order: those that no phone has any more then keep no others from being named.
_WANTED = (
    select(PhotoFile.sha256)
    .where(PhotoFile.shop_id == bindparam("shop"), PhotoFile.complete.is_(False), PhotoFile.unfit.is_(None))
    .order_by(func.random())
    .limit(bindparam("most"))
)


def wanted(shop_id: str, most: int) -> list[str]:
    """Hashes of files that entries name and the shop lacks, some of them if there are more than ``most``."""
    return list(db.session.scalars(_WANTED, {"shop": shop_id, "most": most}))


def expect(session: Session, shop_id: str, names: Iterable[str]) -> None:
    """Let the shop want the files ``names``, but those that it has or has heard of before."""
    now = now_ms()
    # In one order, so that two transactions never wait for each other.
    rows = [
        PhotoFile(shop_id=shop_id, sha256=sha256, received=0, complete=False, first_named_ms=now)
        for sha256 in sorted(names)
    ]
    if rows:
        add_if_missing(session, *rows)


def erase(session: Session, shop_id: str, names: Iterable[str]) -> None:
    """Delete the files ``names`` once the transaction has ended well, and never take them again."""
    expect(session, shop_id, names)
    for sha256 in sorted(names):
        row = session.get_one(PhotoFile, (shop_id, sha256), with_for_update=True, populate_existing=True)
        row.unfit = ERASED
        _start_anew(row)
        paths = [_kept("photos", sha256), _kept("thumbs", sha256).with_suffix(".jpg"), _partial(shop_id, sha256)]
        when_committed(session, partial(_delete, paths))


def _delete(paths: list[Path]) -> None:
    for path in paths:
        path.unlink(missing_ok=True)


def ask_again(names: Iterable[str]) -> None:
    """Let every shop want the files ``names`` again: they are lost from the disk, and phones may still have them."""
    with writing() as session:
        for sha256 in names:
            for row in session.scalars(select(PhotoFile).where(PhotoFile.sha256 == sha256).with_for_update()):
                _start_anew(row)


def progress(shop_id: str, sha256: str) -> Progress:
    """How far the file is; nothing of it where it was never heard of. Raises media.Unfit."""
    row = db.session.get(PhotoFile, (shop_id, sha256))
    return _progress(row) if row else Progress(0, None, complete=False)


def add_piece(shop_id: str, sha256: str, offset: int, size: int, piece: bytes) -> Progress:
    """Put ``piece`` at ``offset`` of a file of ``size`` bytes, and finish the file when it is whole.

    Raises Disagrees, WrongHash, or media.Unfit.
    """
    # A piece lost with the machine's power is sent again; the whole is seen to the disk before it counts.
    with writing(durable=False) as session:
        row = _locked(session, shop_id, sha256)
        known = _progress(row)
        if known.complete:
            return known
        if offset != known.received or (known.received and size != known.size):
            raise Disagrees(known)
        _write_at(_partial(shop_id, sha256), offset, piece)
        row.size = size
        row.received = offset + len(piece)
        row.complete = False
        if row.received < size:
            return Progress(row.received, size, complete=False)
        # The whole is taken out of the reach of other uploads before it is looked at.
        whole = _partial(shop_id, sha256).with_suffix(f".{secrets.token_hex(8)}.whole")
        os.replace(_partial(shop_id, sha256), whole)
    return _finish(shop_id, sha256, whole)


def complete_file(shop_id: str, sha256: str) -> tuple[Path, PhotoFile] | None:
    """The file and its row, or None where the shop lacks it."""
    row = db.session.get(PhotoFile, (shop_id, sha256))
    if row is None or not row.complete:
        return None
    path = _kept("photos", sha256)
    if not path.exists():
        with writing() as session:  # lost from the disk: ask the phones for it again
            _start_anew(_locked(session, shop_id, sha256))
        return None
    return path, row


def thumbnail(path: Path, sha256: str) -> Path:
    """The small picture of the photo at ``path``, made when it is first asked for."""
    thumb = _kept("thumbs", sha256).with_suffix(".jpg")
    if not thumb.exists():
        thumb.parent.mkdir(parents=True, exist_ok=True)
        fresh = thumb.with_suffix(f".{secrets.token_hex(8)}")
        media.write_thumbnail(path, fresh)
        os.replace(fresh, thumb)
    return thumb


def _finish(shop_id: str, sha256: str, whole: Path) -> Progress:
    found, unfit = None, None
    try:
        if _hash_of(whole) != sha256:
            with writing() as session:
                _start_anew(_locked(session, shop_id, sha256))
            raise WrongHash
        try:
            found = media.inspect(whole, settings().pixel_limit)
            _move_in(whole, _kept("photos", sha256))
        except media.Unfit as problem:
            unfit = problem
    finally:
        whole.unlink(missing_ok=True)
    with writing() as session:
        row = _locked(session, shop_id, sha256)
        if unfit:
            row.unfit = str(unfit)
            row.received = 0
        else:
            row.complete = True
            row.media_type, row.width, row.height = found.type, found.width, found.height
        size = row.size
    if unfit:
        raise unfit
    return Progress(size, size, complete=True)


def _locked(session: Session, shop_id: str, sha256: str) -> PhotoFile:
    key = (shop_id, sha256)
    row = session.get(PhotoFile, key, with_for_update=True)
    if row is None:
        expect(session, shop_id, [sha256])
        row = session.get_one(PhotoFile, key, with_for_update=True)
    return row


def _progress(row: PhotoFile) -> Progress:
    if row.unfit:
        raise media.Unfit(row.unfit)
    if row.complete:
        # A database may have been put back without its photos: then the phone that still has this one sends it.
        here = _kept("photos", row.sha256).exists()
        return Progress(row.size if here else 0, row.size, complete=here)
    partial = _partial(row.shop_id, row.sha256)
    # The file may be longer than the row says, when the server stopped between the two; never shorter.
    if not row.received or not partial.exists() or partial.stat().st_size < row.received:
        return Progress(0, row.size, complete=False)
    return Progress(row.received, row.size, complete=False)


def _start_anew(row: PhotoFile) -> None:
    row.received = 0
    row.complete = False


def _partial(shop_id: str, sha256: str) -> Path:
    return settings().data / "uploads" / f"{shop_id}-{sha256}"


def _kept(folder: str, sha256: str) -> Path:
    return settings().data / folder / sha256[:2] / sha256


def _write_at(path: Path, offset: int, piece: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("r+b" if path.exists() else "wb") as file:
        file.seek(offset)
        file.write(piece)
        file.truncate()


def _hash_of(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def _move_in(source: Path, target: Path) -> None:
    """Bring a file and its name to the disk."""
    with source.open("rb+") as file:
        os.fsync(file.fileno())
    new = not target.parent.exists()
    target.parent.mkdir(parents=True, exist_ok=True)
    os.replace(source, target)
    flush_folder(target.parent)
    if new:
        flush_folder(target.parent.parent)
