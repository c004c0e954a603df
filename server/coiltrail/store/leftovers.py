"""Files that a server left behind when it was stopped in the middle of finishing them."""

import re
import time
from pathlib import Path

FINISHED_WITHIN_S = 3600  # estimate: no photo takes a hundredth of that to be looked at

# uploads/<shop>-<hash>.<random>.whole: taken out of the uploads to be looked at; the phone still has the photo.
# thumbs/<xx>/<hash>.<random>: a small picture not yet renamed.
_PATTERNS = (("uploads", re.compile(r".*\.[0-9a-f]{16}\.whole")), ("thumbs", re.compile(r"[0-9a-f]{64}\.[0-9a-f]{16}")))


def find(data: Path) -> list[Path]:
    """The leftovers in the data directory that nobody is still working on."""
    oldest = time.time() - FINISHED_WITHIN_S
    return sorted(
        path
        for folder, pattern in _PATTERNS
        for path in (data / folder).rglob("*")
        if pattern.fullmatch(path.name) and _changed(path) < oldest
    )


def sweep(data: Path) -> int:
    """Delete the leftovers; gives how many there were."""
    found = find(data)
    for path in found:
        path.unlink(missing_ok=True)
    return len(found)


def _changed(path: Path) -> float:
    try:
        return path.stat().st_mtime
    except FileNotFoundError:  # finished meanwhile
        return float("inf")
