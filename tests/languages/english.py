"""Every English text that people read or hear, as ``{text: where it stands}``: what a catalogue has to have."""

import ast
import functools
import json
import re
import subprocess
from collections.abc import Iterator
from pathlib import Path

from coiltrail import report_page
from coiltrail.api import errors, handed_in, may, report_links
from coiltrail.core import (
    calls,
    candidates,
    casefile,
    checks,
    code_table,
    codes,
    entries,
    faults,
    figures,
    lay_words,
    meant,
    money,
    moved_words,
    owner_proof,
    provoking,
    replacement,
    report,
    steps,
    strength,
    torque,
    verification,
)
from coiltrail.store import audit, media, people

ROOT = Path(__file__).parents[2]
SERVER = ROOT / "server" / "coiltrail"
PWA = ROOT / "pwa"
# Keys under which declared data carries texts (field/tongue.js).
SPOKEN = ("label", "help", "hint", "means", "needs", "caution", "how")


def texts() -> dict[str, str]:
    """Text -> one place where it stands, of screens, core and shop together."""
    found: dict[str, str] = {}
    for text, place in (*in_javascript("spoken"), *in_python(), *declared(), *in_templates()):
        if has_words(text):
            found.setdefault(text, place)
    return found


def has_words(text: str) -> bool:
    """Whether there is anything to translate: words, or an order in which several things are put in."""
    between, places = re.subn(r"\{[^}]*\}", "", text)
    return places > 1 or bool(re.search(r"[^\W\d_]", between))


@functools.cache
def _javascript() -> dict[str, list]:
    told = subprocess.run(
        ["node", str(Path(__file__).with_name("texts.mjs")), str(PWA)], capture_output=True, check=True, text=True
    )
    return json.loads(told.stdout)


def in_javascript(sort: str) -> Iterator[tuple[str, str]]:
    """Of the page: "spoken", "unspoken" or "early", see texts.mjs."""
    for file, line, text in _javascript()[sort]:
        yield text, f"pwa/{file}:{line}"


def in_python() -> Iterator[tuple[str, str]]:
    """What is given to ``phrase`` in core and shop, written out or by a name that the function gives a text."""
    for path in sorted(SERVER.rglob("*.py")):
        for function in [n for n in ast.walk(ast.parse(path.read_text(encoding="utf-8"))) if _is_function(n)]:
            for call in [n for n in ast.walk(function) if _is_phrase(n)]:
                for text in _written(call.args[0], function):
                    yield text, f"{path.relative_to(ROOT)}:{call.lineno}"


def _is_function(node: ast.AST) -> bool:
    return isinstance(node, (ast.FunctionDef, ast.Lambda))


def _is_phrase(node: ast.AST) -> bool:
    return isinstance(node, ast.Call) and getattr(node.func, "id", "") == "phrase"


def _written(node: ast.AST, function: ast.AST) -> Iterator[str]:
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.IfExp):
        yield from _written(node.body, function)
        yield from _written(node.orelse, function)
    elif isinstance(node, ast.Name):
        for given in ast.walk(function):
            if isinstance(given, ast.Assign) and _names(given.targets[0], node.id):
                yield from _written(given.value, function)
            elif isinstance(given, ast.For) and isinstance(given.iter, ast.Tuple) and _names(given.target, node.id):
                column = [element.id for element in given.target.elts].index(node.id)
                for row in given.iter.elts:
                    yield from _written(row.elts[column], function)


def _names(target: ast.AST, name: str) -> bool:
    return name in [getattr(one, "id", None) for one in [target, *getattr(target, "elts", [])]]


def in_templates() -> Iterator[tuple[str, str]]:
    """What the shop's pages give to ``phrase``."""
    for path in sorted((SERVER / "templates").glob("*.html")):
        for double, single in re.findall(r"phrase\(\s*(?:\"([^\"]*)\"|'([^']*)')", path.read_text(encoding="utf-8")):
            yield double or single, str(path.relative_to(ROOT))


