# upper and lower leave letters outside ASCII alone.
# Cause: MicroPython has no Unicode tables for case.
# Way round: plaintext.upper and plaintext.lower, which leave them alone on both.
from coiltrail.core import plaintext


def plain():
    return "éΩ".upper() + "ÉΩ\u212a".lower()


def way_round():
    return plaintext.upper("éΩ") + plaintext.lower("ÉΩ\u212a")
