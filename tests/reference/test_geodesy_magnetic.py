"""Magnetic declination against the model's published test values."""

from datetime import date

import pytest

from geo.declination import declination_deg
from geo.errors import BadPosition

pytest.importorskip("pygeomag")


# WMM2025 test-value table, height 0, 2025.0 (recalled, and computed anew from the public coefficients)
@pytest.mark.parametrize("lat_deg,lon_deg,printed", [(80, 0, 1.28), (0, 120, -0.16), (-80, -120, 68.78)])
def test_model_test_values(lat_deg, lon_deg, printed):
    assert declination_deg(lon_deg, lat_deg, date(2025, 1, 1)) == pytest.approx(printed, abs=0.005)


def test_a_desert_site_in_the_middle_of_2026():
    # computed from the public coefficients with another program: 12.87 degrees east
    assert declination_deg(-119.35, 40.65, date(2026, 7, 2), 1190.0) == pytest.approx(12.87, abs=0.05)


def test_not_known_outside_the_model():
    assert declination_deg(-119.35, 40.65, date(2024, 12, 31)) is None
    assert declination_deg(-119.35, 40.65, date(2030, 1, 1)) is None
    # the north magnetic pole of 2025, near 85.8 N 139.3 E as its makers announced it (recalled)
    assert declination_deg(139.3, 85.8, date(2025, 6, 1)) is None
    with pytest.raises(BadPosition):
        declination_deg(-119.35, 40.65, date(2026, 1, 1), float("nan"))
