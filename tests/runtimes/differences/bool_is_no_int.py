# isinstance(True, int) is false.
# Cause: MicroPython's bool does not derive from int.
# Way round: ask for the type that is meant, `value is True` first.


def plain():
    return isinstance(True, int)


def way_round():
    return isinstance(True, (bool, int)), isinstance(7, int) and not isinstance(7, bool)
