"""Case logs as files: one entry a line, as JSON."""

import json
from pathlib import Path

from .store.entry_check import problem_of
from .trouble import Trouble


def read_log(path: Path) -> list[dict]:
    """The entries of a log. Raises Trouble naming the line that is not one."""
    try:
        lines = path.read_text(encoding="utf-8-sig").split("\n")
    except OSError as problem:
        raise Trouble(f"{path} cannot be read ({problem.strerror}): name a case's log.") from None
    except UnicodeDecodeError:
        raise Trouble(f"{path} is no text in UTF-8: name a case's log.") from None
    entries = [_entry(path, number, line) for number, line in enumerate(lines, 1) if line.strip()]
    if not entries:
        raise Trouble(f"{path} holds no entries: name a case's log.")
    return entries


def _entry(path, number, line):
    try:
        entry = json.loads(line)
    except (ValueError, RecursionError):
        raise Trouble(f"{path}, line {number}: this is not JSON. A log has one entry a line.") from None
    problem = problem_of(entry)
    if problem:
        raise Trouble(f"{path}, line {number}, {problem['field'] or 'entry'}: {problem['message']}")
    return entry
