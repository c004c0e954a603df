# int.bit_length does not exist.
# Cause: this build of MicroPython leaves it out.
# Way round: count while shifting.


def plain():
    return (5).bit_length()


def way_round():
    number, bits = 5, 0
    while number:
        number, bits = number >> 1, bits + 1
    return bits
