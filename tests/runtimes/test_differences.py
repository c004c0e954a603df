"""Each difference between the runtimes that was met is real, and its way round gives the same on both.

A file whose difference has vanished fails here and is then deleted.
"""

import ast
import json
import sys
from pathlib import Path

import pytest

from tests.runtimes.runner import on_cpython, on_micropython

DIFFERENCES = sorted((Path(__file__).parent / "differences").glob("*.py"))

SHOW_BOTH = """
import json as _json

def _answer(of):
    try:
        return repr(of())
    except Exception as error:
        return type(error).__name__

print(_json.dumps([_answer(plain), str(way_round())]))
"""


@pytest.mark.parametrize("path", DIFFERENCES, ids=lambda path: path.stem)
def test_difference_is_real_and_its_way_round_works(path):
    source = path.read_text()
    here = json.loads(on_cpython(source + SHOW_BOTH))
    phone = json.loads(on_micropython(source + SHOW_BOTH))
    if sys.version_info >= _since(source):
        assert here[0] != phone[0], "the difference has vanished: delete the file"
    assert here[1] == phone[1]


@pytest.mark.parametrize("path", DIFFERENCES, ids=lambda path: path.stem)
def test_difference_says_cause_and_way_round(path):
    head = path.read_text().split("\n\n")[0]
    assert "\n# Cause: " in head and "\n# Way round: " in head


def _since(source):
    """The CPython version from which the difference is seen: SINCE in the file, else any."""
    for node in ast.parse(source).body:
        if isinstance(node, ast.Assign) and node.targets[0].id == "SINCE":
            return ast.literal_eval(node.value)
    return (3, 0)
