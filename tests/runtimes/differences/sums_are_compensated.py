# sum of floats is more exact on newer CPythons.
# Cause: since 3.12 CPython's sum carries the rounding error along; MicroPython adds one after the other.
# Way round: add in a loop where the last bits decide something.
SINCE = (3, 12)


def plain():
    return sum([0.1] * 10) == 1.0


def way_round():
    total = 0.0
    for part in [0.1] * 10:
        total += part
    return total == 1.0
