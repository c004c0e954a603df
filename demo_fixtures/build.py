"""Builds the demo from scripts alone: ``python demo_fixtures/build.py DIR``.

DIR then holds what ``coiltrail load-demo DIR`` loads::

    shop.json              {"shop": {"id", "name", "phone"}, "people": [{"id", "name", "role", "password"}]}
    logs/<id>.jsonl        one entry a line, of a case or of the shop itself
    photos/<sha256>.jpg

``--stories`` builds one log a story instead, ``stories/<number>.jsonl``, for ``coiltrail explain``. Every run gives
the same files.
"""

import argparse
import json
import sys
from pathlib import Path

if __name__ == "__main__":  # run as a file, its own folder is on the path but not the one that holds it
    sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from demo_fixtures import shop
from demo_fixtures.logbook import Entry
from demo_fixtures.stories import STORIES, VARIETY


def build(folder: Path) -> dict[str, int]:
    """Write the demo shop to ``folder``. Gives how many cases, entries and photos it has."""
    built = shop.build()
    _write(folder / "shop.json", json.dumps({"shop": shop.SHOP, "people": shop.PEOPLE}, ensure_ascii=False, indent=1))
    for log in [*built.cases, built.own]:
        write_log(folder / "logs" / f"{log.case}.jsonl", log.entries)
    for sha256, picture in built.photos.items():
        path = folder / "photos" / f"{sha256}.jpg"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(picture)
    entries = sum(len(log.entries) for log in [*built.cases, built.own])
    return {"cases": len(built.cases), "entries": entries, "photos": len(built.photos)}


def build_stories(folder: Path) -> int:
    """Write one log a story, and one for each log of variety, to ``folder``/stories. Gives how many."""
    for story in STORIES + VARIETY:
        write_log(folder / "stories" / f"{story.key}.jsonl", story.build().entries)
    return len(STORIES + VARIETY)


def write_log(path: Path, entries: list[Entry]) -> None:
    """A log as a file, one entry a line."""
    _write(path, "".join(json.dumps(entry, ensure_ascii=False) + "\n" for entry in entries))


def _write(path, text):
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8", newline="\n")


def main() -> None:
    """The command."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", type=Path, metavar="DIR")
    parser.add_argument("--stories", action="store_true", help="build the story logs instead of the shop")
    wanted = parser.parse_args()
    if wanted.stories:
        print(f"{build_stories(wanted.folder)} logs in {wanted.folder / 'stories'}")
    else:
        print(", ".join(f"{count} {what}" for what, count in build(wanted.folder).items()), "in", wanted.folder)


if __name__ == "__main__":
    main()
