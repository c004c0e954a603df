# repr and %r write text beyond ASCII as escapes.
# Cause: MicroPython does not know which characters can be shown.
# Way round: put text into messages with %s.


def plain():
    return repr("é")


def way_round():
    return "'%s'" % "é"
