"""Directions: wrapping, compass words, true against magnetic. Degrees clockwise from north."""

from __future__ import annotations

import math

from geo.errors import BadPosition

COMPASS_POINTS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")


def wrap_deg(bearing_deg: float) -> float:
    """Bring a bearing into [0, 360). [deg]

    Examples
    --------
    >>> wrap_deg(-10.0), wrap_deg(725.0), wrap_deg(360.0)
    (350.0, 5.0, 0.0)
    """
    if not math.isfinite(bearing_deg):
        raise BadPosition(f"a bearing of {bearing_deg} is no direction; give degrees clockwise from north")
    wrapped = bearing_deg % 360.0
    return 0.0 if wrapped == 360.0 else wrapped  # -1e-17 % 360.0 is 360.0


def bearing_of_deg(east_m: float, north_m: float) -> float:
    """Bearing of a local offset, clockwise from north; 0 where the offset is nothing. [deg]

    Examples
    --------
    >>> bearing_of_deg(10.0, 0.0), bearing_of_deg(-1.0, -1.0)
    (90.0, 225.0)
    """
    return wrap_deg(math.degrees(math.atan2(east_m, north_m)))


def compass_point(bearing_deg: float) -> str:
    """The nearest of eight compass points, in words.

    Examples
    --------
    >>> compass_point(47.0), compass_point(359.0), compass_point(22.5)
    ('north-east', 'north', 'north-east')
    """
    return COMPASS_POINTS[int(wrap_deg(bearing_deg) / 45.0 + 0.5) % 8]


def true_from_magnetic_deg(magnetic_deg: float, declination_deg: float) -> float:
    """True bearing from a compass reading; the declination is positive to the east. [deg]

    Examples
    --------
    >>> round(true_from_magnetic_deg(350.0, 12.9), 9)
    2.9
    """
    return wrap_deg(magnetic_deg + declination_deg)


def magnetic_from_true_deg(true_deg: float, declination_deg: float) -> float:
    """What a hand compass shows for a true bearing; the declination is positive to the east. [deg]"""
    return wrap_deg(true_deg - declination_deg)
