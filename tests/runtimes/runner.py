"""Runs one script on both runtimes of the portable core: CPython here, MicroPython as on the phone.

A script finds what it was given as the JSON text ``GIVEN`` and imports the core as ``coiltrail.core``.
"""

import json
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
SERVER = HERE.parents[1] / "server"
CORE = SERVER / "coiltrail" / "core"
PHONE_HEAP = 32 * 1024 * 1024  # bytes the phone gives the runtime


def on_micropython(script: str, given: object = None, heap: int = PHONE_HEAP) -> str:
    """What ``script`` prints on the phone's runtime. Raises RuntimeError with its traceback if it fails."""
    message = json.dumps({"script": script, "given": _as_text(given)})
    return _output(["node", str(HERE / "micropython.mjs"), str(CORE), str(heap)], message)


def on_cpython(script: str, given: object = None) -> str:
    """What ``script`` prints on this Python, in a process of its own."""
    prelude = f"import sys\nsys.path.insert(0, {str(SERVER)!r})\nGIVEN = {_as_text(given)!r}\n"
    return _output([sys.executable, "-X", "utf8", "-"], prelude + script)


def _as_text(given: object) -> str:
    # Written as a page writes it: a pair of escapes for one character is read differently by the runtimes.
    return json.dumps(given, ensure_ascii=False)


def _output(command: list[str], standard_input: str) -> str:
    done = subprocess.run(command, input=standard_input.encode(), capture_output=True, check=False)
    if done.returncode:
        raise RuntimeError(f"{command[0]} failed: {done.stderr.decode(errors='replace')[-4000:]}")
    return done.stdout.decode()
