"""A shop with work in it: two cases, a tag, photos, a voice note, something set aside, a photo to come. Invented."""

from dataclasses import dataclass

from coiltrail.core import tags
from coiltrail.store.clock import uuid7
from tests.phone import Phone, jpeg, sha256

SPOKEN = b"\x1aE\xdf\xa3\x42\x82\x84webm\x86\x86A_OPUS" + bytes(range(200))  # what describes a sound, and no sound


@dataclass
class Work:
    phone: Phone
    cases: list[str]
    entries: list[dict]
    photos: list[bytes]
    awaited: bytes


def do_work(phone: Phone) -> Work:
    cases = [uuid7(), uuid7()]
    photos = [jpeg(60 + at, 40, colour=(at * 9, 80, 120)) for at in range(4)]
    photos[2] = SPOKEN
    awaited = jpeg(90, 90)
    code = next(filter(None, (tags.new_tag(bytes([at] * 16)) for at in range(1, 200))))
    entries = [
        phone.case_opened(cases[0], customer={"name": "Zoë \U0001f697"}),
        phone.case_opened(cases[1]),
        phone.entry("photo", named(photos[0]), case=cases[0]),
        phone.entry("photo", named(photos[1]), case=cases[1]),
        phone.entry("recording", named(photos[2]) | {"form": "voice"}, case=cases[0]),
        phone.entry("agreed", {"what": "A coil", "how": "signed", "signature": sha256(photos[3])}, case=cases[0]),
        phone.entry("photo", named(awaited), case=cases[1]),
        phone.entry("tag_bound", {"code": code, "part": f"{cases[0]}.coil.3"}, case=cases[0]),
        *(phone.entry(case=case, body={"text": "What was seen. " * 40}) for case in cases * 5),
    ]
    phone.sync(*entries)
    phone.sync(phone.entry("note", {"text": ""}, case=cases[0]))  # set aside
    for photo in photos:
        assert phone.upload(photo).status_code == 204
    return Work(phone, cases, entries, photos, awaited)


def named(content: bytes) -> dict:
    return {"sha256": sha256(content), "bytes": len(content)}
