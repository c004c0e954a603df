"""Cars with a hidden fault, played to the end: it is found, and no part is bought that a check could have cleared."""

from collections.abc import Callable

import pytest

from coiltrail.core import advice, casefile, explanations
from demo_fixtures.logbook import Logbook
from tests.core.played import Car, Fault, play

LOAD = frozenset(["load"])
V6 = (6, "vee", "coil_on_plug")
I4 = (4, "inline", "coil_on_plug")


def car(seed: str, *faults: Fault, engine=I4, symptoms=("jerks",), when=("load",), conditions=("load",)) -> Car:
    log = Logbook(seed, *engine)
    log.complaint(*symptoms, circumstances=list(when))
    return Car(log, *faults, conditions=conditions)


def worn(number: int) -> Fault:
    return Fault(f"plug@{number}", LOAD, "sometimes", {"plug_look": "worn", "plug_gap": "wide"})


# A car, and the most steps that a mechanic would bear.
STORIES: dict[str, tuple[Callable[[], Car], int]] = {
    "a dead coil": (
        lambda: car("dead", Fault("coil@3", shows={"spark": "none", "plug_look": "wet"}), when=("always",)),
        12,
    ),
    "a coil that breaks down under load, on a six": (
        lambda: car("weak", Fault("coil@2", LOAD, "sometimes"), engine=V6),
        12,
    ),
    "a cracked plug": (
        lambda: car("cracked", Fault("plug@1", LOAD, "sometimes", {"plug_look": "cracked"})),
        14,
    ),
    "a carbon track in a boot, in the wet": (
        lambda: car("track", Fault("boot@3", LOAD, "sometimes", {"coil_look": "tracked"}), when=("wet", "load")),
        12,
    ),
    "a broken wire": (
        lambda: car(
            "wire",
            Fault(
                "coil_wiring@1", shows={"spark": "none", "coil_pulse": "absent", "plug_look": "wet"}, codes=("P0351",)
            ),
            when=("always",),
        ),
        14,
    ),
    "a dead coil of a pair": (
        lambda: car(
            "pair",
            Fault("coil@2", shows={"spark": "none"}, codes=("P0352",)),
            engine=(4, "inline", "waste_spark"),
            when=("always",),
        ),
        13,
    ),
    "all plugs worn": (lambda: car("worn", *[worn(number) for number in range(1, 5)]), 14),
    "all plugs worn, on a six": (lambda: car("worn six", *[worn(n) for n in range(1, 7)], engine=V6), 14),
}


@pytest.mark.parametrize("story", STORIES)
def test_the_fault_is_found_and_no_other_part_is_bought(story):
    build, most = STORIES[story]
    played = play(build())
    assert played.fixed, played.steps
    assert played.wrong == [], played.steps
    assert played.ended == "close"
    assert len(played.steps) <= most, played.steps


# Engine speeds and counts that come to a finding, on four cylinders as on six.
SPEEDS = {"none": (720.0, 719.0), "small": (720.0, 706.0), "full": (720.0, 610.0)}
COUNTS = {"none": 0, "some": 20, "many": 200}


def as_read(entry: dict) -> dict:
    """The entry with what was read in place of what it comes to."""
    body = dict(entry["body"])
    if entry["kind"] != "check" or body.get("check") not in ("drop", "misfire_counts"):
        return entry
    finding = body.pop("finding")
    if body["check"] == "drop":
        body["rpm_before"], body["rpm_during"] = SPEEDS[finding]
    else:
        body["count"] = COUNTS[finding]
    return entry | {"body": body}


def steps_of(entries: list[dict]) -> list[str]:
    return [step["key"] for step in advice.next_steps(explanations.Diagnosis(casefile.fold(entries)))]


@pytest.mark.parametrize("story", ["a dead coil", "a broken wire", "a dead coil of a pair"])
def test_readings_lead_the_same_way_as_the_findings_they_come_to(story):
    acted = STORIES[story][0]()
    play(acted)
    given = acted.log.entries
    read = [as_read(entry) for entry in given]
    assert read != given
    for length in range(2, len(given) + 1):
        assert steps_of(read[:length]) == steps_of(given[:length]), given[length - 1]["body"]
