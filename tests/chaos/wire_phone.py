"""A phone that speaks the protocol of DEVELOPERS.md over a real connection, kept as small as it can be.

It remembers what a screen would have called "in the shop" (``settled``, ``photos_settled``), and notes what a server
must never do (``wrong``). An answer that was cut off, even within its headers, is no answer.
"""

import contextlib
import http.client
import json
import threading
from collections.abc import Callable

from tests.phone import Phone, sha256

BATCH = 12  # entries in a request
PIECE = 4096
TIMEOUT_S = 3


class Unheard(Exception):
    """The exchange was broken off; what was sent may have arrived or not."""


class WirePhone:
    def __init__(self, port: int, device: str, token: str, person: str):
        self.port = port
        self.token = token
        self.maker = Phone(None, device, person)
        self.lock = threading.Lock()  # recording goes on while an exchange is under way
        self.entries: dict[str, dict] = {}
        self.settled: set[str] = set()
        self.photos: dict[str, bytes] = {}
        self.photos_settled: set[str] = set()
        self.place = {"epoch": None, "cursor": 0, "head": None}
        self.wrong: list[str] = []

    def record(self, case: str, photo: bytes | None = None) -> None:
        with self.lock:
            if photo is None:
                entry = self.maker.entry("note", {"text": "Seen " + "x" * 200}, case=case)
            else:
                name = sha256(photo)
                self.photos[name] = photo
                entry = self.maker.entry("photo", {"sha256": name, "bytes": len(photo), "shows": "coil"}, case=case)
            self.entries[entry["id"]] = entry

    def left(self) -> int:
        """How much only this phone has."""
        with self.lock:
            return len(self.entries.keys() - self.settled) + len(self.photos.keys() - self.photos_settled)

    def exchange(self) -> None:
        """Entries to and from the shop until neither side has more, then photos. Raises Unheard."""
        more = True
        while more:
            with self.lock:
                batch = [entry for entry in self.entries.values() if entry["id"] not in self.settled][:BATCH]
            answer = self._sync(batch)
            more = answer["more"] or len(batch) == BATCH
        for name in sorted(self.photos.keys() - self.photos_settled):
            self._send_photo(name)

    def _sync(self, batch: list[dict]) -> dict:
        request = {"device": self.maker.device, **self.place, "entries": batch, "unsynced": None}
        status, _, body = self._ask("POST", "/api/sync", json.dumps(request).encode(), "application/json")
        try:
            answer = json.loads(body)
        except ValueError:
            raise Unheard from None
        if status != 200:
            raise Unheard
        if self.place["epoch"] not in (None, answer["epoch"]):
            self.wrong.append("a new epoch, though nothing was restored")
        if self.place["head"] and answer["head"][0] < self.place["head"][0]:
            self.wrong.append(f"told of {self.place['head'][0]} numbers and then of {answer['head'][0]}")
        if answer["set_aside"] or answer["apart"]:
            self.wrong.append(f"set aside: {answer['set_aside'] + answer['apart']}")
        with self.lock:
            self.place = {name: answer[name] for name in ("epoch", "cursor", "head")}
            self.settled.update(answer["accepted"])
            for entry in answer["entries"]:
                if self.entries.setdefault(entry["id"], entry) != entry:
                    self.wrong.append(f"{entry['id']} came back otherwise")
                self.settled.add(entry["id"])
        return answer

    def _send_photo(self, name: str) -> None:
        content = self.photos[name]
        status, headers, _ = self._ask("HEAD", f"/api/photos/{name}")
        while status in (200, 204, 409) and headers.get("Upload-Complete") != "?1":
            offset = int(headers.get("Upload-Offset") or -1)
            if offset < 0:
                raise Unheard
            told = {"Upload-Offset": str(offset), "Upload-Length": str(len(content))}
            piece = content[offset : offset + PIECE]
            status, headers, _ = self._ask("PATCH", f"/api/photos/{name}", piece, "application/octet-stream", told)
        if status == 422:
            self.wrong.append(f"a photo was refused: {name}")
        if status not in (200, 204):
            raise Unheard
        self.photos_settled.add(name)

    def _ask(self, method, path, body=None, kind=None, more=None):
        headers = {"X-Coiltrail": "1", "Cookie": f"coiltrail_device={self.token}", **(more or {})}
        if kind:
            headers["Content-Type"] = kind
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=TIMEOUT_S)
        try:
            connection.request(method, path, body, headers)
            answer = connection.getresponse()
            return answer.status, answer.headers, answer.read()
        except (OSError, http.client.HTTPException):
            raise Unheard from None
        finally:
            connection.close()


def keep_exchanging(phone: WirePhone, until: threading.Event, failures: list[BaseException], pause: Callable) -> None:
    """Exchange again and again, whatever becomes of each, until told to end and nothing is left, or one has failed."""
    try:
        while not failures and not (until.is_set() and not phone.left()):
            with contextlib.suppress(Unheard):
                phone.exchange()
            pause()
    except BaseException as failure:
        failures.append(failure)
