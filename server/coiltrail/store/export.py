"""Everything of a shop, or of one case, as plain files that need no Coiltrail to be read, and what to put in them.

A whole shop: ``log.jsonl`` (every entry in the order of the shop's log), ``set_aside.jsonl``, ``shop.json``,
``people.json``, ``photos/<sha256>.<ending>``; for reading alone ``cases.csv``, ``parts.csv``, ``entries.csv``. One
case: ``log.jsonl``, ``photos``, ``report.html``. ``manifest.json`` holds the hash of every file. See
DEVELOPERS.md, "Export".
"""

import csv
import hashlib
import io
import json
import zipfile
from collections.abc import Iterable, Iterator
from pathlib import Path

from sqlalchemy import Connection, select, true

from ..config import settings
from ..core import casefile, parts
from ..report_page import page_of, report_of
from ..trouble import Trouble
from . import log, photos
from .backup import snapshot
from .database import db
from .models import Entry, Person, PhotoFile, SetAside, Shop

FORM = "coiltrail export 1"
MANIFEST = "manifest.json"
ENDINGS = {
    "image/jpeg": "jpg",
    "image/png": "png",
    "image/webp": "webp",
    "audio/webm": "webm",
    "audio/ogg": "ogg",
    "audio/mp4": "m4a",
}
_COLUMNS = {
    "cases.csv": (
        *("case", "title", "plate", "vin", "customer", "phone", "opened_ms", "status", "cause", "codes", "entries"),
    ),
    "parts.csv": (
        *("case", "part", "kind", "brand", "part_number", "tag", "place", "trail", "fate", "bench", "deadline"),
    ),
    "entries.csv": ("case", "id", "kind", "at_ms", "at_counter", "device", "n", "by", "struck", "text", "body"),
}

File = tuple[str, bytes | Path]  # name in the export, and its content or where that lies


def of_shop(shop_id: str) -> Iterator[File]:
    """The files of the whole shop as it stands at one moment, the manifest last."""
    with snapshot() as connection:
        shop = connection.execute(select(Shop.id, Shop.name, Shop.phone).where(Shop.id == shop_id)).one()
        people = connection.execute(
            select(Person.id, Person.name, Person.role, Person.left_ms)
            .where(Person.shop_id == shop_id)
            .order_by(Person.id)
        )
        contents = connection.scalars(select(Entry.content).where(Entry.shop_id == shop_id).order_by(Entry.number))
        aside = connection.execute(
            select(SetAside.number, SetAside.content, SetAside.field, SetAside.message).where(
                SetAside.shop_id == shop_id, SetAside.settled_ms.is_(None)
            )
        ).all()
        # What is no entry by its envelope has no number.
        aside = sorted(aside, key=lambda row: (row.number is None, row.number, row.content))
        files = [
            ("shop.json", _json(dict(shop._mapping))),
            ("people.json", _json([dict(person._mapping) for person in people])),
            ("log.jsonl", _lines(contents := contents.all())),
            ("set_aside.jsonl", _lines(_json_line(row) for row in aside)),
            *_tables(shop_id, [json.loads(content) for content in contents]),
        ]
        yield from _with_manifest(connection, shop_id, files, wanted=None)


def of_case(shop_id: str, case_id: str) -> Iterator[File]:
    """The files of one case, the manifest last. Raises Trouble: there is none."""
    contents = log.case_log(shop_id, case_id)
    if not contents:
        raise Trouble("The shop has no entry of this case; let the phone that holds it sync first.")
    entries = [json.loads(content) for content in contents]
    named = {name for name in map(photos.named_by, entries) if isinstance(name, str)}
    files: list[File] = [("log.jsonl", _lines(contents))]
    with snapshot() as connection:
        kept = {sha256: name for sha256, name, _ in _photos(connection, shop_id, named)}
        try:
            style = (settings().pwa / "styles" / "report.css").read_text(encoding="utf-8")
            page = page_of(
                report_of(entries), db.session.get_one(Shop, shop_id), photo=kept.get, head=f"<style>{style}</style>"
            )
            files.append(("report.html", page.encode()))
        except Trouble:
            pass  # a log whose opening is still on a phone has no report yet
        yield from _with_manifest(connection, shop_id, files, wanted=named)


def write_folder(files: Iterable[File], folder: Path) -> int:
    """Write ``files`` into the new directory ``folder``; gives how many they are. Raises Trouble."""
    if folder.exists():
        raise Trouble(f"{folder} is there already: name a new directory for each export.")
    count = 0
    try:
        for name, content in files:
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(_bytes(content))
            count += 1
    except OSError as problem:
        raise Trouble(f"{folder} cannot be written ({problem.strerror}): name another directory.") from None
    return count


def zipped(files: Iterable[File]) -> Iterator[bytes]:
    """``files`` as a ZIP archive, piece by piece. Nothing is compressed: pictures are already."""
    sink = _Sink()
    with zipfile.ZipFile(sink, "w") as archive:
        for name, content in files:
            # A fixed date: the same files make the same archive.
            archive.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), _bytes(content))
            yield sink.taken()
    yield sink.taken()


