"""The phone's check of a body and the shop's give the same verdicts."""

import json
from datetime import date
from typing import Any

import pytest

from coiltrail.core import engine, entries
from coiltrail.store.entry_check import BODY_SCHEMAS

from .bodies import BY_HAND, UUID, by_chance, opened
from .conftest import run

CHECK_ALL = """(async () => {
    await kinds.declaration();
    return arg.map(([kind, text]) => kinds.checkBody(kind, JSON.parse(text)));
})()"""


FIRING_ORDER = {"engine.firing_order"}


def on_phone(page, bodies: list[tuple[str, dict]]) -> list[list[dict[str, str]]]:
    """The problems that the phone sees in each body; both sides read the same JSON."""
    return run(page, CHECK_ALL, [[kind, json.dumps(body)] for kind, body in bodies])


def in_shop(kind: str, body: dict) -> dict[str, list[str]]:
    """Path -> messages that the shop's schemas have for a body, its firing order judged by the core."""
    found = dict(_flat(BODY_SCHEMAS[kind].validate(json.loads(json.dumps(body)))))
    if not found and kind == "case_opened":
        laid_out = body["engine"]
        problems = engine.layout_problems(laid_out["cylinders"], firing_order=laid_out.get("firing_order"))
        found = {problem["field"]: [problem["message"]] for problem in problems}
    return found


def _flat(errors: Any, path: str = ""):
    if isinstance(errors, list):
        yield path, errors
        return
    for key, inner in errors.items():
        yield from _flat(inner, path if key == "_schema" else f"{path}.{key}".strip("."))


def test_every_body_of_the_table_gets_the_verdict_it_deserves_on_both_sides(page):
    verdicts = on_phone(page, [(kind, body) for kind, body, _ in BY_HAND])
    for (kind, body, wrong), problems in zip(BY_HAND, verdicts, strict=True):
        assert [problem["field"] for problem in problems] == ([wrong] if wrong else []), (kind, body)
        assert list(in_shop(kind, body)) == ([wrong] if wrong else []), (kind, body)


def test_bodies_drawn_by_chance_get_the_same_verdicts(page):
    bodies = by_chance(150)
    verdicts = on_phone(page, bodies)
    good = 0
    for (kind, body), problems in zip(bodies, verdicts, strict=True):
        fields, expected = {problem["field"] for problem in problems}, set(in_shop(kind, body))
        assert bool(fields) == bool(expected), (kind, body)
        # The shop judges the firing order only when nothing else is wrong.
        assert fields - FIRING_ORDER == expected - FIRING_ORDER, (kind, body)
        good += not problems
    # Enough of both kinds that the comparison means something.
    assert len(bodies) * 0.1 < good < len(bodies) * 0.9


@pytest.mark.parametrize(
    ("kind", "body", "words"),
    [
        ("note", {}, "Text: fill this in."),
        ("complaint", {"words": "x" * 4001}, "In the customer's words: at most 4000 characters; this has 4001."),
        ("check", {"check": "drop", "cylinder": 0}, "Cylinder: give a whole number from 1 to 12."),
        ("complaint", {"lamp": "on"}, "Warning lamp: choose from: Off, Steady, Flashing, On, it has flashed."),
        ("tag_bound", {"code": "7", "part": UUID}, "Tag: type the ten characters printed on the tag."),
        ("complaint", {"since": "9999-01-01"}, "9999-01-01 is in the future; give today or an earlier day."),
    ],
)
def test_a_message_names_the_field_and_the_remedy(page, kind, body, words):
    (problems,) = on_phone(page, [(kind, body)])
    assert words in problems[0]["message"]


def test_a_model_year_is_at_most_two_ahead_and_one_that_was_recorded_before_stays_good(page):
    newest = date.today().year + 2
    bodies = [("case_opened", opened(vehicle={"year": year})) for year in (newest, newest + 1)]
    fine, late = on_phone(page, bodies)
    assert fine == []
    assert [problem["message"] for problem in late] == [f"Model year: give a whole number from 1950 to {newest}."]
    assert [in_shop(kind, body) for kind, body in bodies] == [{}, {}]


def test_a_body_over_the_limit_is_refused(page):
    body = {"text": "x", "from_a_newer_version": "y" * entries.BODY_LIMIT}
    (problems,) = on_phone(page, [("note", body)])
    assert problems[0]["field"] == "body" and str(entries.BODY_LIMIT) in problems[0]["message"]


def test_a_kind_that_this_release_does_not_know_is_refused(page):
    (problems,) = on_phone(page, [("seance", {})])
    assert problems[0]["field"] == "kind"
