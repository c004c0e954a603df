"""The recording that is measured is one that the core can judge, on both runtimes."""

import json
from contextlib import contextmanager

import pytest

from coiltrail.bench import runtimes, shake
from coiltrail.cli import main
from coiltrail.core import bridge


@pytest.mark.parametrize("cylinders", shake.CYLINDERS)
def test_the_speed_of_its_engine_is_found(cylinders):
    asked = {"samples": shake.recording(cylinders), "cylinders": cylinders, "rests": "cover"}
    assert json.loads(bridge.answer("shake", json.dumps(asked)))["rpm"] == pytest.approx(shake.RPM, rel=0.01)


def test_a_line_for_each_engine_is_printed(monkeypatch, capsys):
    @contextmanager
    def told_at_once(*_):
        yield lambda what, asked: runtimes.OnPhone(12.0, 31.0, 0, 0)

    monkeypatch.setattr(runtimes, "in_node", told_at_once)
    monkeypatch.setattr(runtimes, "TIMES", 1)
    assert main(["bench", "shake"]) == 0
    rows = [line.split() for line in capsys.readouterr().out.splitlines()[3:]]
    assert [(row[0], *row[2:]) for row in rows] == [("4", "31", "12"), ("8", "31", "12"), ("12", "31", "12")]
