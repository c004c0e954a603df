import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coiltrail.core import entries, measures

UNITS = [(dimension, row["unit"]) for dimension in measures.UNITS for row in measures.UNITS[dimension]]


def test_the_table_is_plain_data_and_every_number_has_an_origin():
    assert json.loads(json.dumps(measures.UNITS)) == measures.UNITS
    for rows in measures.UNITS.values():
        for row in rows:
            assert sorted(row) == ["decimals", "factor", "offset", "origin", "unit"]
            assert row["origin"]


def test_each_region_begins_with_one_unit_of_a_dimension_and_says_why():
    begins = [(region, row["dimension"]) for row in measures.BEGINS for region in row["regions"]]
    assert len(begins) == len(set(begins))
    for row in measures.BEGINS:
        assert row["origin"]
        assert row["unit"] in [unit["unit"] for unit in measures.UNITS[row["dimension"]][1:]]


def test_no_unit_stands_in_two_dimensions():
    names = [row["unit"] for row in measures.UNITS["any"]]
    assert len(names) == len(set(names))
    assert sorted(names) == sorted({unit for _, unit in UNITS})


def _dimensions(fields):
    for field in fields:
        if "dimension" in field:
            yield field["dimension"]
        yield from _dimensions(field.get("fields", []))
        if "of" in field:
            yield from _dimensions([field["of"]])


def test_every_dimension_that_an_entry_declares_has_units():
    declared = {dimension for kind in entries.KINDS for dimension in _dimensions(kind["fields"])}
    assert declared <= set(measures.UNITS)


@pytest.mark.parametrize(
    ("text", "dimension", "unit", "si"),
    [
        ("6 ft-lb", "torque", "lbf·ft", 8.134907690),
        ("6 lb ft", "torque", "lbf·ft", 8.134907690),
        ("72 in-lbs", "torque", "lbf·in", 8.134907690),
        ("8,1", "torque", "N·m", 8.1),
        ("8.1 Nm", "torque", "N·m", 8.1),
        ("170 PSI", "pressure", "psi", 1172108.7398),
        ("12", "pressure", "kPa", 12000.0),
        ("0.85 ohms", "resistance", "Ω", 0.85),
        ("0,850 Ω", "resistance", "Ω", 0.85),
        ("12 k\u2126", "resistance", "kΩ", 12000.0),
        ("92,000 mi", "distance", "mi", 148059648.0),
        ("1.234,5 km", "distance", "km", 1234500.0),
        ("123 456 km", "distance", "km", 123456000.0),
        ("123\u00a0456\u00a0km", "distance", "km", 123456000.0),
        ("-10 °C", "temperature", "°C", 263.15),
        ("212 F", "temperature", "°F", 373.15),
        ('.044"', "gap", "in", 0.0011176),
        ("12.6V", "any", "V", 12.6),
        ("15 %", "any", "%", 0.15),
    ],
)
def test_what_is_typed_becomes_a_quantity(text, dimension, unit, si):
    quantity = measures.parse_quantity(text, dimension)
    assert quantity["unit"] == unit
    assert quantity["si"] == pytest.approx(si, rel=1e-9)
    assert quantity["typed"] in text.replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("text", "dimension", "told"),
    [
        ("", "torque", "Type a number"),
        ("tight", "torque", "Type a number"),
        ("5 psi", "torque", "use N·m, lbf·ft"),
        ("5 furlongs", "distance", "use km, mi"),
        ("1.2.3", "torque", "is not a number"),
        ("9" * 400, "torque", "is not a number"),
    ],
)
def test_what_is_no_quantity_gets_a_message_with_the_remedy(text, dimension, told):
    assert told in measures.parse_quantity(text, dimension)["message"]


@given(st.text(), st.sampled_from(sorted(measures.UNITS)))
def test_no_text_breaks_the_reading(text, dimension):
    answer = measures.parse_quantity(text, dimension)
    assert ("message" in answer) != ({"si", "typed", "unit"} <= answer.keys())
    limits = measures.tolerance(text, dimension)
    assert ("message" in limits) != ({"low", "high"} <= limits.keys())


@given(st.sampled_from(UNITS), st.floats(min_value=-1e6, max_value=1e6))
def test_there_and_back(unit, value):
    assert measures.from_si(measures.to_si(value, unit[1]), unit[1]) == pytest.approx(value, rel=1e-12, abs=1e-6)


def test_an_unknown_unit_is_an_error():
    with pytest.raises(ValueError, match="stone"):
        measures.to_si(1, "stone")


