"""How fast and with how many bytes a day's work reaches the shop, beside a general-purpose replicating database.

The load goes as the phone sends it: entries in requests of at most 64,000 bytes, then each photo in pieces, one
request after the other over one connection, nothing compressed. A simulated link has a clock that runs faster: its
rate is multiplied by the scale, its delay divided, and the seconds measured are multiplied back. What the programs
themselves take is multiplied with them, so these seconds are an upper bound, for both sides.
"""

import http.client
import json
import statistics
import tempfile
import time
from collections.abc import Callable, Iterable
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from ..trouble import Trouble
from . import day as days
from . import postgres, replicating, serving
from .day import Day
from .link import Link, opened
from .serving import Shop

BATCH_BYTES = 64_000  # of entries in a request, and
PIECE_BYTES = 64 * 1024  # of a photo: as pwa/field does
RATE = 1_000_000 / 8  # bytes a second: 1 Mbit/s
DELAY_S = 0.03  # one way; estimate for a mobile network
FLOOD_ENTRIES = 3000  # for entries and photos a second, with nothing between
FLOOD_PHOTOS = 60
ROUNDS = 3  # of the entries; the median counts


@dataclass(frozen=True)
class Figures:
    """``wire``: bytes both ways of an entry, HTTP and all. ``day_s``: seconds of the whole day over the link."""

    name: str
    entries_per_s: float
    photos_per_s: float
    wire: float
    day_s: float


def run(scale: int) -> None:
    """Measure and print, one line each as it is known. ``scale``: how many times faster the link's clock runs."""
    print(
        f"A day's work is {days.CASES} cases with {days.ENTRIES} entries, of which {days.PHOTOS} name a photo of "
        f"{days.PHOTO_BYTES // 1000} kB.\nThe link is 1 Mbit/s each way with {DELAY_S * 1000:.0f} ms delay each way, "
        f"its clock {scale} times faster, its seconds multiplied back.\n"
        f"Entries and photos a second: {FLOOD_ENTRIES} and {FLOOD_PHOTOS} with no link between. Nothing is compressed, "
        "by either side.\n"
    )
    print(f"{'':34}{'entries/s':>11}{'photos/s':>10}{'bytes/entry':>13}{'the day':>10}", flush=True)
    for name, measure in (
        ("Coiltrail on SQLite", _on_sqlite),
        ("Coiltrail on PostgreSQL", _on_postgres),
        ("PouchDB with its server (LevelDB)", _replicating),
    ):
        try:
            _print(measure(name, scale))
        except Trouble as trouble:
            print(f"{name:34}not measured: {trouble}", flush=True)


def _print(found: Figures) -> None:
    line = f"{found.name:34}{found.entries_per_s:>11.0f}{found.photos_per_s:>10.1f}{found.wire:>13.0f}"
    print(f"{line}{found.day_s:>8.0f} s", flush=True)


def _on_sqlite(name: str, scale: int) -> Figures:
    return _ours(name, scale, None)


def _on_postgres(name: str, scale: int) -> Figures:
    with postgres.cluster() as url:
        return _ours(name, scale, url)


def _ours(name: str, scale: int, url: str | None) -> Figures:
    with tempfile.TemporaryDirectory(prefix="coiltrail-bench-") as folder, serving.served(Path(folder), url) as shop:

        def send(day: Day, link: Link) -> float:
            with opened(link):
                phone = Phone(shop, link.port)
                began = time.perf_counter()
                phone.send(day)
                return time.perf_counter() - began

        return _measured(name, scale, shop, send)


def _replicating(name: str, scale: int) -> Figures:
    cache = replicating.install()
    with replicating.served(cache) as port:
        shop = Shop(port, "01890000-0000-7000-8000-000000000001", "01890000-0000-7000-8000-000000000002", "")
        return _measured(name, scale, shop, lambda day, link: replicating.push(cache, port, day, link).seconds)


def _measured(name: str, scale: int, shop: Shop, send: Callable[[Day, Link], float]) -> Figures:
    """The same for both: entries alone, photos with their entries, the day. The first few warm it up."""

    def make(entries: int, photos: int) -> Day:
        return days.make(shop.device, shop.person, cases=5, entries=entries, photos=photos)

    send(make(50, 5), Link(shop.port))
    links = [Link(shop.port) for _ in range(ROUNDS)]
    entries_s = statistics.median(send(make(FLOOD_ENTRIES, 0), link) for link in links)
    wire = links[0].passed / FLOOD_ENTRIES
    photos_s = send(make(FLOOD_PHOTOS + 5, FLOOD_PHOTOS), Link(shop.port))
    day_s = scale * send(days.make(shop.device, shop.person), Link(shop.port, RATE * scale, DELAY_S / scale))
    return Figures(name, FLOOD_ENTRIES / entries_s, FLOOD_PHOTOS / photos_s, wire, day_s)


class Phone:
    """Sends as the phone does: one request after the other over one connection."""

    def __init__(self, shop: Shop, port: int):
        self.shop = shop
        self.connection = http.client.HTTPConnection("127.0.0.1", port)
        self.epoch, self.cursor, self.head = None, 0, None

    def send(self, day: Day) -> None:
        """All entries, then all photos. Raises Trouble when the shop does not take one."""
        with closing(self.connection):
            for batch in _batches(day.entries):
                self._sync(batch)
            for photo in day.photos:
                self._upload(photo)

    def _sync(self, batch: list[dict]) -> None:
        place = {"device": self.shop.device, "epoch": self.epoch, "cursor": self.cursor, "head": self.head}
        unsynced = {"entries": 0, "photos": 0, "since_ms": None}
        body = json.dumps(place | {"entries": batch, "unsynced": unsynced}, separators=(",", ":"))
        answer = json.loads(self._ask("POST", "/api/sync", body.encode(), {"Content-Type": "application/json"})[1])
        if len(answer["accepted"]) != len(batch):
            raise Trouble(f"the shop set an entry aside: {answer['set_aside'][:1]}")
        self.epoch, self.cursor, self.head = answer["epoch"], answer["cursor"], answer["head"]

    def _upload(self, photo: bytes) -> None:
        address = f"/api/photos/{days.sha256_of(photo)}"
        self._ask("HEAD", address)
        for offset in range(0, len(photo), PIECE_BYTES):
            headers = {"Upload-Offset": str(offset), "Upload-Length": str(len(photo))}
            told, _ = self._ask("PATCH", address, photo[offset : offset + PIECE_BYTES], headers)
        if told["Upload-Complete"] != "?1":
            raise Trouble("the shop did not take a photo")

    def _ask(self, method: str, address: str, body: bytes | None = None, headers: dict | None = None):
        all_headers = {"X-Coiltrail": "1", "Cookie": f"coiltrail_device={self.shop.token}"} | (headers or {})
        self.connection.request(method, address, body, all_headers)
        answer = self.connection.getresponse()
        content = answer.read()
        if answer.status >= 400:
            raise Trouble(f"the shop answered {answer.status} {content[:200]!r}")
        return answer.headers, content


def _batches(entries: list[dict]) -> Iterable[list[dict]]:
    batch, size = [], 0
    for entry in entries:
        size += len(json.dumps(entry, separators=(",", ":")))
        if batch and size > BATCH_BYTES:
            yield batch
            batch, size = [], len(json.dumps(entry, separators=(",", ":")))
        batch.append(entry)
    if batch:
        yield batch
