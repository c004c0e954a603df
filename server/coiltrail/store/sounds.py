"""Sounds as phones record them, by what describes them in the file; the sound itself is never looked at."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

TYPES = ("audio/webm", "audio/ogg", "audio/mp4")
_EBML = b"\x1aE\xdf\xa3"  # RFC 8794
# RFC 9559: a cluster holds sound and film themselves; what describes them stands before the first. A table of
# contents (SeekID) names clusters too.
_CLUSTER = re.compile(rb"(?<!S\xab\x84)\x1fC\xb6u")
_CODEC = re.compile(rb"\x86[\x81-\xa0]([AV])_")  # RFC 9559: CodecID of an audio or a video track
_HANDLER = re.compile(rb"hdlr.{8}(soun|vide)", re.DOTALL)  # ISO/IEC 14496-12, section 8.4.3
_OGG_SEGMENTS = 26  # RFC 3533: where a page says how many lengths follow
# Where makers write the place: QuickTime user data, 3GPP TS 26.244 section 8, tags of WebM and of Ogg.
_PLACES = (b"\xa9xyz", b"loci", b"location.ISO6709", b"RECORDING_LOCATION", b"LOCATION=")


@dataclass(frozen=True)
class Sound:
    """``type``: one of TYPES; ``film``: it holds pictures too; ``place``: it tells where it was recorded."""

    type: str
    film: bool
    place: bool


def may_begin(head: bytes) -> bool:
    """Whether a file that begins with ``head`` (16 bytes) may be a sound."""
    return head.startswith((_EBML, b"OggS")) or head[4:8] == b"ftyp"


def of(content: bytes) -> Sound | None:
    """What sound ``content`` is, or None where it is none."""
    if content.startswith(_EBML):
        tables = _CLUSTER.split(content, maxsplit=1)[0]
        tracks = set(_CODEC.findall(tables)) if b"webm" in content[:64] else set()
        return _sound("audio/webm", b"A" in tracks, b"V" in tracks, tables)
    if content.startswith(b"OggS"):
        first = content[_OGG_SEGMENTS + 1 + content[_OGG_SEGMENTS] :] if len(content) > _OGG_SEGMENTS else b""
        sound = first.startswith((b"OpusHead", b"\x01vorbis"))
        return _sound("audio/ogg", sound, b"\x80theora" in content[:4096], content[:65536])
    movie = b"".join(inside for box, inside in _boxes(content) if box == b"moov")
    tracks = set(_HANDLER.findall(movie))
    return _sound("audio/mp4", b"soun" in tracks, b"vide" in tracks, movie)


def _sound(type_, sound, film, tables):
    return Sound(type_, film, any(place in tables for place in _PLACES)) if sound or film else None


def _boxes(content: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Type and content of the boxes that follow each other (ISO/IEC 14496-12, section 4.2)."""
    at = 0
    while at + 8 <= len(content):
        size, start = int.from_bytes(content[at : at + 4]), at + 8
        if size == 1:
            size, start = int.from_bytes(content[start : start + 8]), start + 8
        elif size == 0:
            size = len(content) - at
        if size < start - at:
            return
        yield content[at + 4 : at + 8], content[start : at + size]
        at += size
