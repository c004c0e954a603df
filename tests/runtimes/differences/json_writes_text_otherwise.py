# json.dumps escapes other characters.
# Cause: CPython escapes all but ASCII unless told otherwise and has short forms for \b and \f; MicroPython has neither.
# Way round: canonical.dumps.
import json

from coiltrail.core import canonical


def plain():
    return json.dumps("é\b")


def way_round():
    return canonical.dumps("é\b")
