"""The core answers every log with the same bytes on the shop's Python and on the phone's runtime."""

import json

import pytest

from coiltrail.core import measures, torque
from coiltrail.core.engine import IGNITIONS, LAYOUTS, MOST_CYLINDERS
from demo_fixtures import shop
from demo_fixtures.stories import STORIES, VARIETY
from tests.runtimes.runner import answers_on_cpython, answers_on_micropython

TOLD = {"explanations": [], "fixed": None}
# What infers anew takes the phone's runtime seconds; the last two are asked of some logs only.
ALWAYS = (("view", {}), ("diagnosis", {}), ("closing", {"diagnosis": TOLD}), ("report", {"diagnosis": TOLD}))
ALSO = (("why", {"index": 0}), ("report", {}))
ALSO_ASKED_OF = ("2", "8", "13a", "14a", "15", "newer", "before", "erased", "handed-over")
LOGS = {story.key: story.build().entries for story in STORIES + VARIETY}


def both(questions):
    """What each runtime answers, one line a question."""
    return answers_on_cpython(questions), answers_on_micropython(questions)


@pytest.mark.parametrize("key", LOGS)
def test_a_log_is_answered_alike(key):
    questions = ALWAYS + (ALSO if key in ALSO_ASKED_OF else ())
    here, phone = both([(question, {"entries": LOGS[key], **more}) for question, more in questions])
    for (question, _), from_here, from_phone in zip(questions, here, phone, strict=True):
        assert "error" not in json.loads(from_here), (question, from_here)
        assert from_phone == from_here, question


def test_every_engine_is_laid_out_alike():
    engines = [
        ("engine", {"cylinders": cylinders, "layout": layout, "ignition": ignition})
        for cylinders in range(MOST_CYLINDERS + 2)
        for layout, _ in LAYOUTS
        for ignition, _ in IGNITIONS
    ]
    here, phone = both(engines)
    assert phone == here
    assert {"engine", "problems"} >= {key for line in here for key in json.loads(line)}


def test_every_body_is_checked_alike():
    bodies = [("check_body", {"kind": entry["kind"], "body": entry["body"]}) for log in LOGS.values() for entry in log]
    here, phone = both(bodies)
    assert phone == here
    assert any(json.loads(line)["problems"] for line in here)


def test_every_torque_is_judged_alike():
    torques = [
        {"si": value * unit["factor"], "typed": str(value), "unit": unit["unit"]}
        for unit in measures.UNITS["torque"]
        for value in (0.4, 1.8, 8.1, 18, 95, 180, 1000)
    ]
    places = [{"place": place} for place in ("coil.1", "plug.2", "injector.3")]
    places += [{"place": "plug.1", "thread": thread} for thread, _ in torque.THREADS]
    bodies = [{"work": "replaced", "torque": one} | place for one in torques for place in places]
    here, phone = both([("torque", {"body": body, "units": {"torque": "lbf·ft"}}) for body in bodies])
    assert phone == here
    assert len({json.loads(line)["doubt"] is None for line in here}) == 2


def test_money_reports_and_claims_are_told_alike():
    built = shop.build()
    questions = [("terms", {"entries": built.own.entries})]
    for log in built.cases:
        questions += [
            ("report", {"entries": log.entries, "diagnosis": TOLD}),
            ("claim", {"entries": log.entries, "part": f"{log.case}.coil.2"}),
        ]
        priced = [entry["body"] for entry in log.entries if entry["kind"] == "priced"]
        questions += [("totals", {"entries": log.entries, "priced": body}) for body in priced]
    here, phone = both(questions)
    assert phone == here
    assert sum('"total"' in line for line in here) >= 4
