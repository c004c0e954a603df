"""Marshmallow fields built from declarations in the form of ``core.entries``.

Every message names the field as the form does and says what to do. Values are checked, never converted:
what a phone sent is kept as it was sent.
"""

import datetime
import json
import math
import re
from typing import Any

from marshmallow import INCLUDE, Schema, ValidationError, fields

from ..core import measures
from ..core.tongue import NO_BREAK, phrase

# Text that no keyboard gives and that databases, files and the phone's runtime stumble over.
_BROKEN_TEXT = re.compile("[\0\ud800-\udfff]")
# The furthest time zone is 14 hours ahead of UTC: a phone there may already have tomorrow.
_FURTHEST_AHEAD = datetime.timedelta(hours=14)
_LARGEST_SI = 1e15
LONGEST_TYPED = 40  # characters of a quantity as typed


def schema_of(declared: list[dict], label: str) -> type[Schema]:
    """A schema class for a group of declared fields; fields it does not know are let through."""
    body: dict[str, Any] = {field["name"]: field_of(field) for field in declared}
    body["Meta"] = type("Meta", (), {"unknown": INCLUDE})
    body["error_messages"] = {"type": f"{label}: give the fields as an object."}
    return type("".join(word.capitalize() for word in re.findall("[A-Za-z0-9]+", label)), (Schema,), body)


def field_of(declared: dict) -> fields.Field:
    """The marshmallow field for one declaration."""
    label = declared.get("label") or declared.get("name") or "Value"
    options = {
        "required": bool(declared.get("required")),
        "metadata": _documented(declared, label),
        "error_messages": {
            "required": f"{label}: fill this in.",
            "null": f"{label}: fill this in, or leave it out.",
            "invalid": f"{label}: give a list.",
        },
    }
    kind = declared["type"]
    if kind == "group":
        return fields.Nested(schema_of(declared["fields"], label), **options)
    if kind == "list":
        options["validate"] = _at_most(label, declared["max"])
        return fields.List(field_of(declared["of"]), **options)
    return _FIELDS[kind](declared, label, **options)


def _documented(declared: dict, label: str) -> dict[str, Any]:
    """The declaration in the words of OpenAPI."""
    unit = f"In {declared['unit']}." if declared.get("unit") else None
    told: dict[str, Any] = {"description": " ".join(filter(None, (label + ".", unit, declared.get("help"))))}
    kind = declared["type"]
    if kind == "choice":
        told["enum"] = _values(declared)
    elif kind == "choices":
        told |= {"type": "array", "uniqueItems": True, "items": {"type": "string", "enum": _values(declared)}}
    elif kind in ("integer", "number"):
        told |= {"type": kind, "minimum": declared.get("min"), "maximum": declared.get("max")}
    elif kind == "text":
        least = 1 if declared.get("required") else None
        told |= {"minLength": least, "maxLength": declared["max"], "pattern": _anchored(declared.get("pattern"))}
    elif kind == "date":
        told["format"] = "date"
    elif kind == "list":
        told["maxItems"] = declared["max"]
    elif kind == "quantity":
        units = [row["unit"] for row in measures.UNITS[declared["dimension"]]]
        told |= {
            "type": "object",
            "required": ["si", "typed", "unit"],
            "properties": {
                "si": {"type": "number", "minimum": -_LARGEST_SI, "maximum": _LARGEST_SI},
                "typed": {"type": "string", "maxLength": LONGEST_TYPED},
                "unit": {"type": "string", "enum": units},
            },
        }
    return {key: value for key, value in told.items() if value is not None}


def _anchored(pattern: str | None) -> str | None:
    # JSON Schema lets a pattern match anywhere; ours are for the whole text.
    return f"^({pattern})$" if pattern else None


def first_problem(errors: dict) -> dict[str, str]:
    """The first of marshmallow's errors as ``{"field", "message"}``, the field as a dotted path."""
    path = []
    found: Any = errors
    while isinstance(found, dict):
        key = next(iter(found))
        if key != "_schema":
            path.append(str(key))
        found = found[key]
    return {"field": ".".join(path), "message": _spoken(found[0] if isinstance(found, list) else str(found))}


def _spoken(message: str) -> str:
    """A message that was put together before anybody asked, in the language spoken."""
    label, colon, rest = message.partition(": ")
    return f"{phrase(label)}: {phrase(rest[:-1])}." if colon and rest.endswith(".") else phrase(message)


def _at_most(label, most):
    def check(value):
        if len(value) > most:
            told = phrase("at most {max}; this has {length}", max=most, length=len(value))
            raise ValidationError(f"{phrase(label)}: {told}.")

    return check


def _is_number(value):
    return isinstance(value, int | float) and not isinstance(value, bool)


