"""A day's work to measure with: invented cases with their entries and photos, the same on every run."""

import hashlib
import io
import random
import struct
from dataclasses import dataclass

from PIL import Image, ImageFilter

from ..store.clock import now_ms, uuid7

CASES = 10
ENTRIES = 600  # of all cases, the photos' among them
PHOTOS = 250
PHOTO_BYTES = 300_000  # as the phone reduces a picture; common practice, no source
ENGINE = {"cylinders": 4, "layout": "inline", "ignition": "coil_on_plug", "firing_order": [1, 3, 4, 2]}


@dataclass(frozen=True)
class Day:
    """Entries in the order they were recorded, and the photos that some of them name."""

    entries: list[dict]
    photos: list[bytes]


def make(device: str, by: str, cases: int = CASES, entries: int = ENTRIES, photos: int = PHOTOS) -> Day:
    """The work of ``by`` on one device. Every case has its share of entries and photos."""
    picture = _picture()
    pictures = [_unlike(picture, at) for at in range(photos)]
    named = [("photo", _photo(content)) for content in pictures]
    others = [_finding(at) for at in range(entries - cases - photos)]
    recorded = []
    for case in range(cases):
        case_id = uuid7()
        opened = {"vehicle": {"plate": f"XX-{case:03}", "year": 2014}, "engine": ENGINE}
        for kind, body in [("case_opened", opened), *others[case::cases], *named[case::cases]]:
            recorded.append(_entry(case_id, kind, body, device, len(recorded) + 1, by))
    return Day(recorded, pictures)


def sha256_of(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _entry(case: str, kind: str, body: dict, device: str, n: int, by: str) -> dict:
    at = [now_ms(), n]
    return {"id": uuid7(), "case": case, "kind": kind, "at": at, "when": None} | {
        "device": device,
        "n": n,
        "by": by,
        "body": body,
    }


def _finding(at: int) -> tuple[str, dict]:
    """What a mechanic records most."""
    cylinder = at % 4 + 1
    kinds = (
        ("codes_read", {"codes": [{"code": f"P030{cylinder}", "status": "stored"}], "obtained": "typed"}),
        ("check", {"check": "drop", "cylinder": cylinder, "rpm_before": 780, "rpm_during": 640 + at % 90}),
        ("check", {"check": "connector_look", "place": f"coil.{cylinder}", "finding": "good"}),
        (
            "note",
            {"text": "Misses under load when warm; the owner says since the wash on Saturday.", "cylinder": cylinder},
        ),
        ("parts_moved", {"moves": [{"from": "coil.1", "to": "coil.3"}, {"from": "coil.3", "to": "coil.1"}]}),
        ("road_test", {"minutes": 12, "felt": "sometimes", "conditions": ["load", "hot"]}),
    )
    return kinds[at % len(kinds)]


def _photo(content: bytes) -> dict:
    return {"sha256": sha256_of(content), "bytes": len(content), "width": 1600, "height": 1200, "shows": "connector"}


def _picture() -> Image.Image:
    """As much detail as fills about two thirds of a photo's bytes."""
    return Image.effect_noise((1600, 1200), 60).filter(ImageFilter.GaussianBlur(1.6)).convert("RGB")


def _unlike(picture: Image.Image, at: int) -> bytes:
    """A JPEG of exactly PHOTO_BYTES, filled up with comments (ITU-T T.81, B.2.4.5) that make each another."""
    file = io.BytesIO()
    picture.save(file, "JPEG", quality=60)
    content = file.getvalue()
    chance = random.Random(at)
    comments = b""
    while missing := PHOTO_BYTES - len(content) - len(comments):
        size = min(missing, 60_000)
        size = size if missing - size == 0 or missing - size > 4 else size - 4
        comments += b"\xff\xfe" + struct.pack(">H", size - 2) + chance.randbytes(size - 4)
    return content[:2] + comments + content[2:]
