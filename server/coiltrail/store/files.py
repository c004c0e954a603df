"""Files seen to the disk, and what they are by their hash."""

import hashlib
import os
from pathlib import Path

PIECE = 1 << 20  # bytes


def hash_of(path: Path) -> str | None:
    """SHA-256 of the file in hexadecimal; None where it cannot be read."""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return None


def copy_file(source: Path, target: Path) -> str | None:
    """Copy a file and see it to the disk; gives its SHA-256, or None where it cannot be read."""
    try:
        reading = source.open("rb")
    except OSError:
        return None
    target.parent.mkdir(parents=True, exist_ok=True)
    digest = hashlib.sha256()
    with reading, target.open("wb") as writing:
        while piece := _piece_of(reading):
            digest.update(piece)
            writing.write(piece)
        writing.flush()
        os.fsync(writing.fileno())
    return None if piece is None else digest.hexdigest()


def flush_folder(folder: Path) -> None:
    """Let the names in ``folder`` reach the disk."""
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _piece_of(file) -> bytes | None:
    """The next piece; nothing at the end, None where the disk cannot read on."""
    try:
        return file.read(PIECE)
    except OSError:
        return None
