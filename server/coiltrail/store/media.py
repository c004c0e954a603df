"""What a file that arrived really is, and whether the shop may keep it.

A file's name is the hash of its content, so the server cannot clean it: the phone turns, reduces and strips
pictures before it names them, and what still carries a place is refused here.
"""

from dataclasses import dataclass
from pathlib import Path

from PIL import Image, ImageOps

PICTURES = {"JPEG": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp"}
THUMB_PIXELS = 320
_GPS_IFD = 0x8825  # Exif 2.32, table 4: pointer to the GPS attributes
_WHY_UNFIT = "This file is no picture (JPEG, PNG, WebP) or sound (WebM, Ogg, MP4) that can be read. Take it again."
_WHY_DAMAGED = "This picture is cut off or damaged. Take it again."
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
        sound = _sound(file.read(16))
    return Media(sound) if sound else _picture(path, most_pixels)


def write_thumbnail(path: Path, target: Path) -> None:
    """A small upright JPEG of the picture at ``path``, which ``inspect`` has found good."""
    with Image.open(path, formats=list(PICTURES)) as picture:
        # Turning comes first: re-saving drops the orientation together with the rest of the metadata.
        small = ImageOps.exif_transpose(picture)
        small.thumbnail((THUMB_PIXELS, THUMB_PIXELS))
        small.convert("RGB").save(target, "JPEG", quality=80)


def _sound(head: bytes) -> str | None:
    if head.startswith(b"\x1aE\xdf\xa3"):  # EBML, RFC 8794
        return "audio/webm"
    if head.startswith(b"OggS"):  # RFC 3533
        return "audio/ogg"
    if head[4:8] == b"ftyp":  # ISO/IEC 14496-12
        return "audio/mp4"
    return None


def _picture(path, most_pixels):
    # Pillow raises many kinds of errors on hostile bytes; every one of them means the same here.
    try:
        return _decoded(path, most_pixels)
    except Unfit:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as bomb:
        raise Unfit(_too_large(most_pixels)) from bomb
    except Exception as problem:
        raise Unfit(_WHY_UNFIT) from problem


def _decoded(path, most_pixels):
    with Image.open(path, formats=list(PICTURES)) as picture:
        # Size and type stand in the header; nothing is decoded before they are known to be sensible.
        if picture.width * picture.height > most_pixels:
            raise Unfit(_too_large(most_pixels))
        media = Media(PICTURES[picture.format], picture.width, picture.height)
        try:
            picture.load()
        except (OSError, SyntaxError) as problem:
            raise Unfit(_WHY_DAMAGED) from problem
        if _tells_place(picture):
            raise Unfit(_WHY_PLACE)
        return media


def _tells_place(picture):
    notes = [value for key, value in picture.info.items() if "xmp" in str(key).lower()]
    notes += [value for key, value in picture.info.items() if str(key).lower().startswith("raw profile")]
    return bool(picture.getexif().get_ifd(_GPS_IFD)) or any(_names_gps(note) for note in notes)


def _names_gps(note):
    return "gps" in (note.decode("latin-1") if isinstance(note, bytes) else str(note)).lower()


def _too_large(most_pixels):
    return f"This picture has too many pixels; at most {most_pixels // 1_000_000} million. Send it reduced."
