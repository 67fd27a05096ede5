"""Gusts and turbulence near the ground: how far the wind at the pad strays from its mean."""

from __future__ import annotations

import math
from dataclasses import dataclass

from .checks import not_negative, positive
from .errors import OutsideModel

FOOT_M = 0.3048  # exact

# Greatest 3 s and 60 s mean within 10 minutes, over the 10-minute mean, by exposure:
# WMO/TD-No. 1555 (Harper, Kepert, Ginger 2010), Table 1.1; read in a transcription. Derived for strong
# wind; light convective winds gust relatively more (1.5 to 2).
GUST_FACTOR_3S = {"at_sea": 1.23, "off_sea": 1.38, "off_land": 1.52, "in_land": 1.66}
GUST_FACTOR_60S = {"at_sea": 1.05, "off_sea": 1.11, "off_land": 1.16, "in_land": 1.21}


@dataclass(frozen=True)
class Turbulence:
    """Standard deviations and length scales of the gusts along the wind (u) and vertical (w)."""

    sigma_u_mps: float
    sigma_w_mps: float
    length_u_m: float
    length_w_m: float


def turbulence(height_m: float, wind_20ft_mps: float) -> Turbulence:
    """Low-altitude Dryden turbulence at a height above the field.

    Parameters
    ----------
    height_m : float
        Height above the ground; held to the model's range, 10 to 1000 ft. [m]
    wind_20ft_mps : float
        Mean wind at 20 ft (6.1 m). [m/s]

    References
    ----------
    .. [1] MIL-F-8785C, Flying Qualities of Piloted Airplanes, 1980, section 3.7.3.4. (MIL-HDBK-1797
       states the same lengths as 2 L_w and 2 L_v.)
    """
    not_negative("height_m", height_m, "m")
    not_negative("wind_20ft_mps", wind_20ft_mps, "m/s")
    height_ft = min(max(height_m / FOOT_M, 10.0), 1000.0)
    shape = 0.177 + 0.000823 * height_ft
    sigma_w = 0.1 * wind_20ft_mps
    return Turbulence(sigma_w / shape**0.4, sigma_w, height_ft / shape**1.2 * FOOT_M, height_ft * FOOT_M)


def gust_sigma_mps(height_m: float, wind_20ft_mps: float) -> float:
    """Standard deviation of the wind along its mean at a height, see `turbulence`. [m], [m/s] -> [m/s]"""
    return turbulence(height_m, wind_20ft_mps).sigma_u_mps


def gust_length_m(height_m: float) -> float:
    """Length over which an along-wind gust at a height keeps its sign, see `turbulence`. [m] -> [m]"""
    return turbulence(height_m, 0.0).length_u_m


def lag_one_correlation(speed_mps: float, length_m: float, time_step_s: float) -> float:
    """Correlation of two samples of the along-wind gust flown through one step apart, exp(-V dt / L). [-]"""
    return math.exp(-positive("speed_mps", speed_mps, "m/s") * time_step_s / positive("length_m", length_m, "m"))


def sigma_from_gust_mps(mean_mps: float, gust_mps: float) -> float:
    """Spread of the wind from its mean and its greatest gust, the gust taken as three sigma (common practice). [m/s]"""
    not_negative("mean_mps", mean_mps, "m/s")
    if not gust_mps >= mean_mps:
        raise OutsideModel(f"the gust, {gust_mps:g} m/s, is below the mean wind, {mean_mps:g} m/s")
    return (gust_mps - mean_mps) / 3.0
