"""Factors of units against Pint and against NIST SP 811, appendix B (its table from memory)."""

import pint
import pytest

from coiltrail.core import measures

PINT = pint.UnitRegistry()
IN_PINT = {
    "N·m": "newton * meter",
    "lbf·ft": "force_pound * foot",
    "lbf·in": "force_pound * inch",
    "kgf·m": "kilogram_force * meter",
    "kPa": "kilopascal",
    "bar": "bar",
    "psi": "psi",
    "Ω": "ohm",
    "kΩ": "kiloohm",
    "km": "kilometer",
    "mi": "mile",
    "m": "meter",
    "ft": "foot",
    "mm": "millimeter",
    "in": "inch",
    "m/s²": "meter / second ** 2",
    "km/h": "kilometer / hour",
    "mph": "mile / hour",
    "V": "volt",
    "%": "percent",
}


@pytest.mark.parametrize("unit", sorted(IN_PINT))
def test_factor_as_in_pint(unit):
    assert measures.to_si(1.0, unit) == pytest.approx(PINT.Quantity(1.0, IN_PINT[unit]).to_base_units().m, rel=1e-12)


@pytest.mark.parametrize(("unit", "name"), [("°C", "degC"), ("°F", "degF")])
@pytest.mark.parametrize("value", [-40.0, 0.0, 20.0, 212.0])
def test_temperature_as_in_pint(unit, name, value):
    assert measures.to_si(value, unit) == pytest.approx(PINT.Quantity(value, name).to("kelvin").m, rel=1e-12)


def test_every_unit_but_the_conventional_inch_of_mercury_is_compared_with_pint():
    assert set(measures.BY_UNIT) - set(IN_PINT) == {"°C", "°F", "inHg"}
    # Pint's inHg is that at 0 °C and standard gravity, SP 811's conventional one is rounded.
    assert measures.to_si(1.0, "inHg") == pytest.approx(PINT.Quantity(1.0, "inHg").to("pascal").m, rel=2e-7)


@pytest.mark.parametrize(
    ("unit", "si"),
    [
        ("lbf·ft", 1.355818),
        ("lbf·in", 0.1129848),
        ("kgf·m", 9.80665),
        ("psi", 6894.757),
        ("inHg", 3386.389),
        ("bar", 100000.0),
    ],
)
def test_factor_as_in_sp_811(unit, si):
    """NIST SP 811, appendix B, seven digits, from memory."""
    assert float(f"{measures.to_si(1.0, unit):.7g}") == si


def test_a_coil_hold_down_screw():
    """6 lbf·ft is 8.1 N·m: common practice, no source."""
    assert measures.show(measures.parse_quantity("6", "torque", "lbf·ft"), "N·m") == "8.1\xa0N·m"
