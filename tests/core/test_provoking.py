"""Under which conditions the miss comes, as complaint and drives tell it."""

import pytest

from coiltrail.core import casefile
from coiltrail.core import provoking as core_provoking
from demo_fixtures.logbook import Logbook, quantity


def provoking(log: Logbook) -> list[str]:
    return casefile.view(casefile.fold(log.entries))["provoking"]


@pytest.mark.parametrize(
    ("circumstances", "told"),
    [
        (("cold", "load"), ["cold", "load"]),
        (("cold", "sometimes"), ["cold"]),
        (("cold", "hot", "wet"), ["wet"]),
        (("always", "cold"), []),
        ((), []),
    ],
)
def test_the_complaint_says_what_a_drive_is_to_bring_about(circumstances, told):
    log = Logbook("complained")
    log.complaint("shakes", circumstances=circumstances)
    assert provoking(log) == told


def test_a_freeze_frame_says_it_where_nobody_else_does():
    log = Logbook("framed")
    log.complaint("jerks")
    cold = quantity("20 °C", "temperature")
    log.codes("P0302", freeze_frame={"code": "P0302", "rpm": 2400, "load": 80, "coolant": cold})
    assert provoking(log) == ["cold", "load"]
    log.complaint("jerks", circumstances=("hot",))
    assert provoking(log) == ["hot"]
    log.complaint("jerks", circumstances=("always",))
    assert provoking(log) == []


def test_the_frame_of_a_code_that_stands_apart_says_nothing():
    log = Logbook("apart")
    log.complaint("jerks")
    log.codes("P0302", "P0420", freeze_frame={"code": "P0420", "rpm": 2400, "load": 80})
    assert provoking(log) == []


def test_a_drive_is_made_as_the_frame_kept_the_engine():
    log = Logbook("so")
    log.complaint("jerks", circumstances=("load",))
    warm = quantity("90 °C", "temperature")
    log.codes("P0302", freeze_frame={"code": "P0302", "rpm": 2400, "load": 80, "coolant": warm})
    lines = core_provoking.drive_so(casefile.fold(log.entries))
    assert lines[0] == "It misses under load: bring that about."
    assert "2400\u00a0rpm, 80\u00a0% load, coolant 90\u00a0°C" in lines[1]


def test_nothing_is_known_before_there_is_a_complaint():
    assert provoking(Logbook("silent")) == []


def test_a_drive_that_missed_says_it_better_and_a_clean_one_says_nothing():
    log = Logbook("driven")
    log.complaint("shakes", circumstances=("cold",))
    log.drive(10, conditions=["hot"])
    assert provoking(log) == ["cold"]
    log.drive(10, felt="sometimes", conditions=["load", "wet"])
    assert provoking(log) == ["load", "wet"]
