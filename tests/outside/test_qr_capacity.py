"""How much fits into a QR code in its alphanumeric mode: ISO/IEC 18004, the figures found by trial with segno."""

import pytest
import segno
from qrcode.constants import ERROR_CORRECT_H, ERROR_CORRECT_L, ERROR_CORRECT_M, ERROR_CORRECT_Q

from coiltrail.labels import label

LEVELS = {"L": ERROR_CORRECT_L, "M": ERROR_CORRECT_M, "Q": ERROR_CORRECT_Q, "H": ERROR_CORRECT_H}
CAPACITY = {
    1: (25, 20, 16, 10),
    2: (47, 38, 29, 20),
    3: (77, 61, 47, 35),
    4: (114, 90, 67, 50),
    5: (154, 122, 87, 64),
    6: (195, 154, 108, 84),
}


def modules(text: str, level: str) -> int:
    """Modules on a side of the label's QR, without its quiet zone."""
    return len(label._matrix(text, LEVELS[level])) - 2 * label.QUIET_ZONE


@pytest.mark.parametrize("version", CAPACITY)
@pytest.mark.parametrize("level", LEVELS)
def test_a_version_holds_what_the_standard_says(version, level):
    most = CAPACITY[version]["LMQH".index(level)]
    text = ("HTTPS://SHOP.EXAMPLE/T/" * 9)[:most]
    assert modules(text, level) == 17 + 4 * version
    assert modules(text + "A", level) == 17 + 4 * (version + 1)
    theirs = segno.make_qr(text, error=level, mode="alphanumeric", boost_error=False)
    assert theirs.symbol_size(border=0)[0] == 17 + 4 * version
