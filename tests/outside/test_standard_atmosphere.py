"""Air pressure by geometric altitude: US Standard Atmosphere 1976, against the library fluids."""

import pytest
from fluids.atmosphere import ATMOSPHERE_1976

from coiltrail.core import measures


@pytest.mark.parametrize("altitude", range(-500, 11000, 250))
def test_pressure_as_in_fluids(altitude):
    assert measures.air_pressure(altitude) == pytest.approx(ATMOSPHERE_1976(altitude).P, rel=1e-9)


@pytest.mark.parametrize(
    ("altitude", "pascal"),
    [
        (0, 101325),
        (500, 95461.29),
        (1000, 89876.29),
        (1500, 84559.68),
        (2000, 79501.42),
        (3000, 70121.16),
        (5000, 54048.29),
    ],
)
def test_pressure_as_listed(altitude, pascal):
    """Listed values computed with fluids beforehand; a second library, ambiance, agreed within 0.03 Pa."""
    assert measures.air_pressure(altitude) == pytest.approx(pascal, abs=0.006)
