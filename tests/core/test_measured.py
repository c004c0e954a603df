"""The shake before and after the repair, as the owner's report tells it."""

import pytest

from coiltrail.core import casefile, measured, report
from demo_fixtures.logbook import Logbook


def told(*steps):
    """What is told of a case with these shakes (rpm, m/s², more) and "repair" in this order."""
    log = Logbook("shaken")
    for step in steps:
        if step == "repair":
            log.replace("coil.2")
        elif step == "other phone":
            log.on_device()
        else:
            rpm, shake, *more = step
            log.shake(rpm, shake, **(more[0] if more else {}))
    return measured.before_and_after(casefile.fold(log.entries))


def test_the_last_before_and_the_last_after_are_compared():
    answer = told((760, "2.10"), (750, "1.80"), "repair", (752, "0.70"), (748, "0.60"))
    assert (answer["before"], answer["after"]) == (1.8, 0.6)
    assert answer["text"] == "At idle (748\u00a0rpm) the engine shakes 67\u00a0% less than before the repair."


@pytest.mark.parametrize(
    ("after", "says"),
    [
        ("1.90", "shakes as much as before"),
        ("1.60", "shakes as much as before"),
        ("2.40", "33\u00a0% more than before"),
    ],
)
def test_a_repair_that_did_not_help_is_told_as_such(after, says):
    assert says in told((750, "1.80"), "repair", (748, after))["text"]


@pytest.mark.parametrize(
    "steps",
    [
        [(750, "1.80"), (748, "0.60")],
        [(750, "1.80"), "repair"],
        ["repair", (748, "0.60")],
        [(750, "1.80"), "repair", (900, "0.60")],
        [(750, "1.80"), "repair", "other phone", (748, "0.60")],
        [(750, "1.80"), "repair", (748, "0.60", {"rests": "fender"})],
        [(750, "1.80"), "repair", (0, "0.60")],
    ],
)
def test_what_cannot_be_compared_is_not_told(steps):
    assert told(*steps) is None


def test_the_beat_of_a_weak_cylinder_is_told_where_it_was_felt_both_times():
    weak, even = {"half_order": "31"}, {"half_order": "4"}
    text = told((750, "1.80", weak), "repair", (748, "0.60", even))["text"]
    assert text.endswith("The beat of a weak cylinder was 31\u00a0% of it and is 4\u00a0% now.")
    assert "beat" not in told((750, "1.80", weak), "repair", (748, "0.60"))["text"]
    assert "beat" not in told((750, "1.80", weak), "repair", (748, "0.60", weak))["text"]


def test_it_stands_in_the_report():
    log = Logbook("report")
    log.shake(750, "1.80", half_order="31")
    log.replace("coil.2")
    log.shake(745, "0.60")
    case = casefile.fold(log.entries)
    assert report.report(case)["shake"]["after"] == 0.6
    assert casefile.row_text(case.log[1]) == "750\u00a0rpm, Shake 1.80\u00a0m/s², Half order 31\u00a0%"
