"""JSON as it comes in: what the standard allows, and nothing that breaks what reads it later."""

import json
import math
from typing import Any, NoReturn

from flask.json.provider import DefaultJSONProvider

from ..store.entry_check import depth_of

DEEPEST = 200  # levels; an entry may have 32, and is then set aside by itself


class StrictJSON(DefaultJSONProvider):
    """Refuses with ValueError what Python's reader lets through: NaN, infinite numbers, endless nesting."""

    sort_keys = False

    def loads(self, s: str | bytes, **kwargs: Any) -> Any:
        try:
            value = json.loads(s, parse_constant=_no_number, parse_float=_finite, **kwargs)
        except RecursionError:
            raise ValueError("nested too deeply") from None
        if depth_of(value, DEEPEST) > DEEPEST:
            raise ValueError("nested too deeply")
        return value


def _no_number(text: str) -> NoReturn:
    raise ValueError(f"{text} is not JSON")


def _finite(text: str) -> float:
    value = float(text)
    if not math.isfinite(value):
        raise ValueError(f"{text[:20]} is too large a number")
    return value
