"""Gravity against the constants of WGS 84 and the standard atmosphere's table."""

import math

import pytest

from service.flight.gravity import normal_gravity_mps2, standard_gravity_mps2


@pytest.mark.parametrize(
    ("latitude_deg", "height_m", "printed", "tolerance"),
    [
        (0.0, 0.0, 9.7803253359, 1e-10),  # NIMA TR8350.2, Table 3.4
        (90.0, 0.0, 9.8321849378, 1e-9),  # NIMA TR8350.2, Table 3.4
        (-90.0, 0.0, 9.8321849378, 1e-9),
        (45.0, 0.0, 9.806197769, 1e-9),  # Somigliana's closed form, worked by hand
        (40.0, 3000.0, 9.7924456, 5e-8),  # second-order series in height, worked by hand
    ],
)
def test_normal_gravity(latitude_deg, height_m, printed, tolerance):
    assert normal_gravity_mps2(math.radians(latitude_deg), height_m) == pytest.approx(printed, rel=0, abs=tolerance)


def test_gravity_of_the_standard_atmosphere():
    # ISO 2533 row at 11 km, as printed
    assert standard_gravity_mps2(11_000.0) == pytest.approx(9.7728, rel=0, abs=0.00005)