def test_quantities_are_shown_in_the_units_chosen():
    wide = measures.parse_quantity("118,900 km", "distance")
    tight = measures.parse_quantity("6 lbf·ft", "torque")
    measures.choose({"distance": "mi", "torque": "psi"})
    try:
        assert measures.show(wide) == "73,881\u00a0mi"
        assert measures.show(tight) == "6\u00a0lbf·ft"  # what was chosen is no unit of torque
    finally:
        measures.choose({})
    assert measures.show(wide) == "118,900\u00a0km"


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("999 km", "999"),
        ("1000 km", "1,000"),
        ("186000 km", "186,000"),
        ("1186000 mi", "1,186,000"),
        ("186.000 km", "186.000"),  # somebody's own marks stay
        ("9000.5 km", "9000.5"),
    ],
)
def test_the_thousands_of_a_distance_are_grouped(typed, shown):
    distance = measures.parse_quantity(typed, "distance")
    assert measures.show(distance) == f"{shown}\u00a0{distance['unit']}"


def test_what_is_no_distance_is_not_grouped():
    assert measures.show(measures.parse_quantity("12000 Ω", "resistance")) == "12000\u00a0Ω"


def test_a_quantity_is_shown_as_typed_or_converted():
    torque = measures.parse_quantity("6.0 ft-lb", "torque")
    assert measures.show(torque) == "6.0\u00a0lbf·ft"
    assert measures.show(torque, "N·m") == "8.1\u00a0N·m"
    assert measures.show(measures.parse_quantity("92,000 mi", "distance"), "km") == "148,060\u00a0km"


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("0.3-1.0 Ω", 0.3, 1.0),
        ("0.3 \u2013 1.0 Ω", 0.3, 1.0),
        ("0.6 ± 0.1", 0.5, 0.7),
        ("5 to 15 kΩ", 5000.0, 15000.0),
        ("max 20", None, 20.0),
        ("min. 100 ohm", 100.0, None),
    ],
)
def test_a_printed_specification_becomes_limits(text, low, high):
    limits = measures.tolerance(text, "resistance")
    assert limits["low"] == (low if low is None else pytest.approx(low))
    assert limits["high"] == (high if high is None else pytest.approx(high))


def test_a_tolerance_of_temperature_is_a_difference():
    limits = measures.tolerance("88 ± 2 °C", "temperature")
    assert limits == {"low": pytest.approx(359.15), "high": pytest.approx(363.15)}


@pytest.mark.parametrize("text", ["", "good", "1.0-0.3", "max", "0.3 - thick", "2 ± psi"])
def test_a_specification_that_cannot_be_read_gets_a_message(text):
    assert measures.tolerance(text, "resistance")["message"]


@pytest.mark.parametrize(
    ("si", "low", "high", "spread", "said"),
    [
        (0.5, 0.3, 1.0, 0.0, "within"),
        (0.2, 0.3, 1.0, 0.0, "below"),
        (1.2, 0.3, 1.0, 0.0, "above"),
        (1.04, 0.3, 1.0, 0.05, "at the edge"),
        (0.98, 0.3, 1.0, 0.05, "at the edge"),
        (5.0, None, 10.0, 0.0, "within"),
        (5.0, 10.0, None, 0.0, "below"),
    ],
)
def test_verdict(si, low, high, spread, said):
    assert measures.verdict(si, low, high, spread) == said


def test_a_hot_winding_is_brought_back_to_twenty_degrees():
    hot = measures.resistance_at(0.60, measures.REFERENCE_KELVIN, 363.15)
    assert hot == pytest.approx(0.60 * (1 + 0.00393 * 70))
    assert measures.resistance_at(hot, 363.15) == pytest.approx(0.60)


def test_compression_in_the_mountains_is_read_as_at_the_sea():
    at_2000 = measures.to_si(133.4, "psi")
    assert measures.from_si(measures.compression_at_sea_level(at_2000, 2000), "psi") == pytest.approx(170.0, abs=0.1)
    assert measures.compression_at_sea_level(1e6, 0) == pytest.approx(1e6)


@pytest.mark.parametrize("altitude", [-6000, 12000])
def test_altitudes_beyond_the_layer_are_refused(altitude):
    with pytest.raises(ValueError, match="Altitude"):
        measures.air_pressure(altitude)


@pytest.mark.parametrize(
    ("psi", "finding"), [(170, "good"), (130, "good"), (127, "low"), (95, "low"), (20, "none"), (0, "none")]
)
def test_compression_is_judged_against_the_best(psi, finding):
    assert measures.compression_finding(measures.to_si(psi, "psi"), measures.to_si(170, "psi")) == finding


def test_leak_down_in_words():
    assert [measures.leak_finding(share) for share in (0.05, 0.15, 0.3)] == ["good", "worn", "bad"]
