"""What readings come to: each against the maker's range, the round, or what is usual; and what is left open."""

import json

import pytest

from coiltrail.core import bridge, casefile, grading
from demo_fixtures.logbook import Logbook, quantity


def graded(check: str, log: Logbook | None = None, **body) -> str | None:
    log = log or Logbook("grading")
    entry = log.check(check, **body)
    return grading.finding_of(casefile.fold(log.entries), entry)


def round_of(check: str, readings: dict[int, str], dimension: str, kind: str | None = None, **more) -> list[str | None]:
    log = Logbook("round", len(readings))
    log.entries[0]["body"].update(more)
    same = log.new_id()
    rows = []
    for number, text in readings.items():
        where = {"place": f"{kind}.{number}"} if kind else {"cylinder": number}
        rows.append(log.check(check, round=same, reading=(text, dimension), **where))
    case = casefile.fold(log.entries)
    return [grading.finding_of(case, entry) for entry in rows]


def test_a_finding_that_was_given_counts_whatever_the_reading():
    log = Logbook("given")
    log.check("compression", cylinder=1, reading=("170 psi", "pressure"))
    low = log.check("compression", "good", cylinder=2, reading=("60 psi", "pressure"))
    case = casefile.fold(log.entries)
    assert grading.finding_of(case, low) == "good"
    assert grading.grade(case, low)[0] == "low"


@pytest.mark.parametrize(
    ("before", "during", "cylinders", "finding"),
    [(750, 748, 4, "none"), (750, 730, 4, "small"), (750, 700, 4, "full"), (650, 635, 8, "full")],
)
def test_a_drop_by_engine_speed(before, during, cylinders, finding):
    log = Logbook("speed", cylinders, "vee")
    assert graded("drop", log, cylinder=1, rpm_before=before, rpm_during=during) == finding


@pytest.mark.parametrize(
    ("during", "says"),
    [
        (720, "The engine speed did not fall: this cylinder does no work."),
        (716, "The engine speed fell by only 4 rpm (0.6 %), hardly anything: this cylinder does no work."),
        (700, "The engine speed fell by 20 rpm (2.8 %): this cylinder works, but little; 3.8 % would be well."),
        (610, "The engine speed fell by 110 rpm (15.3 %): this cylinder works."),
    ],
)
def test_a_drop_says_by_how_much_the_speed_fell_and_what_that_means(during, says):
    log = Logbook("told")
    entry = log.check("drop", cylinder=1, rpm_before=720, rpm_during=during)
    assert grading.grade(casefile.fold(log.entries), entry)[1].replace("\u00a0", " ") == says


# Windings


@pytest.mark.parametrize(
    ("ohms", "limits", "finding"),
    [
        ("0.8", "0.7-0.9", "in_range"),
        ("1.1", "0.7-0.9 Ω", "out_of_range"),
        ("0.2", "0.7-0.9", "out_of_range"),
        ("9 kΩ", "7-12 kΩ", "in_range"),
        ("500 kΩ", "7-12 kΩ", "open"),
        ("8.1", "0.8 kΩ ± 10 Ω", "out_of_range"),
    ],
)
def test_a_winding_against_the_makers_range(ohms, limits, finding):
    assert graded("coil_secondary", place="coil.2", reading=(ohms, "resistance"), limits=limits) == finding


def test_a_hot_winding_is_brought_to_twenty_degrees_first():
    """0.99 Ω at 80 °C is 0.80 Ω at 20 °C (0.00393 per kelvin, IEC 60028)."""
    hot = {"place": "coil.2", "reading": ("0.99 Ω", "resistance"), "limits": "0.7-0.9 Ω"}
    assert graded("coil_primary", **hot) == "out_of_range"
    assert graded("coil_primary", temperature=quantity("80 °C", "temperature"), **hot) == "in_range"
    assert graded("injector_resistance", **(hot | {"place": "injector.2"})) == "out_of_range"


def test_windings_without_a_range_are_compared_with_each_other():
    readings = {1: "12.1", 2: "12.0", 3: "8.2", 4: "12.2"}
    found = round_of("injector_resistance", readings, "resistance", "injector")
    assert found == ["in_range", "in_range", "out_of_range", "in_range"]


