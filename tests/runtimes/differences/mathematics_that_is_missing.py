# math.log1p, expm1 and fsum do not exist.
# Cause: this build of MicroPython leaves them out.
# Way round: log(1 + x) where x is not tiny; a loop for sums.
import math

from coiltrail.core import canonical


def plain():
    return math.log1p(0.5) + math.fsum([0.1, 0.2])


def way_round():
    return canonical.number(math.log(1 + 0.5))