class _Declared:
    """A field that checks its value against a declaration and hands it on as it is."""

    def __init__(self, declared, label, **options):
        super().__init__(**options)
        self.declared = declared
        self.label = label

    def _deserialize(self, value, attr, data, **kwargs):
        problem = self.problem(value)
        if problem:
            raise ValidationError(f"{phrase(self.label)}: {problem}.")
        return value


class _Text(_Declared, fields.String):
    def problem(self, value):
        most, pattern = self.declared["max"], self.declared.get("pattern")
        if not isinstance(value, str):
            return phrase("write it as text")
        if self.declared.get("required") and not value.strip():
            return phrase("fill this in")
        if len(value) > most:
            if not self.declared.get("lines"):
                return phrase("at most {max} characters; this has {size}", max=most, size=len(value))
            return phrase(
                "at most {max} characters; this has {length}. Shorten it or add a second entry",
                max=most,
                length=len(value),
            )
        if _BROKEN_TEXT.search(value):
            return phrase("it holds a character that cannot be shown; type it anew")
        if pattern and not re.fullmatch(pattern, value):
            hint = self.declared.get("hint")
            return phrase(hint) if hint else phrase("it does not have the form {pattern}", pattern=pattern)
        return None


class _Choice(_Declared, fields.String):
    def problem(self, value):
        return None if value in _values(self.declared) else _choose(self.declared)


class _Choices(_Declared, fields.Raw):
    def problem(self, value):
        if not isinstance(value, list):
            return phrase("give a list")
        if any(one not in _values(self.declared) for one in value):
            return _choose(self.declared)
        if len(set(value)) != len(value):
            return phrase("name each only once")
        return None


def _values(declared):
    return [choice["value"] for choice in declared["choices"]]


def _choose(declared):
    labels = ", ".join(phrase(choice["label"]) for choice in declared["choices"])
    return phrase("choose from: {choices}", choices=labels)


class _Number(_Declared, fields.Float):
    what = "a number"

    def fits(self, value):
        return _is_number(value) and (isinstance(value, int) or math.isfinite(value))

    def problem(self, value):
        low, high = self.declared.get("min"), self.declared.get("max")
        if self.fits(value) and (low is None or value >= low) and (high is None or value <= high):
            return None
        limits = "" if low is None or high is None else phrase(" from {min} to {max}", min=low, max=high)
        unit = f"{NO_BREAK}{self.declared['unit']}" if self.declared.get("unit") else ""
        return phrase("give {what}{limits}{unit}", what=phrase(self.what), limits=limits, unit=unit)


class _Integer(_Number, fields.Integer):
    what = "a whole number"

    def fits(self, value):
        return isinstance(value, int) and not isinstance(value, bool)


class _Flag(_Declared, fields.Boolean):
    def problem(self, value):
        return None if isinstance(value, bool) else phrase("say true or false")


class _Date(_Declared, fields.String):
    def problem(self, value):
        try:
            if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", value):
                raise ValueError
            typed = datetime.date.fromisoformat(value)
        except (TypeError, ValueError):
            return phrase("give a date like 2026-03-31")
        latest = (datetime.datetime.now(datetime.UTC) + _FURTHEST_AHEAD).date()
        if self.declared.get("past") and typed > latest:
            return phrase("{value} is in the future; give today or an earlier day", value=value)
        return None


class _Quantity(_Declared, fields.Raw):
    def problem(self, value):
        units = [row["unit"] for row in measures.UNITS[self.declared["dimension"]]]
        if not isinstance(value, dict) or not {"si", "typed", "unit"} <= value.keys():
            return phrase("give the value, what was typed, and its unit")
        if value["unit"] not in units:
            return phrase("choose a unit from: {units}", units=", ".join(units))
        if (
            not isinstance(value["typed"], str)
            or len(value["typed"]) > LONGEST_TYPED
            or _BROKEN_TEXT.search(value["typed"])
        ):
            return phrase("what was typed must be a text of at most 40 characters")
        if not _is_number(value["si"]) or not abs(value["si"]) <= _LARGEST_SI:
            return phrase("give a number")
        return None


class _Data(_Declared, fields.Raw):
    def problem(self, value):
        size = len(json.dumps(value, ensure_ascii=False, separators=(",", ":")))
        most = self.declared["max"]
        told = phrase("at most {max} characters; this has {size}", max=most, size=size)
        return told if size > most else None


_FIELDS: dict[str, type] = {
    "text": _Text,
    "choice": _Choice,
    "choices": _Choices,
    "number": _Number,
    "integer": _Integer,
    "flag": _Flag,
    "date": _Date,
    "quantity": _Quantity,
    "data": _Data,
}