@pytest.mark.parametrize(
    ("ohms", "finding"), [("0.7", "in_range"), ("4", None), ("40", "out_of_range"), ("900", "open")]
)
def test_a_winding_alone_and_without_a_range_is_judged_only_where_it_is_far_off(ohms, finding):
    assert graded("coil_primary", place="coil.1", reading=(ohms, "resistance")) == finding


def test_an_injector_alone_and_without_a_range_is_left_open():
    assert graded("injector_resistance", place="injector.1", reading=("12", "resistance")) is None


@pytest.mark.parametrize(("ohms", "limits", "finding"), [("6 kΩ", "3-8 kΩ", "in_range"), ("6 kΩ", None, None)])
def test_a_lead_goes_by_its_range_alone(ohms, limits, finding):
    assert graded("boot_resistance", place="boot.1", reading=(ohms, "resistance"), limits=limits) == finding


# Compression and what belongs to it


def test_compression_is_compared_within_its_round():
    found = round_of("compression", {1: "170 psi", 2: "120 psi", 3: "35 psi", 4: "165 psi"}, "pressure")
    assert found == ["good", "low", "none", "good"]


def test_a_round_in_the_mountains_is_held_against_the_range_at_sea_level():
    """At 2,000 m the air has 78.5 % of its pressure: 120 psi there are 153 psi at sea level."""
    high_up = {"altitude": quantity("2000 m", "length")}
    log = Logbook("mountain")
    log.entries[0]["body"].update(high_up)
    reading = {"cylinder": 2, "reading": ("120 psi", "pressure"), "limits": "min 140 psi"}
    assert graded("compression", log, **reading) == "good"
    assert graded("compression", **reading) == "low"
    assert round_of("compression", {1: "130 psi", 2: "128 psi"}, "pressure", **high_up) == ["good", "good"]


def test_one_compression_alone_says_nothing_unless_next_to_nothing_burns():
    assert graded("compression", cylinder=2, reading=("120 psi", "pressure")) is None
    assert graded("compression", cylinder=2, reading=("15 psi", "pressure")) == "none"


@pytest.mark.parametrize(("wet", "finding"), [("95 psi", "same"), ("120 psi", "rises")])
def test_compression_with_oil_is_held_against_the_same_cylinder_dry(wet, finding):
    log = Logbook("wet")
    assert graded("compression_wet", log, cylinder=2, reading=(wet, "pressure")) is None
    log.check("compression", "low", cylinder=3, reading=("60 psi", "pressure"))
    log.check("compression", "low", cylinder=2, reading=("90 psi", "pressure"))
    assert graded("compression_wet", log, cylinder=2, reading=(wet, "pressure")) == finding


@pytest.mark.parametrize(("share", "finding"), [("5 %", "good"), ("15 %", "worn"), ("40 %", "high")])
def test_leak_down(share, finding):
    assert graded("leak_down", cylinder=2, reading=(share, "share")) == finding


# Plug, fuel, voltage


@pytest.mark.parametrize(
    ("gap", "limits", "finding"),
    [
        ("0.9 mm", None, "in_range"),
        ("1.4 mm", None, "wide"),
        ("0.4 mm", None, "narrow"),
        ("1.3 mm", "1.2-1.4 mm", "in_range"),
        ("0.044 in", "0.028-0.032 in", "wide"),
    ],
)
def test_a_plug_gap(gap, limits, finding):
    assert graded("plug_gap", place="plug.1", reading=(gap, "gap"), limits=limits) == finding


def test_injectors_are_balanced_against_each_other():
    readings = {1: "55 kPa", 2: "57 kPa", 3: "30 kPa", 4: "56 kPa"}
    assert round_of("injector_balance", readings, "pressure", "injector")[2] == "less"
    assert round_of("injector_balance", {1: "55 kPa", 2: "57 kPa", 3: "90 kPa", 4: "56 kPa"}, "pressure", "injector")[
        2
    ] == ("more")
    assert round_of("injector_balance", {1: "55 kPa", 2: "57 kPa", 3: "58 kPa"}, "pressure", "injector") == ["even"] * 3
    assert round_of("injector_balance", {1: "55 kPa", 2: "20 kPa"}, "pressure", "injector") == [None, None]


