"""A QR code in a terminal, to be scanned off the screen."""

import io

import qrcode


def terminal_square(text: str) -> str:
    """``text`` as a QR code made of half blocks. Light modules are drawn, as terminals are mostly dark."""
    code = qrcode.QRCode(border=2, error_correction=qrcode.ERROR_CORRECT_L)
    code.add_data(text)
    drawn = io.StringIO()
    code.print_ascii(drawn, invert=True)
    return drawn.getvalue().rstrip("\n")
