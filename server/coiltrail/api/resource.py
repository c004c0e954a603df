"""A blueprint whose request bodies are read like all JSON here."""

from typing import Any, ClassVar

from flask import Request, request
from flask_smorest import Blueprint
from marshmallow import EXCLUDE
from webargs.flaskparser import FlaskParser

from ..core.entries import HINTS
from ..store.fields import schema_of


class _Parser(FlaskParser):
    # A newer phone may say more than this server knows.
    DEFAULT_UNKNOWN_BY_LOCATION: ClassVar = {**FlaskParser.DEFAULT_UNKNOWN_BY_LOCATION, "json": EXCLUDE}

    def _raw_load_json(self, req: Request) -> Any:
        return request.get_json()


class Resource(Blueprint):
    """One resource of the API."""

    ARGUMENTS_PARSER = _Parser()


def text(name: str, label: str, most: int = 200, *, required: bool = True, pattern: str | None = None) -> dict:
    """A text field of a request body, declared as ``core.entries`` declares fields."""
    declared = {"name": name, "type": "text", "label": label, "max": most, "required": required, "pattern": pattern}
    return declared | {"hint": HINTS.get(pattern)}


def body(label: str, *declared: dict) -> type:
    """The schema of a request body."""
    return schema_of(list(declared), label)
