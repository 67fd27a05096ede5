"""A surface reading with whatever it did not tell, winds aloft, and the conditions that come of them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from service.flight.humidity import ICE_POINT_K, saturation_vapour_pressure_pa
from service.models.conditions import Conditions, WindLevel

REPORT_WIND_HEIGHT_M = 10.0  # WMO-No. 8: surface wind is measured 10 m above open ground
HAND_WIND_HEIGHT_M = 2.0  # an arm held up


@dataclass(frozen=True)
class SurfaceReading:
    """What was observed near the ground at one time. None is "not told"; `notes` are sentences for the reader."""

    observed_at: datetime
    source: str
    speed_mps: float
    from_deg: float
    arc_deg: float | None = None
    gust_mps: float | None = None
    wind_height_m: float = REPORT_WIND_HEIGHT_M
    temperature_c: float | None = None
    pressure_hpa: float | None = None
    relative_humidity: float | None = None
    cloud_cover: float | None = None
    cloud_base_m: float | None = None
    visibility_m: float | None = None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Aloft:
    """Winds above the surface layer, lowest first, as valid at one time; for use until another, if that was told."""

    levels: tuple[WindLevel, ...]
    source: str
    valid_at: datetime
    use_from: datetime | None = None
    use_until: datetime | None = None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Intake:
    """Conditions ready to be entered, and what the person who enters them should know."""

    conditions: Conditions
    notes: tuple[str, ...] = ()


def humidity_from_dew_point(temperature_c: float, dew_point_c: float) -> float:
    """Relative humidity over water from a dew point at or below the temperature. [fraction]

    >>> round(humidity_from_dew_point(20.0, 10.0), 3)
    0.525
    """
    dew, air = (saturation_vapour_pressure_pa(each + ICE_POINT_K) for each in (dew_point_c, temperature_c))
    return float(min(1.0, dew / air))
