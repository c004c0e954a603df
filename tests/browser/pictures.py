"""Pictures made for the tests, as a camera would have written them."""

import io
import random
import struct
import zlib

import piexif
from PIL import Image

RED, GREEN, BLUE, WHITE = (220, 30, 30), (30, 180, 30), (30, 30, 220), (240, 240, 240)


def quarters(width: int, height: int, mode: str = "RGB") -> Image.Image:
    """Upper left red, upper right green, lower left blue, lower right white."""
    image = Image.new(mode, (width, height))
    half_width, half_height = width // 2, height // 2
    for corner, colour in zip(((0, 0), (1, 0), (0, 1), (1, 1)), (RED, GREEN, BLUE, WHITE), strict=True):
        left, top = corner[0] * half_width, corner[1] * half_height
        image.paste(colour, (left, top, left + half_width, top + half_height))
    return image


def colours(image: Image.Image) -> list[str]:
    """The quarters' colours by name: upper left, upper right, lower left, lower right."""
    names = {"red": RED, "green": GREEN, "blue": BLUE, "white": WHITE}
    width, height = image.size
    found = []
    for x, y in ((0.25, 0.25), (0.75, 0.25), (0.25, 0.75), (0.75, 0.75)):
        pixel = image.convert("RGB").getpixel((int(width * x), int(height * y)))
        off = {name: sum(abs(a - b) for a, b in zip(pixel, colour, strict=True)) for name, colour in names.items()}
        found.append(min(off, key=off.get))
    return found


def camera_jpeg(width: int, height: int, orientation: int) -> bytes:
    """A JPEG stored lying, with EXIF orientation, a place on earth, a maker's name and a thumbnail of its own."""
    thumb = io.BytesIO()
    quarters(160, 120).save(thumb, "JPEG")
    exif = {
        "0th": {piexif.ImageIFD.Orientation: orientation, piexif.ImageIFD.Make: b"Invented"},
        "Exif": {piexif.ExifIFD.DateTimeOriginal: b"2026:03:31 10:00:00"},
        "GPS": {
            piexif.GPSIFD.GPSLatitudeRef: b"N",
            piexif.GPSIFD.GPSLatitude: ((12, 1), (34, 1), (5678, 100)),
            piexif.GPSIFD.GPSLongitudeRef: b"E",
            piexif.GPSIFD.GPSLongitude: ((3, 1), (21, 1), (987, 100)),
        },
        "1st": {piexif.ImageIFD.Orientation: orientation},
        "thumbnail": thumb.getvalue(),
    }
    picture = quarters(width, height)
    picture.paste(detail(width // 4), (width * 3 // 8, height // 2 - width // 8))
    stored = io.BytesIO()
    picture.save(stored, "JPEG", exif=piexif.dump(exif))
    return stored.getvalue()


def detail(side: int) -> Image.Image:
    """Something to be sharp on, else the phone takes a picture for blurred: fifty grains across."""
    grains = Image.frombytes("L", (50, 50), random.Random(2).randbytes(2500))
    return grains.resize((side, side), Image.Resampling.NEAREST).convert("RGB")


def noise_jpeg(width: int, height: int) -> bytes:
    """The hardest kind of picture to make small."""
    grains = random.Random(1).randbytes(width * height * 3)
    return saved(Image.frombytes("RGB", (width, height), grains), "JPEG", quality=95)


def saved(image: Image.Image, form: str, **options) -> bytes:
    file = io.BytesIO()
    image.save(file, form, **options)
    return file.getvalue()


def png_header_of(width: int, height: int) -> bytes:
    """A small PNG that claims to be huge."""

    def chunk(name: bytes, content: bytes) -> bytes:
        return struct.pack(">I", len(content)) + name + content + struct.pack(">I", zlib.crc32(name + content))

    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(b"\0" * 100)) + chunk(b"IEND", b"")
    )
