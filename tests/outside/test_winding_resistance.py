"""Resistance of copper and temperature: IEC 60028, coefficient as read in NBS Handbook 100."""

import pytest

from coiltrail.core import measures


def test_coefficient():
    """0.00393 per kelvin at 20 °C, NBS Handbook 100."""
    assert measures.COPPER_PER_KELVIN == 0.00393


@pytest.mark.parametrize(("celsius", "ohms"), [(0, 9.214), (20, 10.0), (60, 11.572), (75, 12.1615), (100, 13.144)])
def test_ten_ohms_at_twenty_degrees(celsius, ohms):
    """10 Ω at 20 °C, computed from the coefficient of NBS Handbook 100."""
    kelvin = measures.to_si(celsius, "°C")
    assert measures.resistance_at(10.0, measures.REFERENCE_KELVIN, kelvin) == pytest.approx(ohms, rel=1e-12)
    assert measures.resistance_at(ohms, kelvin) == pytest.approx(10.0, rel=1e-12)


def test_copper_of_less_conductivity_has_less_of_it():
    """NBS Handbook 100, worked example: the coefficient goes with the conductivity, 0.0036549 per kelvin at 93 %."""
    reduced = 0.93 * measures.COPPER_PER_KELVIN
    assert reduced == pytest.approx(0.0036549, abs=5e-8)
