"""Where the sun stands, and when it rises and sets: seconds off an ephemeris; hills move it by minutes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from geo.bearings import wrap_deg
from geo.errors import BadPosition
from geo.frame import check_position

RISE_ZENITH_DEG = 90.833  # refraction 34' and half the sun's width 16', sea horizon: the almanac's convention
CIVIL_ZENITH_DEG = 96.0  # sun's centre 6 degrees below the horizon: civil twilight


@dataclass(frozen=True)
class SunTimes:
    """Civil dawn, sunrise, sunset and civil dusk of the day whose noon falls on a date, in the zone asked for.

    A time is None where the sun does not cross that height on that day; then `sun` and `twilight` say why:
    "crosses", "above all day" or "below all day" (the heights being the horizon and 6 degrees below it).
    """

    dawn: datetime | None
    sunrise: datetime | None
    sunset: datetime | None
    dusk: datetime | None
    sun: str
    twilight: str


def sun_times(lon_deg: float, lat_deg: float, day: date, zone: tzinfo | str) -> SunTimes:
    """Sunrise and sunset, civil dawn and dusk for a place and date.

    Parameters
    ----------
    lon_deg, lat_deg : float
        East and north positive. [deg]
    day : date
        Local date.
    zone : tzinfo or str
        Of the times that come back, and of the date; a str is a name such as "America/Chicago".

    Raises
    ------
    BadPosition
        If the place is not on the Earth, the zone is not known, or the year is not 1900 to 2099.

    Notes
    -----
    Low-precision solar equations; within 6 s of the DE421 ephemeris for the five sites of the tests. The horizon
    is that of the sea: hills, height and the day's refraction move the times by minutes.

    References
    ----------
    .. [1] Meeus (1998), Astronomical Algorithms, 2nd ed., chapters 15, 22, 25, 28.
    .. [2] NOAA Earth System Research Laboratories, solar calculation details (the same equations).

    Examples
    --------
    >>> found = sun_times(-119.35, 40.65, date(2026, 9, 12), "America/Los_Angeles")
    >>> found.sunrise.strftime("%H:%M"), found.sunset.strftime("%H:%M")
    ('06:35', '19:11')
    """
    check_position(lon_deg, lat_deg)
    if not 1900 <= day.year <= 2099:
        raise BadPosition(f"the year {day.year} is beyond the solar equations; 1900 to 2099 are covered")
    where = _zone(zone)
    midnight = datetime.combine(day, time(0), UTC)
    noon = midnight + timedelta(minutes=_minutes(midnight, lon_deg, lat_deg, None))
    midnight -= timedelta(days=(noon.astimezone(where).date() - day).days)  # zones far from their longitude

    def crossings(zenith_deg: float) -> tuple[datetime | None, datetime | None, str]:
        found = []
        for side in (-1, 1):
            minutes: float = 720.0 - 4.0 * lon_deg
            for _ in range(4):
                minutes = _minutes(midnight, lon_deg, lat_deg, (zenith_deg, side), minutes)
                if not math.isfinite(minutes):
                    return None, None, "above all day" if minutes > 0.0 else "below all day"
            found.append((midnight + timedelta(minutes=minutes)).astimezone(where))
        return found[0], found[1], "crosses"

    sunrise, sunset, sun = crossings(RISE_ZENITH_DEG)
    dawn, dusk, twilight = crossings(CIVIL_ZENITH_DEG)
    return SunTimes(dawn, sunrise, sunset, dusk, sun, twilight)


def sun_position(lon_deg: float, lat_deg: float, at: datetime) -> tuple[float, float]:
    """Height of the sun's centre above the horizon as seen, with mean refraction, and its bearing. [deg, deg true]

    Raises
    ------
    BadPosition
        If the place is not on the Earth, or the time has no zone.
    """
    elevation_deg, bearing_deg = _geometric(lon_deg, lat_deg, at)
    return elevation_deg + _refraction_deg(elevation_deg), bearing_deg


def sun_is_up(lon_deg: float, lat_deg: float, at: datetime) -> bool:
    """Whether a time lies between sunrise and sunset, by the same convention as `sun_times`."""
    return _geometric(lon_deg, lat_deg, at)[0] >= 90.0 - RISE_ZENITH_DEG


def solar_declination_and_equation(at: datetime) -> tuple[float, float]:
    """Apparent declination of the sun and equation of time. [deg, min]

    Meeus (1998), chapters 22, 25 and 28; T in Julian centuries from 2000-01-01 12:00.
    """
    t = (at - datetime(2000, 1, 1, 12, tzinfo=UTC)).total_seconds() / 86400.0 / 36525.0
    longitude = math.radians((280.46646 + t * (36000.76983 + 0.0003032 * t)) % 360.0)
    anomaly = math.radians((357.52911 + t * (35999.05029 - 0.0001537 * t)) % 360.0)
    eccentricity = 0.016708634 - t * (0.000042037 + 1.267e-7 * t)
    centre_deg = (
        math.sin(anomaly) * (1.914602 - t * (0.004817 + 0.000014 * t))
        + math.sin(2.0 * anomaly) * (0.019993 - 0.000101 * t)
        + math.sin(3.0 * anomaly) * 0.000289
    )
    node = math.radians(125.04 - 1934.136 * t)
    apparent = longitude + math.radians(centre_deg - 0.00569 - 0.00478 * math.sin(node))
    obliquity = math.radians(
        23.0 + (26.0 + (21.448 - t * (46.815 + t * (0.00059 - 0.001813 * t))) / 60.0) / 60.0 + 0.00256 * math.cos(node)
    )
    declination_deg = math.degrees(math.asin(math.sin(obliquity) * math.sin(apparent)))
    y = math.tan(0.5 * obliquity) ** 2
    equation_min = 4.0 * math.degrees(
        y * math.sin(2.0 * longitude)
        - 2.0 * eccentricity * math.sin(anomaly)
        + 4.0 * eccentricity * y * math.sin(anomaly) * math.cos(2.0 * longitude)
        - 0.5 * y * y * math.sin(4.0 * longitude)
        - 1.25 * eccentricity**2 * math.sin(2.0 * anomaly)
    )
    return declination_deg, equation_min


def _zone(zone: tzinfo | str) -> tzinfo:
    if not isinstance(zone, str):
        return zone
    try:
        return ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise BadPosition(f"time zone {zone!r} is not known; give a name such as 'America/Chicago' or 'UTC'") from None


def _minutes(
    midnight: datetime, lon_deg: float, lat_deg: float, crossing: tuple[float, int] | None, guess_min: float = 720.0
) -> float:
    """Minutes after a UTC midnight of noon (crossing None), or of a zenith on one side of it (-1 before, 1 after).

    Infinite where the sun stays above that height, minus infinite where it stays below.
    """
    declination_deg, equation_min = solar_declination_and_equation(midnight + timedelta(minutes=guess_min))
    noon_min = 720.0 - 4.0 * lon_deg - equation_min
    if crossing is None:
        return noon_min
    zenith_deg, side = crossing
    latitude, declination = math.radians(lat_deg), math.radians(declination_deg)
    over = math.cos(math.radians(zenith_deg)) - math.sin(latitude) * math.sin(declination)
    under = math.cos(latitude) * math.cos(declination)  # above zero but at the poles
    if abs(over) > abs(under):
        return -math.inf if over > 0.0 else math.inf
    return noon_min + side * 4.0 * math.degrees(math.acos(over / under))


def _geometric(lon_deg: float, lat_deg: float, at: datetime) -> tuple[float, float]:
    check_position(lon_deg, lat_deg)
    if at.tzinfo is None:
        raise BadPosition(f"the time {at.isoformat()} has no offset; give one, such as {at.isoformat()}-05:00")
    utc = at.astimezone(UTC)
    declination_deg, equation_min = solar_declination_and_equation(utc)
    minutes = utc.hour * 60.0 + utc.minute + (utc.second + utc.microsecond * 1e-6) / 60.0
    hour_angle = math.radians((minutes + equation_min + 4.0 * lon_deg) / 4.0 - 180.0)
    latitude, declination = math.radians(lat_deg), math.radians(declination_deg)
    up = math.sin(latitude) * math.sin(declination) + math.cos(latitude) * math.cos(declination) * math.cos(hour_angle)
    east = -math.cos(declination) * math.sin(hour_angle)
    north = math.cos(latitude) * math.sin(declination) - math.sin(latitude) * math.cos(declination) * math.cos(
        hour_angle
    )
    elevation_deg = math.degrees(math.atan2(up, math.hypot(east, north)))
    return elevation_deg, wrap_deg(math.degrees(math.atan2(east, north)))


def _refraction_deg(elevation_deg: float) -> float:
    """Lift by the atmosphere at 1010 hPa and 10 °C. Saemundsson's formula in Meeus (1998), eq. 16.4."""
    if elevation_deg < -1.0:
        return 0.0
    return 1.02 / 60.0 / math.tan(math.radians(elevation_deg + 10.3 / (elevation_deg + 5.11)))
