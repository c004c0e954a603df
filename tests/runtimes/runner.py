"""Runs one script on both runtimes of the portable core: CPython here, MicroPython as on the phone.

A script finds what it was given as the JSON text ``GIVEN`` and imports the core as ``coiltrail.core``.
"""

import json
import subprocess
import sys
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from coiltrail import bytecode

HERE = Path(__file__).resolve().parent
SERVER = HERE.parents[1] / "server"
CORE = SERVER / "coiltrail" / "core"
PHONE_HEAP = 32 * 1024 * 1024  # bytes the phone gives the runtime


def on_micropython(script: str, given: object = None, heap: int = PHONE_HEAP) -> str:
    """What ``script`` prints on the phone's runtime. Raises RuntimeError with its traceback if it fails."""
    return _on_phone(heap, script=script, given=_as_text(given), questions=[])


def answers_on_micropython(questions: list[tuple[str, dict]], heap: int = PHONE_HEAP) -> list[str]:
    """What the core answers to (name, arguments) on the phone's runtime, asked as the phone's worker asks it."""
    asked = [(name, _as_text(arguments)) for name, arguments in questions]
    return _on_phone(heap, script="", given="null", questions=asked).split("\n")[:-1]


def answers_on_cpython(questions: list[tuple[str, dict]]) -> list[str]:
    """What the core answers to (name, arguments) on this Python, in a process of its own."""
    asked = [(name, _as_text(arguments)) for name, arguments in questions]
    return on_cpython(_ANSWER, asked).split("\n")[:-1]


_ANSWER = """
import json
from coiltrail.core import bridge

for question in json.loads(GIVEN):
    print(bridge.answer(*question))
"""


def on_cpython(script: str, given: object = None) -> str:
    """What ``script`` prints on this Python, in a process of its own."""
    prelude = f"import sys\nsys.path.insert(0, {str(SERVER)!r})\nGIVEN = {_as_text(given)!r}\n"
    return _output([sys.executable, "-X", "utf8", "-"], prelude + script)


def _on_phone(heap, **message):
    return _output(["node", str(HERE / "micropython.mjs"), _as_phones_read_it().name, str(heap)], json.dumps(message))


@cache
def _as_phones_read_it() -> TemporaryDirectory:
    """A folder with the core's bytecode, for as long as this process lasts."""
    folder = TemporaryDirectory(prefix="coiltrail-bytecode-")
    for name, body in bytecode.modules().items():
        (Path(folder.name) / name).write_bytes(body)
    return folder


def _as_text(given: object) -> str:
    # Written as a page writes it: a pair of escapes for one character is read differently by the runtimes.
    return json.dumps(given, ensure_ascii=False)


def _output(command: list[str], standard_input: str) -> str:
    done = subprocess.run(command, input=standard_input.encode(), capture_output=True, check=False)
    if done.returncode:
        raise RuntimeError(f"{command[0]} failed: {done.stderr.decode(errors='replace')[-4000:]}")
    return done.stdout.decode()
