# typing, dataclasses, enum and __future__ cannot be imported.
# Cause: this build of MicroPython has no such modules.
# Way round: plain classes, tuples and dicts; types stand in docstrings.


def plain():
    import dataclasses

    return bool(dataclasses)


def way_round():
    from collections import namedtuple

    return namedtuple("Point", ("x", "y"))(1, 2).y
