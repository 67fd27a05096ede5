"""Gravity: the WGS 84 normal field, centrifugal term included, and the standard atmosphere's simpler one."""

from __future__ import annotations

import math

from .checks import within
from .constants import EARTH_RADIUS_US76_M, STANDARD_GRAVITY_MPS2

# WGS 84: NIMA TR8350.2, 3rd edition, Tables 3.1, 3.3 and 3.4
EQUATOR_RADIUS_M = 6_378_137.0
FLATTENING = 1.0 / 298.257223563
EQUATOR_GRAVITY_MPS2 = 9.7803253359
POLE_GRAVITY_MPS2 = 9.8321849378
ROTATION_RATIO = 0.00344978650684  # m = omega² a² b / GM


def normal_gravity_mps2(latitude_rad: float, height_m: float = 0.0) -> float:
    """Gravity on and above the WGS 84 ellipsoid, as felt standing still on the turning Earth.

    Somigliana's closed form on the ellipsoid, second-order series in height above it.

    Parameters
    ----------
    latitude_rad : float
        Geodetic latitude, -pi/2 to pi/2. [rad]
    height_m : float
        Height above the ellipsoid, -1000 to 100 000; height above sea level serves as well
        (the geoid lies within 110 m, worth 3e-5). [m]

    Returns
    -------
    float
        Acceleration, downwards. [m/s²]

    Notes
    -----
    The centrifugal term is inside: equations of motion that write it out need gravitation instead.

    References
    ----------
    .. [1] NIMA TR8350.2, Department of Defense World Geodetic System 1984, 3rd ed., equations 4-1 and 4-3.
    """
    within("latitude_rad", latitude_rad, -math.pi / 2, math.pi / 2, "rad")
    within("height_m", height_m, -1000.0, 100_000.0, "m")
    f, a = FLATTENING, EQUATOR_RADIUS_M
    sine2 = math.sin(latitude_rad) ** 2
    k = (1.0 - f) * POLE_GRAVITY_MPS2 / EQUATOR_GRAVITY_MPS2 - 1.0
    on_ellipsoid = EQUATOR_GRAVITY_MPS2 * (1.0 + k * sine2) / math.sqrt(1.0 - f * (2.0 - f) * sine2)
    ratio = height_m / a
    return on_ellipsoid * (1.0 - 2.0 * (1.0 + f + ROTATION_RATIO - 2.0 * f * sine2) * ratio + 3.0 * ratio**2)


def standard_gravity_mps2(height_msl_m: float) -> float:
    """Gravity of the standard atmosphere: inverse square from 9.80665 at the surface. [m/s²]

    References
    ----------
    .. [1] U.S. Standard Atmosphere, 1976, NOAA-S/T 76-1562, equation 17.
    """
    within("height_msl_m", height_msl_m, -5000.0, 100_000.0, "m")
    return STANDARD_GRAVITY_MPS2 * (EARTH_RADIUS_US76_M / (EARTH_RADIUS_US76_M + height_msl_m)) ** 2
