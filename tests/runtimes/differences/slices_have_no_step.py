# text[::-1] and other steps are refused.
# Cause: MicroPython's text and tuples take slices of step one only.
# Way round: reversed() and join.


def plain():
    return "abc"[::-1]


def way_round():
    return "".join(reversed("abc"))
