"""Loading an invented shop from a directory, through the same doors as a phone's work.

The directory holds ``shop.json`` (``{"shop": {"id"?, "name", "phone"}, "people": [{"id"?, "name", "role",
"password"}]}``), logs as ``logs/*.jsonl`` and pictures as ``photos/*``. Loading twice changes nothing.
"""

import hashlib
import json
from pathlib import Path

from sqlalchemy import select

from .log_file import read_log
from .store import log, media, people, photos
from .store.database import db, writing
from .store.models import Person, Shop
from .trouble import Trouble

PIECE = 1_000_000


def load(folder: Path) -> dict[str, int]:
    """Load the shop in ``folder``. Gives how many people, entries and photos it has. Raises Trouble."""
    try:
        described = json.loads((folder / "shop.json").read_text(encoding="utf-8"))
    except (OSError, ValueError) as problem:
        raise Trouble(f"{folder / 'shop.json'} cannot be read: {problem}") from None
    shop_id = _shop(described["shop"])
    _people(shop_id, described["people"])
    entries = [entry for path in sorted((folder / "logs").glob("*.jsonl")) for entry in read_log(path)]
    _entries(shop_id, entries)
    pictures = sorted(path for path in (folder / "photos").glob("*") if path.is_file())
    for path in pictures:
        _photo(shop_id, path)
    return {"people": len(described["people"]), "entries": len(entries), "photos": len(pictures)}


def _shop(described):
    with writing() as session:
        shop = session.scalars(select(Shop)).first()
        if shop is None:
            shop = people.add_shop(session, described["name"], described["phone"], described.get("id"))
        if shop.name != described["name"]:
            raise Trouble(f"This data directory holds {shop.name}: load the invented shop into one of its own.")
        return shop.id


def _people(shop_id, described):
    there = set(db.session.scalars(select(Person.name_key).where(Person.shop_id == shop_id)))
    for person in described:
        if people.name_key(person["name"]) not in there:
            people.add_person(shop_id, person["name"], person["role"], person["password"], person.get("id"))


def _entries(shop_id, entries):
    checked = log.check(entries)
    with writing() as session:
        outcome = log.take_in(session, log.lock(session, shop_id), None, checked)
        if outcome.set_aside:
            first = outcome.set_aside[0]
            raise Trouble(f"Entry {first['id']}: {first['message']} Nothing was loaded.")


def _photo(shop_id, path):
    content = path.read_bytes()
    sha256 = hashlib.sha256(content).hexdigest()
    try:
        progress = photos.progress(shop_id, sha256)
        while not progress.complete:
            piece = content[progress.received : progress.received + PIECE]
            progress = photos.add_piece(shop_id, sha256, progress.received, len(content), piece)
    except media.Unfit as unfit:
        raise Trouble(f"{path}: {unfit}") from None
