# json.loads takes a comma too many and a raw line break within text.
# Cause: MicroPython's reader skips commas and checks little.
# Way round: JSON is checked where it enters the house (the page's JSON.parse, the server's json).
import json


def plain():
    return json.loads("[1,]")


def way_round():
    return json.loads("[1]")
