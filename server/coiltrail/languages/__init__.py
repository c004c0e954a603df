"""Languages: one catalogue each, from which the phone's screens, the core and the shop's pages speak.

A catalogue is plain data, English text -> text, in JSON files by room in a folder named by the language's code.
"""

import json
from collections.abc import Mapping
from contextvars import ContextVar
from functools import cache
from pathlib import Path

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
    _spoken.set(catalogue(language))


_spoken: ContextVar[Mapping[str, str] | None] = ContextVar("spoken", default=None)


class _Spoken:
    """What the core looks texts up in: the catalogue of whichever request it answers."""

    def get(self, text: str, default: str) -> str:
        spoken = _spoken.get()
        return spoken.get(text, default) if spoken else default


tongue.use(_Spoken())
