"""Whether an entry that arrives may join the log.

The kinds come from ``core.entries`` alone. A kind or field that a newer version recorded passes untouched.
``at`` is never held against a clock: a phone's clock can be days off, and the work was done all the same.
"""

import json
from typing import Any

from marshmallow import INCLUDE, Schema, ValidationError, fields

from ..core import entries
from .clock import now_ms
from .fields import field_of, first_problem, schema_of

DAY_MS = 86_400_000
DEEPEST = 32  # levels of lists and objects in one entry; the kinds need six
ENVELOPE_ROOM = 4096  # bytes an entry may have around its body
_LARGEST = 2**53 - 1  # the largest whole number that JavaScript holds exactly


class _Clock(fields.Field):
    """``[milliseconds, counter]``."""

    def _deserialize(self, value, attr, data, **kwargs):
        if isinstance(value, list) and len(value) == 2 and all(is_count(part) for part in value):
            return value
        raise ValidationError("Time recorded: give milliseconds and counter, two whole numbers.")


class _When(fields.Field):
    """null, ``{"ms": milliseconds}`` or ``{"before_arrival": 1}``."""

    def _deserialize(self, value, attr, data, **kwargs):
        if not _is_time(value):
            raise ValidationError("When it happened: give a time, or its order before arrival (1, 2, ...), or nothing.")
        if value.get("ms", 0) > now_ms() + DAY_MS:
            raise ValidationError("When it happened: this is in the future; give today or an earlier time.")
        return value


def _is_time(value: Any) -> bool:
    if not isinstance(value, dict) or len(value) != 1:
        return False
    order = value.get("before_arrival")
    return is_count(value.get("ms")) or (is_count(order) and 1 <= order <= 1000)


def _one(name: str, schema: dict[str, Any]) -> dict[str, Any]:
    """The documentation of an object with one field."""
    return {"type": "object", "required": [name], "properties": {name: schema}, "additionalProperties": False}


def is_count(value: Any) -> bool:
    """Whether ``value`` is a whole number, 0 or more, that every runtime holds exactly."""
    return isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= _LARGEST


_WHOLE = {"type": "integer", "minimum": 0, "maximum": _LARGEST}
_CLOCK = {"type": "array", "minItems": 2, "maxItems": 2, "items": _WHOLE, "description": "Milliseconds and counter."}
_WHEN = {
    "oneOf": [
        _one("ms", _WHOLE | {"description": "Milliseconds since 1970 UTC; at most a day ahead."}),
        _one("before_arrival", {"type": "integer", "minimum": 1, "maximum": 1000}),
    ],
    "description": "When it happened, where not as it was recorded.",
}


def _envelope_text(label: str, most: int, pattern: str | None = None) -> fields.Field:
    hint = entries.HINTS.get(pattern)
    declared = {"type": "text", "label": label, "max": most, "pattern": pattern, "hint": hint, "required": True}
    return field_of(declared)


class EnvelopeSchema(Schema):
    """What stands around every body."""

    class Meta:
        unknown = INCLUDE

    id = _envelope_text("Entry", 36, entries.UUID_PATTERN)
    case = _envelope_text("Case", 36, entries.UUID_PATTERN)
    kind = _envelope_text("Kind", 40, "[a-z_]+")
    at = _Clock(required=True, metadata=_CLOCK, error_messages={"required": "Time recorded: it is missing."})
    when = _When(allow_none=True, load_default=None, metadata=_WHEN)
    device = _envelope_text("Device", 36, entries.UUID_PATTERN)
    n = field_of({"type": "integer", "label": "Number on the device", "min": 1, "max": _LARGEST, "required": True})
    by = _envelope_text("Recorded by", 64)
    body = fields.Dict(
        required=True,
        error_messages={
            "required": "Body: it is missing.",
            "null": "Body: it is missing.",
            "invalid": "Body: give the fields as an object.",
        },
    )


_ENVELOPE = EnvelopeSchema()
BODY_SCHEMAS: dict[str, Schema] = {
    kind["kind"]: schema_of(kind["fields"], kind["label"])() for kind in entries.BY_KIND.values()
}


def problem_of(entry: Any) -> dict[str, str] | None:
    """What keeps ``entry`` from the log as ``{"field", "message"}``, or None."""
    if not isinstance(entry, dict):
        return {"field": "", "message": "An entry must be an object with id, case, kind and body."}
    if depth_of(entry, DEEPEST) > DEEPEST:
        return {"field": "body", "message": f"This entry is nested more than {DEEPEST} levels deep; flatten it."}
    return _envelope_problem(entry) or _body_problem(entry["kind"], entry["body"]) or _size_problem(entry)


def can_be_shown(entry: Any) -> bool:
    """Whether ``entry``, which the log cannot take, is an entry by its envelope: then phones can keep and show it."""
    if not isinstance(entry, dict) or depth_of(entry, DEEPEST) > DEEPEST:
        return False
    when = entry.get("when")
    return not set(_ENVELOPE.validate(entry)) - {"when"} and (when is None or _is_time(when))


def depth_of(value: Any, enough: int) -> int:
    """How many levels of lists and objects ``value`` has; stops counting beyond ``enough``."""
    depth, level = 0, [value]
    while depth <= enough:
        level = [v for v in level if isinstance(v, list | dict)]
        if not level:
            break
        depth += 1
        level = [inner for outer in level for inner in (outer.values() if isinstance(outer, dict) else outer)]
    return depth


def _envelope_problem(entry):
    errors = _ENVELOPE.validate(entry)
    return first_problem(errors) if errors else None


def _size_problem(entry):
    for part, limit in ((entry["body"], entries.BODY_LIMIT), (entry, entries.BODY_LIMIT + ENVELOPE_ROOM)):
        size = len(json.dumps(part, ensure_ascii=False, separators=(",", ":")).encode("utf-8", "surrogatepass"))
        if size > limit:
            message = f"This entry has {size} bytes; at most {limit} fit. Shorten its text or split it in two."
            return {"field": "body", "message": message}
    return None


def _body_problem(kind, body):
    schema = BODY_SCHEMAS.get(kind)
    if schema is None:
        return None  # recorded by a newer version
    errors = schema.validate(body)
    if errors:
        return first_problem(errors)
    problems = entries.body_rules(kind, body)
    return problems[0] if problems else None
