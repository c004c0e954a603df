# str.zfill, title, isalnum, removeprefix, ljust, translate and casefold do not exist.
# Cause: this build of MicroPython leaves them out.
# Way round: % formatting, slices, explicit characters.


def plain():
    return "7".zfill(2)


def way_round():
    return "%02d" % 7
