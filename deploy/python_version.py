"""Says in one line that this Python is too old. Written so that Python 2.7 and 3.6 can still read the file."""

import sys

OLDEST = (3, 11)


def complaint(version):
    """What to tell the person about ``version`` (a tuple such as ``sys.version_info``); None when it will do."""
    if tuple(version[:2]) >= OLDEST:
        return None
    found = ".".join(str(number) for number in version[:3])
    wanted = ".".join(str(number) for number in OLDEST)
    return "Coiltrail needs Python " + wanted + " or newer and this is " + found + ": install one and start with it."


def insist():
    """Ends the program with the complaint and exit code 1 when the running Python is too old."""
    found_wanting = complaint(sys.version_info)
    if found_wanting:
        sys.exit(found_wanting)
