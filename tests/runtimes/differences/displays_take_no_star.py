# [*a, *b] and match are syntax errors.
# Cause: MicroPython's grammar ends before them.
# Way round: list(a) + list(b); if and elif.


def plain():
    return eval("[*[1], *[2]]")


def way_round():
    return [1] + [2]
