"""One exchange with a phone: its entries taken in, and what is new for it. See DEVELOPERS.md, "The sync protocol"."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import bindparam, select, update
from sqlalchemy.orm import Session

from . import chain, erasure, handed_in, log, photos
from .clock import now_ms
from .database import db, writing
from .entry_check import can_be_shown, is_count
from .models import Device, Entry, Shop

MOST_PHOTOS_WANTED = 200

_HEARD_FROM = update(Device.__table__).where(Device.id == bindparam("whose"))


@dataclass(frozen=True)
class Place:
    """Where a phone says it stands: the epoch and cursor of the last answer it kept, and the head it was told."""

    epoch: str | None = None
    cursor: int = 0
    head: chain.Head | None = None


def exchange(
    shop_id: str,
    device_id: str,
    place: Place,
    offered: list[Any],
    unsynced: Any = None,
    *,
    kept_from: Mapping[str, str] | None = None,
    answer_limit: int,
) -> dict:
    """Take in what a phone at ``place`` offers and give the answer for it. May be repeated at any point.

    A phone that was told what this database does not hold shows that it was restored from a backup: a new epoch
    begins, by which every phone learns to offer everything again. ``unsynced``: what the phone says is only on it.
    ``kept_from``: kinds of entries that whoever sends may not record, and why. ``answer_limit``: bytes of entries.
    """
    judged = _by_who_may(shop_id, log.check(offered), kept_from or {})
    checked = handed_in.with_what_was_left(shop_id, judged)
    with writing() as session:
        shop = log.lock(session, shop_id)
        if place.epoch == shop.epoch and _forgotten(session, shop, place):
            log.begin_epoch(shop)
        outcome = log.take_in(session, shop, device_id, checked)
        _note(session, device_id, unsynced)
        epoch = shop.epoch
    page = log.page_after(
        shop_id,
        place.cursor if place.epoch == epoch else 0,
        answer_limit,
        skip=set(outcome.accepted),
        skip_aside={refused["id"] for refused in outcome.set_aside},
    )
    shown = [entry for entry, problem in judged if problem is None or can_be_shown(entry)]
    named = {one for entry in [*shown, *page.entries] for one in [entry["id"], *erasure.named_in(entry)]}
    return {
        "epoch": epoch,
        "cursor": page.cursor,
        "head": list(outcome.head),
        "accepted": outcome.accepted,
        "set_aside": outcome.set_aside,
        "entries": page.entries,
        "apart": page.set_aside,
        "blanked": erasure.standing(shop_id, named),
        "more": page.more,
        "photos_wanted": photos.wanted(shop_id, MOST_PHOTOS_WANTED),
        "server_ms": now_ms(),
    }


def _by_who_may(shop_id: str, checked: list[log.Checked], kept_from: Mapping[str, str]) -> list[log.Checked]:
    """Entries ``kept_from`` whoever sends them, and strikes of such, have that as their problem. What the log holds
    already stays accepted; what is set aside here is taken in when somebody offers it who may."""
    struck = [entry["body"]["entry"] for entry, problem in checked if problem is None and entry["kind"] == "struck"]
    kinds: dict[str, str] = {}
    if struck and kept_from:
        held = select(Entry.id, Entry.kind).where(
            Entry.shop_id == shop_id, Entry.kind.in_(kept_from), Entry.id.in_(struck)
        )
        kinds = dict(map(tuple, db.session.execute(held)))
    found = []
    for entry, problem in checked:
        if problem is None:
            kind = kinds.get(entry["body"]["entry"]) if entry["kind"] == "struck" else entry["kind"]
            problem = {"field": "by", "message": kept_from[kind]} if kind in kept_from else None
        found.append((entry, problem))
    return found


def _forgotten(session: Session, shop: Shop, place: Place) -> bool:
    if place.head and chain.contradicts(session, shop, place.head):
        return True
    return place.cursor >= shop.next_number


def _note(session: Session, device_id: str, unsynced: Any) -> None:
    """Keep what the phone says is only on it. A report that cannot be read shall not hold up the entries."""
    told: dict[str, Any] = {"last_seen_ms": now_ms()}
    if isinstance(unsynced, dict):
        counts = {name: unsynced.get(name) for name in ("entries", "photos", "since_ms")}
        if all(is_count(count) for name, count in counts.items() if name != "since_ms" or count is not None):
            told["unsynced"] = json.dumps(counts)
    # By the connection: the session would take this for an update of objects, at several times the cost.
    session.connection().execute(_HEARD_FROM, {"whose": device_id} | told)
