# Methods and functions that are built in refuse keywords, but for a few (sort, sorted, min, max, print, format).
# Cause: MicroPython reads their arguments by position.
# Way round: give arguments by position; check lengths by hand instead of zip(strict=True).


def plain():
    return "a b c".split(maxsplit=1)


def way_round():
    return "a b c".split(None, 1)
