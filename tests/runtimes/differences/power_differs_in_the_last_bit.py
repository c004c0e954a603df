# math.pow, exp and log may differ in the last bit.
# Cause: each runtime's C library rounds them its own way.
# Way round: never compare or branch on equality of such figures; canonical.dumps rounds to nine decimals.
import math

from coiltrail.core import canonical


def powers():
    return [math.pow(i / 137, 1.7) for i in range(1, 4000)]


def plain():
    total = 0  # the last bits of all, which a sum of floats would lose
    for index, power in enumerate(powers()):
        total += index * int(math.frexp(power)[0] * 2**53)
    return total


def way_round():
    return canonical.dumps(powers())
