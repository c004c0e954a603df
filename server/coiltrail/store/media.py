"""What a file that arrived really is, and whether the shop may keep it.

A file's name is the hash of its content, so the server cannot clean it: the phone turns, reduces and strips
pictures before it names them, and what still carries a place is refused here.
"""

import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

from PIL import Image, ImageOps

from ..core.tongue import phrase
from . import sounds

PICTURES = {"JPEG": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp"}
THUMB_PIXELS = 320
MOST_DECODED = 40_000_000  # pixels of all pictures that are decoded at one time; about 16 bytes of memory each at worst
MOST_SCANS = 100  # of one JPEG: encoders make a dozen, and each costs a pass over the whole picture
_GPS_IFD = 0x8825  # Exif 2.32, table 4: pointer to the GPS attributes
_WHY_UNFIT = "This file is no picture (JPEG, PNG, WebP) or sound (WebM, Ogg, MP4) that can be read. Take it again."
_WHY_DAMAGED = "This picture is cut off or damaged. Take it again."
_WHY_SCANS = "This picture is built in a way that takes too long to read. Take it again."
_WHY_FILM = "This is a film; the shop keeps pictures and sounds. Record the sound alone."
_WHY_SOUND_PLACE = "This recording carries the place where it was made. Send it again without location data."
_WHY_PLACE = "This picture carries the place where it was taken. Send it again without location data."


class Unfit(Exception):
    """The shop cannot keep this file; the message says why and what to do."""


@dataclass(frozen=True)
class Media:
    """What a file is; sounds have no width and height."""

    type: str
    width: int | None = None
    height: int | None = None


def inspect(path: Path, most_pixels: int) -> Media:
    """What the file at ``path`` is. Raises Unfit for anything that cannot be kept, whatever its bytes."""
    with path.open("rb") as file:
        sound = sounds.may_begin(file.read(16)) and sounds.of(path.read_bytes())
    if not sound:
        return _picture(path, most_pixels)
    if sound.film:
        raise Unfit(phrase(_WHY_FILM))
    if sound.place:
        raise Unfit(phrase(_WHY_SOUND_PLACE))
    return Media(sound.type)


def write_thumbnail(path: Path, target: Path) -> None:
    """A small upright JPEG of the picture at ``path``, which ``inspect`` has found good."""
    with Image.open(path, formats=list(PICTURES)) as picture, _room_for(picture), closing(picture):
        picture.thumbnail((THUMB_PIXELS, THUMB_PIXELS))  # first, so that no second large one is made
        # Saving drops the orientation together with the rest of the metadata, so it is turned before.
        ImageOps.exif_transpose(picture).convert("RGB").save(target, "JPEG", quality=80)


def _picture(path, most_pixels):
    # Pillow raises many kinds of errors on hostile bytes; every one of them means the same here.
    try:
        return _decoded(path, most_pixels)
    except Unfit:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as bomb:
        raise Unfit(_too_large(most_pixels)) from bomb
    except Exception as problem:
        raise Unfit(phrase(_WHY_UNFIT)) from problem


def _decoded(path, most_pixels):
    with Image.open(path, formats=list(PICTURES)) as picture:
        # Size and type stand in the header; nothing is decoded before they are known to be sensible.
        if picture.width * picture.height > most_pixels:
            raise Unfit(_too_large(most_pixels))
        media = Media(PICTURES[picture.format], picture.width, picture.height)
        if picture.format == "JPEG" and _scans(path) > MOST_SCANS:
            raise Unfit(phrase(_WHY_SCANS))
        with _room_for(picture), closing(picture):
            # A JPEG is read to its end all the same when it is drawn small, which is quicker.
            picture.draft(None, (1, 1))
            try:
                picture.load()
            except (OSError, SyntaxError) as problem:
                raise Unfit(phrase(_WHY_DAMAGED)) from problem
            if _tells_place(picture):
                raise Unfit(phrase(_WHY_PLACE))
        return media


_turn = threading.Lock()
_changed = threading.Condition()
_decoding = 0  # pixels


@contextmanager
def _room_for(picture: Image.Image) -> Iterator[None]:
    """Wait until the picture may be decoded beside those that are, so that many at once do not fill the memory."""
    global _decoding
    pixels = min(picture.width * picture.height, MOST_DECODED)
    with _turn, _changed:  # in turn: small ones do not pass by a large one for ever
        _changed.wait_for(lambda: _decoding + pixels <= MOST_DECODED)
        _decoding += pixels
    try:
        yield
    finally:
        with _changed:
            _decoding -= pixels
            _changed.notify_all()


def _scans(path):
    """How many scans a JPEG has. Within one, a byte FF is never followed by DA (ITU-T T.81, annex B.1.1.5)."""
    return path.read_bytes().count(b"\xff\xda")


def _tells_place(picture):
    notes = [value for key, value in picture.info.items() if "xmp" in str(key).lower()]
    notes += [value for key, value in picture.info.items() if str(key).lower().startswith("raw profile")]
    return bool(picture.getexif().get_ifd(_GPS_IFD)) or any(_names_gps(note) for note in notes)


def _names_gps(note):
    return "gps" in (note.decode("latin-1") if isinstance(note, bytes) else str(note)).lower()


def _too_large(most_pixels):
    most = most_pixels // 1_000_000
    return phrase("This picture has too many pixels; at most {most} million. Send it reduced.", most=most)
