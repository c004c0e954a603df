"""What a phone measured comes to the same bytes on the shop's Python and on the phone's runtime."""

import json

from tests.core.running_engine import Running
from tests.runtimes.runner import answers_on_cpython, answers_on_micropython

# (cylinders, rpm, dead before, dead during, speed during, how it is sampled)
ENGINES = (
    (4, 750.0, (), (2,), 0.93, {}),
    (8, 700.0, (3,), (3,), 1.0, {"jitter": 0.003}),
    (6, 820.0, (), (1,), 1.0, {"sound_db": None}),
    (1, 900.0, (), (), 1.0, {"rate": 20.0}),
)


def asked(cylinders, rpm, before, during, slower, how):
    first = {
        "samples": Running(cylinders, rpm, before, seed=1, **how).samples(),
        "cylinders": cylinders,
        "rests": "cover",
    }
    [answer] = answers_on_cpython([("shake", first)])
    samples = Running(cylinders, rpm * slower, during, seed=2, **how).samples()
    return [
        ("shake", first),
        ("measured_drop", {"before": json.loads(answer), "samples": samples, "cylinders": cylinders, "age": 30}),
    ]


def test_recordings_are_judged_alike():
    questions = [question for engine in ENGINES for question in asked(*engine)]
    here, phone = answers_on_cpython(questions), answers_on_micropython(questions)
    assert phone == here
    told = [json.loads(answer) for answer in here]
    assert [answer.get("finding") for answer in told[1::2]] == ["full", "none", None, None]
    assert all("error" not in answer for answer in told)