def declared() -> Iterator[tuple[str, str]]:
    """Data that the core declares and puts through ``phrase`` where it leaves."""
    yield from ((text, "core/entries.py") for text in _spoken_in(entries.declaration(), ""))
    for kind in faults.KINDS:
        words = [
            kind["label"],
            faults.name(kind["kind"]),
            "the " + kind["label"],
            kind["mend"],
            kind["kind"].replace("_", " "),
        ]
        words += [state["label"] for state in kind["states"]]
        yield from ((text, "core/faults.py") for text in words if text)
    for _, part in entries.PART_KINDS:
        yield from ((form + part.lower(), "core/parts.py") for form in ("the ", "the spare "))
    for moved in (moved_words.SWAP, moved_words.SWAPPED, moved_words.PART):
        yield from ((text, "core/moved_words.py") for text in moved.values())
    yield from ((text, "core/code_table.py") for text in _of_codes())
    yield from ((reason, "core/codes.py") for _, reason in codes.KINDS.values())
    yield codes.RANDOM_BESIDE_ONE, "core/codes.py"
    for _, words, _ in (*codes._STANDARD_GROUPS, *codes._MAKER_GROUPS):
        yield words, "core/codes.py"
    named = (figures.PROFILE_WORDS, figures.PRIOR_WORDS, figures.ENTRY_WORDS, figures.SIGN_WORDS)
    for table in (*named, replacement.PLURALS):
        yield from ((text, "core/figures.py") for text in table.values())
    yield from ((text, "core/strength.py") for grade in strength.GRADES for text in grade[2:])
    yield from ((text, "core/strength.py") for text in (strength.NOTHING, *strength.LEVEL))
    yield from ((text, "core/provoking.py") for text in provoking.CONDITION_WORDS.values())
    yield from ((text, "core/verification.py") for text in verification.READINESS)
    yield from ((text, "core/candidates.py") for text in candidates.OUTCOMES_OF_SWAP.values())
    yield from ((text, "core/candidates.py") for text in candidates.OF_SHARED_COILS.values())
    yield from ((text, "core/calls.py") for _, text in calls.ANSWERS)
    yield calls.UNSAFE, "core/calls.py"
    yield from ((text, "core/casefile.py") for text in (casefile.NEWER, *casefile._OWN_REASONS, *casefile.STATUSES))
    yield from ((text, "core/report.py") for _, text in report.WORDS)
    yield report.LEFT_UNREPAIRED, "core/report.py"
    yield from ((text, "core/money.py") for text in (*money.HOW.values(), *money.BY.values()))
    yield from ((text, "core/lay_words.py") for text in lay_words.told_plainly())
    yield owner_proof.NOT_MENDED, "core/owner_proof.py"
    yield from ((span[0], "core/meant.py") for span in (*meant.SPANS.values(), meant.SPEED))
    yield from ((text, "core/torque.py") for text in (torque.PRACTICE, torque.ESTIMATE))
    yield from _of_the_shop()
    for module in (report, steps, checks):
        for name, text in vars(module).items():
            if isinstance(text, str) and "CAUTION" in name:
                yield text, f"core/{module.__name__.rpartition('.')[2]}.py"


def _of_the_shop() -> Iterator[tuple[str, str]]:
    yield from ((month, "report_page.py") for month in report_page._MONTHS)
    yield from ((text, "store/audit.py") for text in audit.DEEDS.values())
    yield from ((text, "api/may.py") for _, text in may.MAY.values())
    yield from ((text, "api/errors.py") for _, text in errors._PLAIN.values())
    for module in (handed_in, report_links, people, media):
        for name, text in vars(module).items():
            if re.match("_[A-Z]", name) and isinstance(text, str) and text.endswith((".", "owner-link")):
                yield text, f"{module.__name__.replace('.', '/')}.py"
    for path in sorted((SERVER / "api").glob("*.py")):
        for label in re.findall(r'"label": "([^"]*)"', path.read_text(encoding="utf-8")):
            yield label, f"api/{path.name}"


def _of_codes() -> Iterator[str]:
    for line in code_table.LINES.strip().split("\n"):
        yield line.split(" ", 3)[3]
    yield from code_table.ENDINGS.values()


def _spoken_in(data: object, key: str) -> Iterator[str]:
    if isinstance(data, dict):
        for name in data:
            yield from _spoken_in(data[name], name)
    elif isinstance(data, (list, tuple)):
        for one in data:
            yield from _spoken_in(one, key)
    elif isinstance(data, str) and data and key in SPOKEN:
        yield data
