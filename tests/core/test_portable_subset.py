"""Every file of the core keeps to the part of Python that the phone's runtime has."""

import builtins
import importlib
import json

import pytest

from tests.core.portable_subset import ASK_THE_RUNTIME, MODULES, TYPES, problems_in
from tests.runtimes.runner import CORE, on_micropython


@pytest.fixture(scope="module")
def known():
    """What the phone's runtime has, asked from itself, and what it therefore lacks."""
    tried = {
        "modules": {name: _public(importlib.import_module(name)) for name in MODULES},
        "types": {name: _public(getattr(builtins, name)) for name in TYPES},
        "builtins": _public(builtins),
    }
    has = {name: set(names) for name, names in json.loads(on_micropython(ASK_THE_RUNTIME, tried)).items()}
    methods = {method for names in tried["types"].values() for method in names}
    # A method counts as missing where no built-in type of that runtime has it.
    return {
        **has,
        "methods": methods,
        "missing methods": methods - set().union(*(has[name] for name in TYPES)),
        "missing builtins": set(tried["builtins"]) - has["builtins"] - {"__name__"},
    }


def _public(thing):
    return [name for name in dir(thing) if not name.startswith("_")]


@pytest.mark.parametrize("path", sorted(CORE.glob("*.py")), ids=lambda path: path.name)
def test_core_is_portable(path, known):
    found = problems_in(path.read_text(encoding="utf-8"), known)
    assert not found, "\n" + "\n".join(f"{path.name}:{line}: {message}" for line, message in found)


@pytest.mark.parametrize(
    ("source", "says"),
    [
        ("import typing", "import typing"),
        ("from dataclasses import dataclass", "nothing outside itself"),
        ("from ..store import log", "nothing outside itself"),
        ("from itertools import combinations", "itertools.combinations"),
        ("import math\nmath.log1p(1)", "math.log1p"),
        ("import heapq\nheapq.nsmallest(1, [2])", "heapq.nsmallest"),
        ("import json\njson.dumps(1)", "canonical.dumps"),
        ("match 1:\n    case 1:\n        pass", "match"),
        ("a = [*b, *c]", "[*a, *b]"),
        ("a = {**b, **c}", "{**a, **b}"),
        ("def f(a, /):\n    pass", "positional-only"),
        ("a = 'x'[::-1]", "no step"),
        ("def f(a: int):\n    pass", "docstrings"),
        ("'7'.zfill(2)", ".zfill"),
        ("'x'.removeprefix('x')", ".removeprefix"),
        ("(5).bit_length()", ".bit_length"),
        ("vars()", "vars"),
        ("'7'.isdigit()", "ASCII"),
        ("'a b'.split(maxsplit=1)", "no keywords"),
        ("zip(a, b, strict=True)", "no keywords"),
        ("round(a, 2)", "canonical.fixed"),
        ("repr(a)", "otherwise"),
        ("'%.2f' % a", "canonical.fixed"),
        ("'%g of %d' % (a, b)", "canonical.fixed"),
        ("f'{a:.1f}'", "canonical.fixed"),
        ("f'{a!r}'", "canonical.fixed"),
        ("import re\nre.compile('a{3}')", "MicroPython's re"),
        ("import re\nre.match('(?:a)', b)", "MicroPython's re"),
        ("import re\nre.findall('a', b)", "re.findall"),
        ("for a in {1, 2}:\n    pass", "no order"),
        ("for a, b in c.items():\n    pass", "no order"),
        ("def f():\n    a = {}\n    for b in a:\n        pass", "no order"),
        (
            "class A:\n    def f(self):\n        self.a = {}\n    def g(self):\n        return [b for b in self.a]",
            "no order",
        ),
        ("sum(a.values())", "no order"),
        ("list(set(a))", "no order"),
    ],
)
def test_what_is_not_portable_is_found(source, says, known):
    assert [message for _, message in problems_in(source, known) if says in message], source


@pytest.mark.parametrize(
    "source",
    [
        "import math\nmath.floor(1.5)",
        "import re\nre.compile('[a-z]+')",
        "from . import canonical\nfrom .evidence import SIGNS",
        "from . import casefile\ncasefile.title({})",
        "class A:\n    def title(self):\n        return self.title()",
        "a, *b = c",
        "f(*a, **b)",
        "a[1:2]",
        "'%s has %d of %03d, 100%%' % (a, b, c)",
        "f'{a} and {b:02d}'",
        "sorted(a, key=lambda b: b, reverse=True)",
        "for a in sorted({1, 2}):\n    pass",
        "any(b for b in a.values())",
        "b = {c for c in a.items()}",
        "for a in b.values():  # in any order\n    pass",
        "def f():\n    a = {}\n    return a\ndef g(a):\n    for b in a:\n        pass",
        "max(a, default=0)",
    ],
)
def test_what_is_portable_passes(source, known):
    assert problems_in(source, known) == []
