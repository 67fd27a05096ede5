"""How far a compass needle points from true north, by the World Magnetic Model, for the search with a hand compass."""

from __future__ import annotations

import math
from datetime import date

from geo.errors import BadPosition
from geo.frame import check_position

MODEL = "WMM2025"
FIRST_YEAR, LAST_YEAR = 2025.0, 2030.0  # the model's five years
COEFFICIENTS = "wmm/WMM_2025.COF"


def declination_deg(lon_deg: float, lat_deg: float, day: date, height_msl_m: float = 0.0) -> float | None:
    """Magnetic declination, positive to the east; None where it is not known. [deg]

    Not known: outside 2025 to 2029, near a magnetic pole where the model warns against compasses, or where the
    `pygeomag` library, which reads the model's coefficients, is not installed.

    References
    ----------
    .. [1] NOAA NCEI and British Geological Survey (2024), The US/UK World Magnetic Model for 2025-2030.
    """
    check_position(lon_deg, lat_deg)
    if not (math.isfinite(height_msl_m) and -1000.0 <= height_msl_m <= 100_000.0):
        raise BadPosition(f"a height of {height_msl_m} m is beyond the model; give -1,000 to 100,000 m")
    year = day.year + (day.timetuple().tm_yday - 1) / (366.0 if day.year % 4 == 0 else 365.0)
    if not FIRST_YEAR <= year < LAST_YEAR:
        return None
    try:
        from pygeomag import GeoMag
    except ImportError:
        return None
    model = GeoMag(coefficients_file=COEFFICIENTS)
    found = model.calculate(glat=lat_deg, glon=lon_deg, alt=height_msl_m / 1000.0, time=year)
    return None if found.in_blackout_zone else float(found.d)
