"""A label at the printer's exact dots, which another decoder reads."""

import io
import random

import pytest
import segno
import zxingcpp
from PIL import Image, ImageFilter

from coiltrail.labels import label_png
from coiltrail.labels.label import DPI, HEIGHT_MM, QUIET_ZONE, SMALLEST_MODULE_MM, WIDTH_MM

ADDRESS = "HTTPS://DRIVEWAY-MOTORS.EXAMPLE/T/0123456789"
LINES = ["the coil that came at 3", "Case 3F9A2C, 2026-05-01", "Driveway Motors", "555-0134"]


def label(dpi=203, address=ADDRESS, lines=LINES):
    return Image.open(io.BytesIO(label_png(address, "0123-456-789", lines, dpi)))


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


@pytest.mark.parametrize("dpi", DPI)
def test_the_size_is_the_labels_at_the_printers_dots(dpi):
    picture = label(dpi)
    assert picture.size == (round(WIDTH_MM / 25.4 * dpi), round(HEIGHT_MM / 25.4 * dpi))
    assert picture.mode == "1"
    assert picture.info["dpi"] == pytest.approx((dpi, dpi), abs=0.1)


@pytest.mark.parametrize("dpi", DPI)
def test_modules_are_whole_dots_with_a_quiet_zone_around(dpi):
    picture = label(dpi)
    _, dots, left = modules(picture)
    assert dots >= SMALLEST_MODULE_MM / 25.4 * dpi
    assert left == QUIET_ZONE * dots
    grey, (left, top, right, bottom) = qr_dots(picture)
    quiet = QUIET_ZONE * dots
    assert min(top, picture.height - bottom) >= quiet
    for box in ((0, 0, left, picture.height), (right, 0, right + quiet, picture.height), (0, 0, right, top)):
        assert grey.crop(box).getextrema() == (255, 255)


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
        assert room < SMALLEST_MODULE_MM / 25.4 * 203


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


def test_an_address_that_does_not_fit_is_refused():
    with pytest.raises(ValueError, match="PUBLIC_URL"):
        label(address="HTTPS://" + "A" * 400 + "/T/0123456789")


def test_a_resolution_that_no_printer_has_is_refused():
    with pytest.raises(ValueError, match="203 or 300"):
        label(dpi=72)
