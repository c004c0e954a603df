"""Files that a phone would never send, or only when something went wrong. All drawn here, the same on every run."""

import io
import random
import struct
import zlib
from collections.abc import Iterator

import pillow_heif
from PIL import Image

LARGEST = (6300, 6300)  # 39.7 million pixels, just under what the shop takes


def small() -> Iterator[tuple[str, bytes]]:
    """Name and content of files that need little memory when all is well."""
    chance = random.Random(20)
    noise = Image.effect_noise((160, 120), 80).convert("RGB")
    valid = {
        "jpeg": saved(noise, "JPEG"),
        "progressive": saved(noise, "JPEG", progressive=True),
        "png": saved(noise, "PNG"),
        "webp": saved(noise, "WEBP"),
        "lossless webp": saved(noise, "WEBP", lossless=True),
        "cmyk": saved(noise.convert("CMYK"), "JPEG"),
        "grey": saved(noise.convert("L"), "JPEG"),
        "16 bit grey": saved(Image.new("I;16", (160, 120), 40_000), "PNG"),
        "16 bit colour": sixteen_bit(80, 60),
        "palette": saved(noise.convert("P"), "PNG"),
        "one bit": saved(noise.convert("1"), "PNG"),
        "moving webp": moving(noise, "WEBP"),
        "moving png": moving(noise, "PNG"),
        "moving gif": moving(noise, "GIF"),
        "heic": heic(noise),
        "avif": saved(noise, "AVIF"),
        "tiff": saved(noise, "TIFF"),
        "jpeg 2000": saved(noise, "JPEG2000"),
        "icon": saved(noise, "ICO"),
    }
    yield from valid.items()
    for name, content in valid.items():
        for share in (0.02, 0.3, 0.9):
            yield f"{name} cut at {share}", content[: max(1, int(len(content) * share))]
        for at in range(8):
            yield f"{name} flipped {at}", flipped(content, chance)
    yield "one byte", b"\xff"
    yield "text", b"no picture at all " * 40
    yield "page", b"<!doctype html><script>alert(1)</script>"
    yield "noise", chance.randbytes(50_000)
    yield "jpeg's head and noise", b"\xff\xd8\xff\xe0" + chance.randbytes(50_000)
    yield "png's head and noise", b"\x89PNG\r\n\x1a\n" + chance.randbytes(50_000)
    yield "bomb by header", png((2**31 - 1, 2**31 - 1), zlib.compress(b"\0" * 1000))
    yield "bomb in data", png((64, 64), zlib.compress(b"\0" * 300_000_000, 9))
    progressive, last = valid["progressive"], valid["progressive"].rindex(b"\xff\xda")
    yield "endless scans", progressive[:-2] + progressive[last:-2] * 400 + progressive[-2:]


def large() -> Iterator[tuple[str, bytes]]:
    """Name and content of files that are small to send and as large to decode as the shop takes."""
    for name, mode, form, options in (
        ("jpeg", "RGB", "JPEG", {}),
        ("progressive", "RGB", "JPEG", {"progressive": True}),
        ("cmyk", "CMYK", "JPEG", {}),
        ("png", "RGBA", "PNG", {"compress_level": 1}),
        ("webp", "RGB", "WEBP", {"method": 0}),
    ):
        yield f"large {name}", saved(Image.new(mode, LARGEST, 90), form, **options)


def saved(picture: Image.Image, form: str, **options) -> bytes:
    file = io.BytesIO()
    picture.save(file, form, **options)
    return file.getvalue()


def moving(picture: Image.Image, form: str) -> bytes:
    frames = [picture.rotate(angle) for angle in range(0, 360, 30)]
    return saved(picture, form, save_all=True, append_images=frames)


def heic(picture: Image.Image) -> bytes:
    file = io.BytesIO()
    pillow_heif.from_pillow(picture).save(file)
    return file.getvalue()


def sixteen_bit(width: int, height: int) -> bytes:
    """A PNG with 16 bits a colour, which Pillow does not write."""
    rows = b"".join(b"\0" + struct.pack(">3H", 65_535, 30_000, 1) * width for _ in range(height))
    return png((width, height), zlib.compress(rows), depth=16)


def png(size: tuple[int, int], data: bytes, depth: int = 8) -> bytes:
    """A PNG of these parts (ISO/IEC 15948), whether or not they fit each other."""
    header = struct.pack(">IIBBBBB", *size, depth, 2, 0, 0, 0)
    chunks = ((b"IHDR", header), (b"IDAT", data), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(content)) + name + content + struct.pack(">I", zlib.crc32(name + content))
        for name, content in chunks
    )


def flipped(content: bytes, chance: random.Random) -> bytes:
    changed = bytearray(content)
    for _ in range(chance.randint(1, 20)):
        changed[chance.randrange(len(changed))] ^= 1 << chance.randrange(8)
    return bytes(changed)
