"""The measurement itself: a table of all that was asked, and what could not be measured says why."""

import json
import re
from contextlib import contextmanager

import pytest

from coiltrail.bench import cases, diagnosis, runtimes
from coiltrail.bench.diagnosis import Figure
from coiltrail.cli import main
from coiltrail.trouble import Trouble

MB = 2**20
SMALL = cases.Shape(4, 0, "")


@pytest.fixture(autouse=True)
def few_entries(monkeypatch):
    monkeypatch.setattr(cases, "ENTRIES", 7)


@contextmanager
def told_at_once(*_):
    yield lambda what, entries, heap=MB, sampling=False: runtimes.OnPhone(12.0, 31.0, 3 * MB, max(heap, 5 * MB))


def test_a_table_is_printed(monkeypatch, capsys):
    monkeypatch.setattr(runtimes, "in_node", told_at_once)
    assert main(["bench", "diagnosis", "--quick", "--cylinders", "8", "--swaps", "0"]) == 0
    head, _, table = capsys.readouterr().out.partition("\n\n")
    assert "in Node" in head and "pyAgrum" in head
    _, _, row, _, heap = table.splitlines()
    assert row.startswith("8 cyl, 0 swaps ")
    for told in ("12 met (15)", "12 met (300)", "12 met (2000)", "3.0 met (32)"):
        assert f" {told}" in row
    assert re.match(r"8 cyl, 0 swaps +[\d.]+ +12 met \(15\) +31 +[\d.]+( of \d+)? +[\d.]+ (not )?met ", row)
    assert heap == "The smallest heap, a power of two, that is enough for 8 cyl, 0 swaps, in MB: 8.0 met (32)"


def test_programs_get_every_figure_with_its_target(capsys):
    with told_at_once() as ask:
        found = diagnosis.measured(cases.Shape(8, 1, "chain"), ask, 1, 0.0)
    assert list(found) == [
        *(f"posterior {place}" for place in ("CPython", "phone", "just started")),
        *(f"same network {place}" for place in ("library", "CPython")),
        *(f"diagnosis {place}" for place in ("CPython", "phone", "just started")),
        *(f"deeper_advice {place}" for place in ("CPython", "phone")),
        "heap phone",
    ]
    assert found["posterior CPython"] == found["same network library"] == Figure(None, "> 0 s")
    assert found["posterior phone"] == Figure(12.0, "", 40.0) and found["heap phone"] == Figure(3.0, "", 32)
    assert found["deeper_advice phone"].target == 2000.0


@pytest.mark.parametrize(
    ("figure", "said"),
    [
        (Figure(12.3), "12"),
        (Figure(1.26, "", 15.0), "1.3 met (15)"),
        (Figure(1300.0, "", 300.0), "1300 not met (300)"),
        (Figure(None, "> 60 s", 40.0), "> 60 s not met (40)"),
        (Figure(None, "too large"), "too large"),
        (Figure(24.0, "", None, " of 20"), "24 of 20"),
    ],
)
def test_a_figure_says_whether_its_target_is_met(figure, said):
    assert str(figure) == said


def test_the_smallest_heap_is_the_first_that_did_not_grow():
    with told_at_once() as ask:
        assert diagnosis.smallest_heap(SMALL, ask) == Figure(8, "", 32)


def test_the_heap_is_looked_at_on_the_phones_runtime():
    with runtimes.in_node(times=1, limit_s=60) as ask:
        seen = ask("posterior", SMALL.entries(), heap=2 * MB, sampling=True)
    assert 0 < seen.peak <= seen.heap and seen.ms > 0


def test_what_takes_too_long_or_fails_says_so():
    with pytest.raises(runtimes.TooLong):
        runtimes.on_cpython("posterior", SMALL.entries(), times=1, limit_s=0.0)
    with pytest.raises(Trouble, match="knows no question"):
        runtimes.on_cpython("what", SMALL.entries(), times=1, limit_s=60)
    with runtimes.in_node(times=1, limit_s=60) as ask, pytest.raises(Trouble, match="knows no question"):
        ask("what", SMALL.entries())


def test_cases_that_are_not_there_are_refused(capsys):
    assert main(["bench", "diagnosis", "--quick", "--cylinders", "5"]) == 1
    assert "--cylinders takes 4, 6, 8, 12" in capsys.readouterr().err
    assert main(["bench", "diagnosis", "--quick", "--swaps", "4"]) == 1
    assert "--swaps 0, 1, 2, 3, 5, 8" in capsys.readouterr().err


def test_programs_get_json(monkeypatch, capsys):
    others = {f"another {n}": Figure(2.0) for n in range(len(diagnosis.COLUMNS) - 1)}
    monkeypatch.setattr(diagnosis, "measured", lambda *_: {"posterior phone": Figure(1.0, "", 15.0)} | others)
    monkeypatch.setattr(diagnosis, "smallest_heap", lambda *_: Figure(8, "", 32))
    assert main(["bench", "diagnosis", "--quick", "--json", "--cylinders", "12", "--swaps", "8"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert [row["case"] for row in told["rows"]] == [
        {"cylinders": 12, "swaps": 8, "shape": shape} for shape in ("chain", "ring")
    ]
    assert told["rows"][0]["figures"]["posterior phone"]["target"] == 15.0
    assert told["smallest_heap"]["value"] == 8
