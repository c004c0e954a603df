"""One label as an image: the QR of the tag's address, and beside it what a hand without a scanner needs."""

import io

import qrcode
from PIL import Image, ImageDraw, ImageFont
from qrcode.constants import ERROR_CORRECT_H, ERROR_CORRECT_L, ERROR_CORRECT_M, ERROR_CORRECT_Q
from qrcode.util import MODE_ALPHA_NUM, QRData

DPI = (203, 300)  # what label printers print at (common practice, no source)
SIZES = {"62x29": (62, 29), "50x25": (50, 25), "40x20": (40, 20)}  # mm; common labels (common practice, no source)
QUIET_ZONE = 4  # modules around the QR, ISO/IEC 18004
GOOD_MODULE_MM = 0.42  # from here on stronger correction reads more than larger modules (tried, see DEVELOPERS.md)
SMALLEST_MODULE_MM = 0.33  # what a phone's camera still resolves from a hand's width (estimate, from memory)
MARGIN_MM = 1.5
LINE_MM = 3.2  # height of a line of text at most
CODE_MM = 5.5  # height of the code at most
SMALLEST_TEXT_MM = 1.8
_STRONGEST_FIRST = (ERROR_CORRECT_H, ERROR_CORRECT_Q, ERROR_CORRECT_M, ERROR_CORRECT_L)


def draw(address: str, code: str, lines: list[str], dpi: int, size: str) -> Image.Image:
    """The label in black and white. ``address``: what the QR holds, in QR's alphanumeric mode; ``code``: as printed;
    ``lines``: what else is known of the part, the most needed first.

    Every module of the QR is a whole number of the printer's dots, so that none comes out wider than its
    neighbour. Raises ValueError, which says what to do, where there is no such ``dpi`` (one of DPI) or ``size`` (a key
    of SIZES), or the address is too long for the label.
    """
    if dpi not in DPI:
        raise ValueError(f"dpi: give {' or '.join(map(str, DPI))}, the resolution of your printer.")
    if size not in SIZES:
        raise ValueError(f"size: give one of {', '.join(SIZES)}, the label's width and height in millimetres.")
    width, height = (dots(mm, dpi) for mm in SIZES[size])
    picture = Image.new("1", (width, height), 1)
    square = _square(address, height, dpi)
    picture.paste(square, (0, (height - square.height) // 2))
    _write(picture, square.width, code, lines, dpi)
    return picture


def png(picture: Image.Image, dpi: int) -> bytes:
    """The label as a PNG that knows its resolution."""
    file = io.BytesIO()
    picture.save(file, "PNG", dpi=(dpi, dpi))
    return file.getvalue()


def dots(mm: float, dpi: int) -> int:
    """``mm`` in the printer's dots."""
    return round(mm / 25.4 * dpi)


def _square(address, room, dpi):
    """The QR with its quiet zone, at the strongest error correction whose modules are large enough."""
    for least_mm in (GOOD_MODULE_MM, SMALLEST_MODULE_MM):
        for correction in _STRONGEST_FIRST:
            matrix = _matrix(address, correction)
            side = room // len(matrix) if matrix else 0
            if side >= max(1, least_mm / 25.4 * dpi):
                small = Image.new("1", (len(matrix), len(matrix)))
                small.putdata([0 if dark else 1 for row in matrix for dark in row])
                return small.resize((len(matrix) * side,) * 2, Image.Resampling.NEAREST)
    raise ValueError(
        "The shop's address is too long for this label: take a larger one, or a shorter host name in PUBLIC_URL."
    )


def _matrix(address, correction):
    """Rows of dark and light modules; None where no QR is large enough."""
    code = qrcode.QRCode(error_correction=correction, border=QUIET_ZONE)
    code.add_data(QRData(address, mode=MODE_ALPHA_NUM))
    try:
        code.make(fit=True)
    except (ValueError, qrcode.exceptions.DataOverflowError):
        return None
    return code.get_matrix()


def _write(picture, left, code, lines, dpi):
    pen = ImageDraw.Draw(picture)
    margin = dots(MARGIN_MM, dpi)
    left += 1  # some letters begin a dot before their place, which is the quiet zone's
    room = picture.width - left - margin
    font = _font_that_fits(code, dots(CODE_MM, dpi), room, dpi)
    pen.text((left, margin), code, fill=0, font=font)
    top = margin + _height(font) + margin // 2
    each = min(dots(LINE_MM, dpi), (picture.height - top - margin // 2) // max(1, len(lines)))
    each = max(each, dots(SMALLEST_TEXT_MM, dpi))
    for line in lines:
        if top + each > picture.height:
            break  # the most needed stand already
        font = _font_that_fits(line, each * 5 // 6, room, dpi)
        pen.text((left, top), _shortened(line, font, room), fill=0, font=font)
        top += each


def _font_that_fits(text, height, room, dpi):
    smallest = dots(SMALLEST_TEXT_MM, dpi)
    for size in range(height, smallest, -1):
        font = ImageFont.load_default(size)
        if font.getlength(text) <= room:
            return font
    return ImageFont.load_default(smallest)


def _height(font):
    return sum(font.getmetrics())


def _shortened(text, font, room):
    """``text``, or as much of it as there is room for."""
    if font.getlength(text) <= room:
        return text
    while text and font.getlength(text + "...") > room:
        text = text[:-1]
    return text + "..."