@pytest.mark.parametrize(
    ("pressure", "limits", "finding"),
    [
        ("3.0 bar", None, None),
        ("3.0 bar", "2.8-3.2 bar", "in_range"),
        ("1.9", "2.8-3.2", "low"),
        ("4", "max 3.2", "high"),
    ],
)
def test_fuel_pressure_goes_by_the_makers_range(pressure, limits, finding):
    body = {"reading": quantity(pressure, "pressure", "bar"), "limits": limits}
    assert graded("fuel_pressure", **body) == finding


@pytest.mark.parametrize(("volts", "finding"), [("14.2", "good"), ("11.6", "low"), ("15.6", "too_high")])
def test_system_voltage(volts, finding):
    assert graded("voltage", reading=(volts, "voltage")) == finding


@pytest.mark.parametrize(("volts", "finding"), [("12.1", "good"), ("8", "low"), ("0", "none")])
def test_voltage_at_a_coil(volts, finding):
    assert graded("coil_supply", place="coil.1", reading=(volts, "voltage")) == finding


@pytest.mark.parametrize(
    ("idle", "fast", "finding"),
    [
        ((2, 3), (1, 2), "normal"),
        ((12, 9), (3, 4), "lean_idle"),
        ((1, 3), (12, 10), "lean_load"),
        ((8, 6), (7, 6), "lean_both"),
        ((-8, -9), (1, 0), "rich"),
        ((None, 18), (None, 2), "lean_idle"),
        ((9, 9), (None, None), None),
        ((-12, None), (None, None), "rich"),
    ],
)
def test_fuel_trims(idle, fast, finding):
    body = {"short_trim_idle": idle[0], "long_trim_idle": idle[1]}
    body |= {"short_trim_fast": fast[0], "long_trim_fast": fast[1]}
    assert graded("fuel_trim", **body) == finding


# Counters


@pytest.mark.parametrize(
    ("counts", "findings"),
    [
        ((0, 140, 3, 1), ("none", "many", "none", "none")),
        ((0, 1200, 40, 0), ("none", "many", "none", "none")),
        ((0, 20, 18, 0), ("none", "some", "some", "none")),
    ],
)
def test_misfire_counts_are_compared_within_their_round(counts, findings):
    log = Logbook("counters")
    same = log.new_id()
    rows = [log.check("misfire_counts", cylinder=c, count=n, round=same) for c, n in enumerate(counts, 1)]
    case = casefile.fold(log.entries)
    assert tuple(grading.finding_of(case, row) for row in rows) == findings


@pytest.mark.parametrize(
    ("frame", "condition"),
    [
        ({"rpm": 780}, "idle"),
        ({"rpm": 780, "speed": quantity("0 km/h", "speed")}, "idle"),
        ({"rpm": 1000, "speed": quantity("30 km/h", "speed")}, "load"),
        ({"rpm": 2600}, "load"),
        ({"rpm": 1400, "load": 80}, "load"),
        ({"rpm": 1400}, None),
        ({}, None),
    ],
)
def test_when_a_freeze_frame_was_taken(frame, condition):
    assert grading.frame_condition(frame) == condition


# The page asks before anything is recorded


def ask(log: Logbook, **body) -> dict:
    return json.loads(bridge.answer("grade", json.dumps({"entries": log.entries, "body": body})))


def test_the_page_is_told_what_a_reading_comes_to_before_it_is_recorded():
    log = Logbook("asked")
    log.check("compression", cylinder=1, reading=("170 psi", "pressure"))
    told = ask(log, check="compression", cylinder=2, reading=quantity("95 psi", "pressure"))
    assert told == {"finding": "low", "text": "It is 56\u00a0% of the best cylinder."}


@pytest.mark.parametrize(
    ("body", "says"),
    [
        ({"check": "compression", "reading": "170"}, ""),
        ({"check": "compression", "rpm_before": "x"}, ""),
        ({"check": "fuel_pressure", "reading": quantity("3 bar", "pressure"), "limits": "about three"}, "Type a range"),
        ({"check": "no_such", "reading": quantity("3 bar", "pressure")}, ""),
        ({}, ""),
    ],
)
def test_what_cannot_be_graded_is_no_failure(body, says):
    told = ask(Logbook("odd"), **body)
    assert told["finding"] is None
    assert says in told["text"]
    assert bool(says) == bool(told["text"])
