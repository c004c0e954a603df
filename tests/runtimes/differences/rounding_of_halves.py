# round(x, n) and "%.1f" take other sides at what looks like a half.
# Cause: CPython rounds the exact binary value, halves to even; MicroPython scales first, halves away from zero.
# Way round: canonical.fixed, whose one rounding is a float addition that both make alike.
from coiltrail.core import canonical


def plain():
    return round(2.675, 2), "%.1f" % 1.25


def way_round():
    return canonical.fixed(2.675, 2), canonical.fixed(1.25, 1)
