"""A label at the printer's exact dots, which another decoder reads."""

import io
import random

import pytest
import segno
import zxingcpp
from PIL import Image, ImageFilter

from coiltrail.labels import DPI, SIZES, draw, png
from coiltrail.labels.label import GOOD_MODULE_MM, QUIET_ZONE, SMALLEST_MODULE_MM

ADDRESS = "HTTPS://DRIVEWAY-MOTORS.EXAMPLE/T/0123456789"
LINES = ["the coil that came in at 3", "FABLE 77", "Case 3F9A2C", "2026-05-01", "555-0134", "Driveway Motors"]


def label(dpi=203, address=ADDRESS, lines=LINES, size="62x29"):
    return Image.open(io.BytesIO(png(draw(address, "0123-456-789", lines, dpi, size), dpi)))


def qr_dots(picture):
    """The picture in grey, and the box around the dark dots of its QR."""
    grey = picture.convert("L")
    # Two of the three finder patterns stand at the left edge, so that its column is as high as the whole.
    left, top, _, bottom = grey.crop((0, 0, picture.height // 3, picture.height)).point(lambda v: 255 - v).getbbox()
    return grey, (left, top, left + bottom - top, bottom)


def modules(picture):
    """The QR as rows of 0 and 1, and the dots of a module. Asserts that each module is one square of one colour."""
    square, (left, top, right, bottom) = qr_dots(picture)
    side = right - left
    # The finder pattern's upper edge is seven modules long.
    run = 0
    while square.getpixel((left + run, top)) == 0:
        run += 1
    assert run % 7 == 0
    dots = run // 7
    assert side % dots == 0
    rows = []
    for y in range(top, bottom, dots):
        row = []
        for x in range(left, right, dots):
            colours = square.crop((x, y, x + dots, y + dots)).getcolors()
            assert len(colours) == 1, "a module is cut by the raster"
            row.append(int(colours[0][1] == 0))
        rows.append(row)
    return rows, dots, left


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("dpi", DPI)
def test_the_size_is_the_labels_at_the_printers_dots(dpi, size):
    picture = label(dpi, size=size)
    width, height = map(int, size.split("x"))
    assert picture.size == (round(width / 25.4 * dpi), round(height / 25.4 * dpi))
    assert picture.mode == "1"
    assert picture.info["dpi"] == pytest.approx((dpi, dpi), abs=0.1)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("dpi", DPI)
def test_modules_are_whole_dots_with_a_quiet_zone_around(dpi, size):
    picture = label(dpi, size=size)
    _, dots, left = modules(picture)
    assert dots >= SMALLEST_MODULE_MM / 25.4 * dpi
    assert left == QUIET_ZONE * dots
    grey, (left, top, right, bottom) = qr_dots(picture)
    quiet = QUIET_ZONE * dots
    assert min(top, picture.height - bottom) >= quiet
    for box in ((0, 0, left, picture.height), (right, 0, right + quiet, picture.height), (0, 0, right, top)):
        assert grey.crop(box).getextrema() == (255, 255)


@pytest.mark.parametrize(
    ("size", "dpi", "level"),
    [("62x29", 300, "H"), ("62x29", 203, "H"), ("50x25", 203, "H"), ("40x20", 300, "H"), ("40x20", 203, "Q")],
)
def test_the_correction_is_the_strongest_whose_modules_a_camera_resolves(size, dpi, level):
    (read,) = zxingcpp.read_barcodes(label(dpi, size=size))
    assert read.ec_level == level


@pytest.mark.parametrize("dpi", DPI)
def test_another_decoder_reads_the_address(dpi):
    (read,) = zxingcpp.read_barcodes(label(dpi))
    assert read.text == ADDRESS
    assert read.ec_level == "H"


def test_the_code_is_in_alphanumeric_mode_like_another_encoders():
    """segno, an independent encoder, needs the same version for the same text only in alphanumeric mode."""
    rows, _, _ = modules(label())
    assert len(rows) == segno.make_qr(ADDRESS, error="h", mode="alphanumeric", boost_error=False).symbol_size()[0] - 8
    assert len(rows) < segno.make_qr(ADDRESS, error="h", mode="byte", boost_error=False).symbol_size()[0] - 8


@pytest.mark.parametrize("length", [10, 40, 90, 150, 250])
def test_correction_is_as_strong_as_fits(length):
    address = "HTTPS://" + "A" * length + "/T/0123456789"
    picture = label(address=address)
    (read,) = zxingcpp.read_barcodes(picture)
    assert read.text == address
    level = "LMQH".index(read.ec_level)
    if level < 3:
        stronger = segno.make_qr(address, error="LMQH"[level + 1], mode="alphanumeric", boost_error=False)
        room = picture.height // stronger.symbol_size(border=QUIET_ZONE)[0]
        assert room < GOOD_MODULE_MM / 25.4 * 203


def test_a_scratched_and_greasy_label_is_still_read():
    """A tenth of the code hidden, the rest blurred: what the strongest correction is for."""
    picture = label(300).convert("L")
    _, (left, top, right, _) = qr_dots(picture)
    side = right - left
    chance = random.Random(7)
    for _ in range(6):
        x, y = (chance.randrange(side // 3, side * 9 // 10) for _ in range(2))
        picture.paste(chance.choice((0, 255)), (left + x, top + y, left + x + side // 14, top + y + side // 14))
    (read,) = zxingcpp.read_barcodes(picture.filter(ImageFilter.GaussianBlur(2)))
    assert read.text == ADDRESS


def test_the_lines_stand_beside_the_code_and_nothing_runs_over_the_edge():
    bare, full = label(lines=[]), label()
    assert bare.tobytes() != full.tobytes()
    margin = full.convert("L").crop((full.width - 4, 0, full.width, full.height))
    assert margin.getextrema() == (255, 255)


def test_a_long_line_is_made_smaller_not_the_label():
    picture = label(lines=["the plug that was at 12 before", "A shop with a rather long name"])
    margin = picture.convert("L").crop((picture.width - 4, 0, picture.width, picture.height))
    assert margin.getextrema() == (255, 255)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("dpi", DPI)
def test_a_label_too_small_for_the_code_is_refused_with_what_to_do(dpi, size):
    """Down to the longest address that still fits, which is read."""
    fits = 0
    for length in range(20, 1300, 40):
        try:
            picture = label(dpi, "HTTPS://" + "A" * length + "/T/0123456789", size=size)
        except ValueError as problem:
            assert "larger" in str(problem) and "PUBLIC_URL" in str(problem)
            break
        (read,) = zxingcpp.read_barcodes(picture)
        fits = len(read.text)
    else:
        pytest.fail("the longest address was not refused")
    assert fits >= 38  # what a plain host name takes


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("dpi", DPI)
def test_the_code_in_clear_and_the_facts_stand_on_the_smallest_label_too(dpi, size):
    picture = label(dpi, size=size).convert("L")
    _, (_, _, right, _) = qr_dots(picture)
    beside = picture.crop((right + 1, 0, picture.width, picture.height)).point(lambda v: 255 - v)
    rows = [beside.crop((0, y, beside.width, y + 1)).getbbox() is not None for y in range(beside.height)]
    lines = sum(now and not before for before, now in zip([False, *rows], rows, strict=False))
    assert lines >= 1 + len(LINES)


def test_a_resolution_or_size_that_no_printer_has_is_refused():
    with pytest.raises(ValueError, match="203 or 300"):
        label(dpi=72)
    with pytest.raises(ValueError, match="62x29, 50x25, 40x20"):
        label(size="1x1")
