"""Languages: one catalogue each, from which the phone's screens, the core and the shop's pages speak.

A catalogue is plain data, English text -> text, in JSON files by room in a folder named by the language's code.
"""

import json
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from pathlib import Path
from typing import Any

from ..core import tongue

ENGLISH = "en"
HERE = Path(__file__).parent
LANGUAGES = (ENGLISH, *sorted(folder.name for folder in HERE.iterdir() if any(folder.glob("*.json"))))


@cache
def catalogue(language: str) -> Mapping[str, str]:
    """Every text of ``language`` by its English one; empty for English. Raises ValueError for a text given twice."""
    texts: dict[str, str] = {}
    for path in sorted((HERE / language).glob("*.json")):
        for english, text in json.loads(path.read_text(encoding="utf-8")).items():
            if texts.setdefault(english, text) != text:
                raise ValueError(f"{path}: {english!r} stands elsewhere with another text")
    return texts


def speak(language: str) -> None:
    """From here on this request, or this command, speaks ``language``."""
    _spoken.set(language)


def spoken() -> str:
    """The language spoken now."""
    return _spoken.get()


@contextmanager
def speaking(language: str) -> Iterator[None]:
    """Speak ``language`` in between."""
    before = _spoken.set(language)
    try:
        yield
    finally:
        _spoken.reset(before)


def in_each(told: Callable[[], Any]) -> dict[str, Any]:
    """What ``told`` gives in each language: for what is kept and read by people of any."""
    found = {}
    for language in LANGUAGES:
        with speaking(language):
            found[language] = told()
    return found


_spoken: ContextVar[str] = ContextVar("spoken", default=ENGLISH)


class _Spoken:
    """What the core looks texts up in: the catalogue of whichever request it answers."""

    def get(self, text: str, default: str) -> str:
        return catalogue(_spoken.get()).get(text, default)


tongue.use(_Spoken())