class _Sink(io.RawIOBase):
    """Takes what the archive writes, to be handed on."""

    def __init__(self) -> None:
        self.pieces: list[bytes] = []

    def writable(self) -> bool:
        return True

    def write(self, piece) -> int:
        self.pieces.append(bytes(piece))
        return len(piece)

    def taken(self) -> bytes:
        pieces, self.pieces = self.pieces, []
        return b"".join(pieces)


def _with_manifest(connection: Connection, shop_id: str, files: list[File], wanted: set[str] | None) -> Iterator[File]:
    hashes, lacking = {}, []
    for name, content in files:
        hashes[name] = hashlib.sha256(_bytes(content)).hexdigest()
        yield name, content
    for sha256, name, path in _photos(connection, shop_id, wanted):
        content = path.read_bytes() if path.exists() else b""
        if hashlib.sha256(content).hexdigest() != sha256:
            lacking.append(sha256)
            continue
        hashes[name] = sha256
        yield name, content
    yield MANIFEST, _json({"form": FORM, "files": hashes, "lacking": lacking})


def _photos(connection: Connection, shop_id: str, wanted: set[str] | None) -> list[tuple[str, str, Path]]:
    """Hash, name in the export and place of the pictures and sounds that the shop has."""
    rows = connection.execute(
        select(PhotoFile.sha256, PhotoFile.media_type)
        .where(PhotoFile.shop_id == shop_id, PhotoFile.complete == true())
        .order_by(PhotoFile.sha256)
    )
    return [
        (sha256, f"photos/{sha256}.{ENDINGS[media]}", settings().data / "photos" / sha256[:2] / sha256)
        for sha256, media in rows
        if wanted is None or sha256 in wanted
    ]


def _tables(shop_id: str, entries: list[dict]) -> list[File]:
    """The tables for reading, from the logs."""
    by_case: dict[str, list[dict]] = {}
    for entry in entries:
        by_case.setdefault(entry["case"], []).append(entry)
    rows: dict[str, list[dict]] = {name: [] for name in _COLUMNS}
    for case_id, of_case in sorted(by_case.items()):
        try:
            case = casefile.fold(of_case)
        except ValueError:  # the shop's own log, and one whose opening is still on a phone
            case = None
        else:
            view = casefile.view(case)
            rows["cases.csv"].append(_case_row(view))
            rows["parts.csv"] += [_part_row(case_id, part) for part in view["parts"]]
        rows["entries.csv"] += [_entry_row(entry, case) for entry in of_case]
    return [(name, _csv(columns, rows[name])) for name, columns in _COLUMNS.items()]


def _case_row(view: dict) -> dict:
    vehicle, customer = view["vehicle"], view["customer"]
    return {
        "case": view["case"],
        "title": view["title"],
        "plate": vehicle.get("plate"),
        "vin": vehicle.get("vin"),
        "customer": customer.get("name"),
        "phone": customer.get("phone"),
        "opened_ms": view["timeline"][0]["at"],
        "status": view["status"],
        "cause": (view["closing"] or {}).get("cause"),
        "codes": " ".join(row["code"] for row in view["codes"]["rows"]),
        "entries": len(view["timeline"]),
    }


def _part_row(case_id: str, part: dict) -> dict:
    noted, fate = part["noted"], part["fate"] or {}
    return {
        "case": case_id,
        "part": part["part"],
        "kind": part["kind"],
        "brand": noted.get("brand"),
        "part_number": noted.get("part_number"),
        "tag": part["tag"],
        "place": parts.place_label(part["place"]),
        "trail": " > ".join(stop["label"] for stop in part["trail"]),
        "fate": fate.get("fate"),
        "bench": fate.get("bench"),
        "deadline": fate.get("deadline"),
    }


def _entry_row(entry: dict, case: casefile.CaseFile | None) -> dict:
    return {
        **{key: entry[key] for key in ("case", "id", "kind", "device", "n", "by")},
        "at_ms": entry["at"][0],
        "at_counter": entry["at"][1],
        "struck": "struck" if case and entry["id"] in case.struck else "",
        "text": casefile.row_text(entry, case and case.engine),
        "body": json.dumps(entry["body"], ensure_ascii=False, sort_keys=True),
    }


def _csv(columns: tuple[str, ...], rows: list[dict]) -> bytes:
    """RFC 4180, in UTF-8 with a mark by which spreadsheets know it."""
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(columns)
    for row in rows:
        writer.writerow([_cell(row[column]) for column in columns])
    return b"\xef\xbb\xbf" + text.getvalue().encode()


def _cell(value: object) -> object:
    # A spreadsheet would take such text for a formula (CWE-1236).
    return f"'{value}" if isinstance(value, str) and value[:1] in ("=", "+", "-", "@", "\t", "\r") else value


def _json(value: object) -> bytes:
    return (json.dumps(value, ensure_ascii=False, indent=1, sort_keys=True) + "\n").encode()


def _json_line(row) -> str:
    entry = json.loads(row.content)
    return json.dumps({"entry": entry, "field": row.field, "message": row.message}, separators=(",", ":"))


def _lines(texts: Iterable[str]) -> bytes:
    return "".join(text + "\n" for text in texts).encode()


def _bytes(content: bytes | Path) -> bytes:
    return content.read_bytes() if isinstance(content, Path) else content
