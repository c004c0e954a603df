# strip, split and isspace do not see a no-break space.
# Cause: MicroPython's white space is that of ASCII.
# Way round: plaintext.spaced, which turns every kind of space into a plain one first.
from coiltrail.core import plaintext


def plain():
    return "\u00a0a\u00a0b".split()


def way_round():
    return plaintext.spaced("\u00a0a\u00a0b").split(" ")
