"""What takes long to make and is the same every time: made once, and kept in a folder that may be emptied at will."""

import os
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path


def kept(file: Path, make: Callable[[], bytes]) -> bytes:
    """The bytes in ``file``, made by ``make`` where it is not there.

    A folder that cannot be written costs the time again, no more.
    """
    with suppress(OSError):
        return file.read_bytes()
    made = make()
    with suppress(OSError):
        file.parent.mkdir(exist_ok=True)
        half = file.with_name(f"{file.name}.{os.getpid()}")
        half.write_bytes(made)
        half.replace(file)
    return made
