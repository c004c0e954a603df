# "%.9f" writes a large number with an exponent.
# Cause: MicroPython falls back to %g where the digits do not fit its buffer.
# Way round: canonical.fixed.
from coiltrail.core import canonical


def plain():
    return "%.9f" % 1e300


def way_round():
    return canonical.fixed(1e300, 9)
