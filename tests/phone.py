"""A phone as the server sees it: makes entries, syncs, uploads. Everything it records is invented."""

import hashlib
import io
import json
from typing import Any

from PIL import Image

from coiltrail.store.clock import now_ms, uuid7

ENGINE = {"cylinders": 4, "layout": "inline", "ignition": "coil_on_plug", "firing_order": [1, 3, 4, 2]}


class Phone:
    """Speaks to the server through a test client. ``device`` is its id, ``n`` its count of entries."""

    def __init__(self, client, device: str | None = None, by: str = "somebody"):
        self.client = client
        self.device = device or uuid7()
        self.by = by
        self.n = 0
        self.forget()

    def forget(self) -> None:
        """Stand as a phone that never synced."""
        self.epoch, self.cursor, self.head = None, 0, None

    def entry(self, kind: str = "note", body: dict | None = None, **more: Any) -> dict:
        """A new entry; ``more`` replaces parts of the envelope."""
        self.n += 1
        return {
            "id": uuid7(),
            "case": uuid7(),
            "kind": kind,
            "at": [now_ms(), self.n],
            "when": None,
            "device": self.device,
            "n": self.n,
            "by": self.by,
            "body": {"text": "Something worth keeping"} if body is None else body,
        } | more

    def case_opened(self, case: str, **body: Any) -> dict:
        return self.entry("case_opened", {"vehicle": {"plate": "XX-000"}, "engine": ENGINE} | body, case=case)

    def send(self, entries: list, **given: Any):
        """One sync request, parts of it replaced by ``given``; the response."""
        place = {"epoch": self.epoch, "cursor": self.cursor, "head": self.head}
        whole = {"device": self.device, **place, "entries": entries} | given
        return self.client.post("/api/sync", json=whole)

    def sync(self, *entries: Any) -> dict:
        """Sync and stand where the answer says; the answer."""
        response = self.send(list(entries))
        assert response.status_code == 200, response.text
        answer = response.json
        self.epoch, self.cursor, self.head = answer["epoch"], answer["cursor"], answer["head"]
        return answer

    def fetch_all(self) -> list[dict]:
        """Everything after the cursor, page by page."""
        found = []
        while True:
            answer = self.sync()
            found += answer["entries"]
            if not answer["more"]:
                return found

    def upload(self, content: bytes, name: str | None = None, piece: int = 60_000):
        """Send a file in pieces; the last response."""
        name = name or sha256(content)
        for offset in range(0, len(content), piece):
            response = self.patch(name, offset, len(content), content[offset : offset + piece])
            if response.status_code != 204:
                break
        return response

    def patch(self, name: str, offset: int | str, size: int | str, piece: bytes):
        headers = {"Upload-Offset": str(offset), "Upload-Length": str(size)}
        return self.client.patch(f"/api/photos/{name}", data=piece, headers=headers)


def sha256(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def jpeg(width: int = 64, height: int = 48, colour: Any = (180, 90, 20), **options: Any) -> bytes:
    """A picture of one colour as a JPEG."""
    file = io.BytesIO()
    Image.new("RGB", (width, height), colour).save(file, "JPEG", **options)
    return file.getvalue()


def lines(entries: list[dict]) -> str:
    """Entries as a log file holds them."""
    return "".join(json.dumps(entry) + "\n" for entry in entries)
