# A count such as {8} is read as the characters themselves, and \b is no word boundary.
# Cause: MicroPython's re knows classes, groups, ?, *, + and | only.
# Way round: the core checks text by hand; the patterns of entries.py are for the page and the server.
import re


def plain():
    return bool(re.match("[0-9a-f]{2}$", "a7"))


def way_round():
    return bool(re.match("[0-9a-f][0-9a-f]$", "a7"))
