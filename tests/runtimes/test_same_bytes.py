"""The core answers every log with the same bytes on the shop's Python and on the phone's runtime."""

import json

import pytest

from coiltrail.core import bridge
from coiltrail.core.engine import IGNITIONS, LAYOUTS, MOST_CYLINDERS
from demo_fixtures.stories import STORIES, VARIETY
from tests.runtimes.runner import on_cpython, on_micropython

ANSWER = """
import json
from coiltrail.core import bridge

for question, arguments in json.loads(GIVEN):
    print(bridge.answer(question, arguments))
"""

# Questions about a whole log; those that the core does not answer yet join as soon as it does.
ABOUT_A_LOG = [question for question in ("view", "diagnosis", "report", "why") if question in bridge.QUESTIONS]
LOGS = {story.key: story.build().entries for story in STORIES + VARIETY}


def as_page(arguments):
    """JSON text as a page writes it."""
    return json.dumps(arguments, ensure_ascii=False, separators=(",", ":"))


def both(questions):
    """What each runtime answers, one line a question."""
    return on_cpython(ANSWER, questions).splitlines(), on_micropython(ANSWER, questions).splitlines()


@pytest.fixture(scope="module", params=ABOUT_A_LOG)
def answers(request):
    """(question, {key of the log: (here, phone)})."""
    more = {"index": 0} if request.param == "why" else {}
    here, phone = both([(request.param, as_page({"entries": log, **more})) for log in LOGS.values()])
    assert len(here) == len(phone) == len(LOGS)
    return request.param, dict(zip(LOGS, zip(here, phone, strict=True), strict=True))


@pytest.mark.parametrize("key", LOGS)
def test_a_log_is_answered_alike(answers, key):
    question, by_key = answers
    here, phone = by_key[key]
    assert "error" not in json.loads(here), (question, here)
    assert phone == here


def test_every_engine_is_laid_out_alike():
    engines = [
        ("engine", as_page({"cylinders": cylinders, "layout": layout, "ignition": ignition}))
        for cylinders in range(MOST_CYLINDERS + 2)
        for layout, _ in LAYOUTS
        for ignition, _ in IGNITIONS
    ]
    here, phone = both(engines)
    assert phone == here
    assert {"engine", "problems"} >= {key for line in here for key in json.loads(line)}


def test_every_body_is_checked_alike():
    bodies = [
        ("check_body", as_page({"kind": entry["kind"], "body": entry["body"]}))
        for log in LOGS.values()
        for entry in log
    ]
    here, phone = both(bodies)
    assert phone == here
    assert any(json.loads(line)["problems"] for line in here)
