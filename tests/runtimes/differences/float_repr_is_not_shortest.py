# repr of a float may carry a digit more than is needed.
# Cause: MicroPython's printing finds a text that reads back equal, not always the shortest one.
# Way round: canonical.number, which writes nine decimals by integer arithmetic.
from coiltrail.core import canonical


def plain():
    return repr(914723.423112316), repr(0.0766850172494176)


def way_round():
    return canonical.number(914723.423112316), canonical.number(0.0766850172494176)
