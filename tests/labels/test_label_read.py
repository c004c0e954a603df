"""How often a printed label is read by two decoders that know nothing of each other, after what a garage does to it.

Every run is seeded. A spoiled picture counts as read where the decoder gives the very address. The rates are printed
(``pytest -s``) and must not fall below what was measured when the labels were drawn as they are.
"""

import random

import cv2
import numpy as np
import pytest
import zxingcpp
from PIL import Image, ImageDraw, ImageFilter

from coiltrail.labels import draw

ADDRESS = "HTTPS://DRIVEWAY-MOTORS.EXAMPLE/T/0123456789"
LINES = ["The coil that came in at 3", "FABLE 77", "Case 3F9A2C", "2026-05-01", "555-0134", "Driveway Motors"]
LABELS = [("62x29", 300), ("50x25", 203), ("40x20", 203)]
RUNS = 6
PIXELS_A_DOT = 2  # of the camera
BENCH = 40  # pixels of grey around the label


def zxing(picture: Image.Image) -> bool:
    return any(read.text == ADDRESS for read in zxingcpp.read_barcodes(picture))


def opencv(picture: Image.Image) -> bool:
    text, _, _ = cv2.QRCodeDetector().detectAndDecode(np.asarray(picture.convert("L")))
    return text == ADDRESS


DECODERS = {"zxing": zxing, "opencv": opencv}


def photographed(size: str, dpi: int) -> Image.Image:
    """The label on a grey bench, as a camera sees it from above."""
    label = draw(ADDRESS, "0123-456-789", LINES, dpi, size).convert("L")
    large = label.resize((label.width * PIXELS_A_DOT, label.height * PIXELS_A_DOT), Image.Resampling.BOX)
    bench = Image.new("L", (large.width + 2 * BENCH, large.height + 2 * BENCH), 150)
    bench.paste(large, (BENCH, BENCH))
    return bench


def as_printed(picture, chance):
    return picture


def blurred(picture, chance):
    """Out of focus, by up to about half a module of the smallest label."""
    return picture.filter(ImageFilter.GaussianBlur(chance.uniform(1.5, 3.0)))


def turned(picture, chance):
    return picture.rotate(chance.uniform(0, 360), Image.Resampling.BICUBIC, expand=True, fillcolor=150)


def in_low_light(picture, chance):
    """An eighth of the contrast, a shade across, and the noise of a sensor at its limit."""
    light = np.asarray(picture, dtype=float) / 255
    shade = np.linspace(chance.uniform(0.5, 1.0), 1.0, light.shape[1])[None, :]
    noise = np.random.default_rng(chance.randrange(2**32)).normal(0, 3, light.shape)
    return Image.fromarray(np.clip(12 + 32 * light * shade + noise, 0, 255).astype("uint8"))


def box_of_code(picture):
    """Left, top and side of the QR itself: its finder patterns stand at the left edge."""
    square = picture.crop((0, 0, picture.height // 2, picture.height)).point(lambda value: 255 if value < 60 else 0)
    left, top, _, bottom = square.getbbox()
    return left, top, bottom - top


def smeared(picture, chance):
    """A greasy thumb over a fifth of the QR, anywhere: what is below it keeps a fifth of its contrast."""
    left, top, side = box_of_code(picture)
    mask = Image.new("L", picture.size, 0)
    long, short = side * 0.62, side * 0.41  # an ellipse of pi / 4 * 0.62 * 0.41 = 0.2 of the square
    x, y = left + chance.uniform(0, 1) * (side - long), top + chance.uniform(0, 1) * (side - short)
    ImageDraw.Draw(mask).ellipse((x, y, x + long, y + short), fill=255)
    grease = picture.point(lambda value: 70 + value // 5)
    return Image.composite(grease, picture, mask.filter(ImageFilter.GaussianBlur(3)))


def covered(picture, chance):
    """Dirt over an eighth of the QR, between its three finder patterns: nothing below it is seen."""
    left, top, side = box_of_code(picture)
    x, y = (start + side * chance.uniform(0.3, 0.5) for start in (left, top))
    ImageDraw.Draw(picture).rectangle((x, y, x + side * 0.36, y + side * 0.35), fill=chance.choice((30, 90, 200)))
    return picture


def rounded(picture, chance):
    """Dots that bleed on the paper, and a camera whose pixels do not fall on them."""
    spread = ImageFilter.MinFilter(3) if chance.random() < 0.5 else ImageFilter.MaxFilter(3)
    scale = chance.uniform(0.55, 0.95)
    spread_out = picture.filter(spread)
    return spread_out.resize((int(picture.width * scale), int(picture.height * scale)), Image.Resampling.BILINEAR)


# Least share read by (zxing, opencv).
LEAST = {
    as_printed: (1.0, 1.0),
    blurred: (1.0, 0.5),
    turned: (1.0, 1.0),
    in_low_light: (1.0, 1.0),
    smeared: (1.0, 1.0),
    covered: (0.66, 0.5),
    rounded: (1.0, 1.0),
}


@pytest.mark.parametrize("spoil", LEAST, ids=lambda spoil: spoil.__name__)
def test_how_often_a_spoiled_label_is_read(spoil):
    for size, dpi in LABELS:
        read = dict.fromkeys(DECODERS, 0)
        for run in range(RUNS):
            picture = spoil(photographed(size, dpi), random.Random(f"{spoil.__name__} {size} {run}"))
            for name, decode in DECODERS.items():
                read[name] += decode(picture)
        print(
            f"\n{spoil.__name__:13} {size} at {dpi}: " + ", ".join(f"{n} {k}/{RUNS}" for n, k in read.items()), end=""
        )
        for (name, count), least in zip(read.items(), LEAST[spoil], strict=True):
            assert count >= least * RUNS, (name, size, dpi)


def test_what_is_no_label_is_not_read():
    assert not any(decode(Image.new("L", (300, 300), 150)) for decode in DECODERS.values())
