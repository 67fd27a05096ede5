"""Moist air: vapour pressure, virtual temperature, density."""

from __future__ import annotations

import numpy as np

from .checks import within
from .constants import GAS_CONSTANT_AIR_JPKGK

ICE_POINT_K = 273.15
VAPOUR_TO_AIR_MASS = 0.622  # ratio of molar masses of water and dry air
VAPOUR_SCALE_HEIGHT_M = 2200.0  # engineering choice; 2 to 2.5 km is the handbook range (from memory, not re-read)


def saturation_vapour_pressure_pa(temperature_k):
    """Vapour pressure over water at a temperature; at the dew point it is the vapour pressure of the air.

    Parameters
    ----------
    temperature_k : float or array
        Temperature or dew point; the fit was made for 238 to 308 K. [K]

    Returns
    -------
    float or array
        Pressure. [Pa]

    References
    ----------
    .. [1] Bolton, D. (1980), The computation of equivalent potential temperature, Mon. Wea. Rev. 108, eq. 10.
    """
    celsius = np.asarray(temperature_k, dtype=float) - ICE_POINT_K
    # below -60 C the vapour no longer matters, and the fit has a pole at -243.5 C
    celsius = np.maximum(celsius, -100.0)
    value = 611.2 * np.exp(17.67 * celsius / (celsius + 243.5))
    return float(value) if np.ndim(temperature_k) == 0 else value


def vapour_pressure_pa(temperature_k: float, relative_humidity: float) -> float:
    """Vapour pressure from relative humidity, 0 to 1. [Pa]"""
    within("relative_humidity", relative_humidity, 0.0, 1.0, "")
    return relative_humidity * saturation_vapour_pressure_pa(temperature_k)


def virtual_temperature_k(temperature_k, pressure_pa, vapour_pressure_pa):
    """Temperature at which dry air would be as light: T / (1 - (e/p)(1 - 0.622)). [K]"""
    return temperature_k / (1.0 - vapour_pressure_pa / pressure_pa * (1.0 - VAPOUR_TO_AIR_MASS))


def moist_density_kgm3(temperature_k, pressure_pa, vapour_pressure_pa):
    """Density of moist air, p / (R T_v). [kg/m³]"""
    virtual_k = virtual_temperature_k(temperature_k, pressure_pa, vapour_pressure_pa)
    return pressure_pa / (GAS_CONSTANT_AIR_JPKGK * virtual_k)
