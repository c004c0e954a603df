"""One label as a PNG: the QR of the tag's address, and beside it what a hand without a scanner needs."""

import io

import qrcode
from PIL import Image, ImageDraw, ImageFont
from qrcode.constants import ERROR_CORRECT_H, ERROR_CORRECT_L, ERROR_CORRECT_M, ERROR_CORRECT_Q
from qrcode.util import MODE_ALPHA_NUM, QRData

DPI = (203, 300)  # what label printers print at (common practice, no source)
WIDTH_MM, HEIGHT_MM = 62, 29  # a common size of label (common practice, no source)
QUIET_ZONE = 4  # modules around the QR, ISO/IEC 18004
SMALLEST_MODULE_MM = 0.5  # for a phone's camera and a greasy label (estimate, from memory)
MARGIN_MM = 1.5
LINE_MM = 3.2  # height of a line of text
CODE_MM = 5.5  # height of the code at most
SMALLEST_TEXT_MM = 1.8
_STRONGEST_FIRST = (ERROR_CORRECT_H, ERROR_CORRECT_Q, ERROR_CORRECT_M, ERROR_CORRECT_L)


def label_png(address: str, code: str, lines: list[str], dpi: int) -> bytes:
    """The label in black and white. ``address``: what the QR holds, in QR's alphanumeric mode; ``code``: as printed.

    Every module of the QR is a whole number of the printer's dots, so that none comes out wider than its
    neighbour. Raises ValueError when ``dpi`` is not in DPI or the address is too long for the label.
    """
    if dpi not in DPI:
        raise ValueError(f"dpi: give {' or '.join(map(str, DPI))}, the resolution of your printer.")
    width, height = _dots(WIDTH_MM, dpi), _dots(HEIGHT_MM, dpi)
    picture = Image.new("1", (width, height), 1)
    square = _square(address, height, dpi)
    picture.paste(square, (0, (height - square.height) // 2))
    _write(picture, square.width, code, lines, dpi)
    file = io.BytesIO()
    picture.save(file, "PNG", dpi=(dpi, dpi))
    return file.getvalue()


def _dots(mm, dpi):
    return round(mm / 25.4 * dpi)


def _square(address, room, dpi):
    """The QR with its quiet zone, at the strongest error correction whose modules are still large enough."""
    for correction in _STRONGEST_FIRST:
        matrix = _matrix(address, correction)
        dots = room // len(matrix)
        if dots >= SMALLEST_MODULE_MM / 25.4 * dpi:
            small = Image.new("1", (len(matrix), len(matrix)))
            small.putdata([0 if dark else 1 for row in matrix for dark in row])
            return small.resize((len(matrix) * dots,) * 2, Image.Resampling.NEAREST)
    raise ValueError("The shop's address is too long for a label: use a shorter host name in PUBLIC_URL.")


def _matrix(address, correction):
    code = qrcode.QRCode(error_correction=correction, border=QUIET_ZONE)
    code.add_data(QRData(address, mode=MODE_ALPHA_NUM))
    code.make(fit=True)
    return code.get_matrix()


def _write(picture, left, code, lines, dpi):
    pen = ImageDraw.Draw(picture)
    room = picture.width - left - _dots(MARGIN_MM, dpi)
    top = _dots(MARGIN_MM, dpi) * 2
    for text, height_mm in [(code, CODE_MM), *((line, LINE_MM) for line in lines)]:
        font = _font_that_fits(text, _dots(height_mm, dpi), room, dpi)
        pen.text((left, top), text, fill=0, font=font)
        top += _dots(height_mm, dpi) + _dots(MARGIN_MM, dpi) // 2


def _font_that_fits(text, height, room, dpi):
    smallest = _dots(SMALLEST_TEXT_MM, dpi)
    for size in range(height, smallest, -1):
        font = ImageFont.load_default(size)
        if font.getlength(text) <= room:
            return font
    return ImageFont.load_default(smallest)
