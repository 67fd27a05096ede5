"""The air: the U.S. Standard Atmosphere 1976, and the same carried to the day's pressure, heat and damp."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .checks import increasing, positive, series, within
from .constants import EARTH_RADIUS_US76_M, GAS_CONSTANT_AIR_JPKGK, HEAT_RATIO_AIR, STANDARD_GRAVITY_MPS2
from .errors import OutsideModel
from .humidity import VAPOUR_SCALE_HEIGHT_M, saturation_vapour_pressure_pa, vapour_pressure_pa, virtual_temperature_k
from .tables import LEVEL_COUNT, Air, level_heights_m

SEA_LEVEL_PRESSURE_PA = 101_325.0  # U.S. Standard Atmosphere, 1976, Table 2
SEA_LEVEL_TEMPERATURE_K = 288.15
LOWEST_MSL_M = -1000.0
HIGHEST_MSL_M = 47_000.0

# geopotential base heights [m] and lapse rates [K/m]: U.S. Standard Atmosphere, 1976, Table 4
LAYER_BASE_M = np.array([0.0, 11_000.0, 20_000.0, 32_000.0])
LAYER_LAPSE_KPM = np.array([-0.0065, 0.0, 0.0010, 0.0028])
LAYER_TEMPERATURE_K = np.array([288.15, 216.65, 216.65, 228.65])


def _layer_pressures_pa() -> np.ndarray:
    pressures = [SEA_LEVEL_PRESSURE_PA]
    for i in range(3):
        pressures.append(_layer_pressure_pa(i, LAYER_BASE_M[i + 1], pressures[i]))
    return np.array(pressures)


def _layer_pressure_pa(i: int, geopotential_m: float, base_pressure_pa: float) -> float:
    rise_m = geopotential_m - LAYER_BASE_M[i]
    base_k, lapse = LAYER_TEMPERATURE_K[i], LAYER_LAPSE_KPM[i]
    weight = STANDARD_GRAVITY_MPS2 / GAS_CONSTANT_AIR_JPKGK
    if lapse == 0.0:
        return float(base_pressure_pa * np.exp(-weight * rise_m / base_k))
    return float(base_pressure_pa * ((base_k + lapse * rise_m) / base_k) ** (-weight / lapse))


LAYER_PRESSURE_PA = _layer_pressures_pa()


@dataclass(frozen=True)
class State:
    """The air at one height."""

    temperature_k: float
    pressure_pa: float
    density_kgm3: float
    sound_mps: float
    viscosity_pas: float


@dataclass(frozen=True)
class Profile:
    """The air on the shared grid above the field; arrays of shape (801,). Temperature is the true one, not virtual."""

    height_m: np.ndarray
    temperature_k: np.ndarray
    pressure_pa: np.ndarray
    vapour_pressure_pa: np.ndarray


def geopotential_m(height_msl_m):
    """Geopotential height of a geometric one, r0 z / (r0 + z). [m]"""
    return EARTH_RADIUS_US76_M * height_msl_m / (EARTH_RADIUS_US76_M + height_msl_m)


def sound_mps(temperature_k):
    """Speed of sound, sqrt(1.4 R T). [m/s]"""
    return np.sqrt(HEAT_RATIO_AIR * GAS_CONSTANT_AIR_JPKGK * temperature_k)


def viscosity_pas(temperature_k):
    """Dynamic viscosity by Sutherland's law; U.S. Standard Atmosphere, 1976, equation 51. [Pa s]"""
    return 1.458e-6 * temperature_k**1.5 / (temperature_k + 110.4)


def standard_temperature_k(height_msl_m):
    """Temperature of the standard atmosphere at geometric heights, no range check. [K]"""
    height = geopotential_m(np.asarray(height_msl_m, dtype=float))
    layer = np.clip(np.searchsorted(LAYER_BASE_M, height, side="right") - 1, 0, 3)
    return LAYER_TEMPERATURE_K[layer] + LAYER_LAPSE_KPM[layer] * (height - LAYER_BASE_M[layer])


def standard_state(height_msl_m: float) -> State:
    """The U.S. Standard Atmosphere 1976 at one height.

    Parameters
    ----------
    height_msl_m : float
        Geometric height above mean sea level, -1000 to 47 000. [m]

    Returns
    -------
    State
        temperature [K], pressure [Pa], density [kg/m³], speed of sound [m/s], dynamic viscosity [Pa s]

    Raises
    ------
    OutsideModel
        If the height is outside that range, or not a number.

    Notes
    -----
    Identical to ISO 2533 and ICAO Doc 7488 below 32 km. Below sea level the first layer is carried down.

    References
    ----------
    .. [1] U.S. Standard Atmosphere, 1976, NOAA-S/T 76-1562, section 1.3.

    Examples
    --------
    >>> round(standard_state(1000.0).density_kgm3, 4)
    1.1117
    """
    within("height_msl_m", height_msl_m, LOWEST_MSL_M, HIGHEST_MSL_M, "m")
    height = geopotential_m(height_msl_m)
    layer = int(np.clip(np.searchsorted(LAYER_BASE_M, height, side="right") - 1, 0, 3))
    temperature = float(standard_temperature_k(height_msl_m))
    pressure = _layer_pressure_pa(layer, height, LAYER_PRESSURE_PA[layer])
    return State(
        temperature_k=temperature,
        pressure_pa=pressure,
        density_kgm3=pressure / (GAS_CONSTANT_AIR_JPKGK * temperature),
        sound_mps=float(sound_mps(temperature)),
        viscosity_pas=float(viscosity_pas(temperature)),
    )


def standard_air(elevation_m: float = 0.0) -> Air:
    """The standard atmosphere above a field at this elevation.

    Parameters
    ----------
    elevation_m : float
        Field above mean sea level, -500 to 6000. [m]
    """
    state = standard_state(_elevation(elevation_m))
    return launch_day_air(elevation_m, state.temperature_k, state.pressure_pa)


def constant_air(density_kgm3: float, sound_mps: float, viscosity_pas: float = 1.7894e-5) -> Air:
    """The same air at every height: for closed forms and wind tunnels. [kg/m³], [m/s], [Pa s]"""
    values = (
        positive("density_kgm3", density_kgm3, "kg/m³"),
        positive("sound_mps", sound_mps, "m/s"),
        positive("viscosity_pas", viscosity_pas, "Pa s"),
    )
    return Air(*(np.full(LEVEL_COUNT, value) for value in values))


def launch_day_air(
    elevation_m: float,
    temperature_k: float,
    pressure_pa: float,
    relative_humidity: float | None = None,
    sounding: Sequence[tuple[float, float]] | None = None,
) -> Air:
    """The air above the field on the day; see `launch_day_profile`, which holds the reasoning."""
    profile = launch_day_profile(elevation_m, temperature_k, pressure_pa, relative_humidity, sounding)
    virtual = virtual_temperature_k(profile.temperature_k, profile.pressure_pa, profile.vapour_pressure_pa)
    return Air(
        density_kgm3=profile.pressure_pa / (GAS_CONSTANT_AIR_JPKGK * virtual),
        sound_mps=sound_mps(virtual),
        viscosity_pas=viscosity_pas(profile.temperature_k),
    )


def launch_day_profile(
    elevation_m: float,
    temperature_k: float,
    pressure_pa: float,
    relative_humidity: float | None = None,
    sounding: Sequence[tuple[float, float]] | None = None,
) -> Profile:
    """Temperature, pressure and vapour above the field, from what a weather meter at the pads reads.

    The standard lapse is shifted to the measured temperature in every layer, and the pressure is
    integrated hydrostatically upwards from the measured one through that warmer or colder air.
    (Shifting one and not the other puts the density 3 to 10 % out aloft on a hot day.)

    Parameters
    ----------
    elevation_m : float
        Field above mean sea level, -500 to 6000. [m]
    temperature_k : float
        At the field, 213 to 333. [K]
    pressure_pa : float
        STATION pressure at the field, 40 000 to 110 000; an altimeter setting goes through
        `station_pressure_from_qnh` first. [Pa]
    relative_humidity : float, optional
        At the field, 0 to 1; left out, the air is dry. Its vapour pressure decays with height by a
        factor e every 2200 m, and never exceeds saturation. [-]
    sounding : sequence of (height_m, temperature_k), optional
        Measured or forecast temperatures at increasing heights above the field, used in place of the
        standard lapse: straight lines between, the standard lapse shifted to the highest above it. [m], [K]

    Raises
    ------
    OutsideModel
        If an input is outside its range; the text names it.

    References
    ----------
    .. [1] U.S. Standard Atmosphere, 1976, NOAA-S/T 76-1562, equations 23, 33a and 33b (hydrostatics).
    """
    elevation = _elevation(elevation_m)
    within("temperature_k", temperature_k, 213.0, 333.0, "K")
    within("pressure_pa", pressure_pa, 40_000.0, 110_000.0, "Pa")
    height = level_heights_m()
    geopotential = geopotential_m(height + elevation)
    temperature = _temperatures_k(height, elevation, temperature_k, sounding)
    vapour = np.zeros_like(height)
    if relative_humidity is not None:
        surface_vapour = vapour_pressure_pa(temperature_k, relative_humidity)
        vapour = surface_vapour * np.exp(-(geopotential - geopotential[0]) / VAPOUR_SCALE_HEIGHT_M)
        vapour = np.minimum(vapour, saturation_vapour_pressure_pa(temperature))
    dry = _hydrostatic_pa(geopotential, temperature, pressure_pa)
    # the share of vapour needs a pressure to be reckoned from: the dry one errs by under 1 % of a 1 % correction
    virtual = virtual_temperature_k(temperature, dry, vapour)
    return Profile(height, temperature, _hydrostatic_pa(geopotential, virtual, pressure_pa), vapour)


def station_pressure_from_qnh(qnh_pa: float, elevation_m: float) -> float:
    """Pressure at the field from an altimeter setting, as in a METAR "A" or "Q" group.

    Parameters
    ----------
    qnh_pa : float
        Altimeter setting, 85 000 to 110 000. [Pa]
    elevation_m : float
        Field above mean sea level, taken as geopotential, as altimeters do. [m]

    References
    ----------
    .. [1] ICAO Doc 7488 pressure-height relation, which defines the altimeter setting (from memory, not re-read).
    """
    within("qnh_pa", qnh_pa, 85_000.0, 110_000.0, "Pa")
    elevation = _elevation(elevation_m)
    lapse = -LAYER_LAPSE_KPM[0]
    power = GAS_CONSTANT_AIR_JPKGK * lapse / STANDARD_GRAVITY_MPS2
    base = (qnh_pa / SEA_LEVEL_PRESSURE_PA) ** power - lapse * elevation / SEA_LEVEL_TEMPERATURE_K
    return float(SEA_LEVEL_PRESSURE_PA * base ** (1.0 / power))


def reads_like_sea_level(elevation_m: float, pressure_pa: float) -> bool:
    """Whether a pressure given for the field looks like an altimeter setting or sea-level pressure instead.

    Nearer to the standard pressure at sea level than to that at the field, for a field above 300 m:
    the usual slip, and worth 10 % of density at 900 m.
    """
    gap_pa = abs(pressure_pa - standard_state(_elevation(elevation_m)).pressure_pa)
    return elevation_m > 300.0 and abs(pressure_pa - SEA_LEVEL_PRESSURE_PA) < gap_pa


def density_altitude_m(density_kgm3: float) -> float:
    """Geopotential height at which the standard atmosphere is as dense; from its lowest 11 km, or deeper down. [m]"""
    positive("density_kgm3", density_kgm3, "kg/m³")
    within("density_kgm3", density_kgm3, 0.3640, 1.6, "kg/m³")
    lapse = -LAYER_LAPSE_KPM[0]
    power = STANDARD_GRAVITY_MPS2 / (GAS_CONSTANT_AIR_JPKGK * lapse) - 1.0
    surface = SEA_LEVEL_PRESSURE_PA / (GAS_CONSTANT_AIR_JPKGK * SEA_LEVEL_TEMPERATURE_K)
    return float(SEA_LEVEL_TEMPERATURE_K / lapse * (1.0 - (density_kgm3 / surface) ** (1.0 / power)))


def _elevation(elevation_m: float) -> float:
    return within("elevation_m", elevation_m, -500.0, 6000.0, "m")


def _temperatures_k(height_m, elevation_m, temperature_k, sounding) -> np.ndarray:
    standard = standard_temperature_k(height_m + elevation_m)
    if sounding is None:
        return standard + (temperature_k - standard[0])
    heights = increasing("sounding heights", [row[0] for row in sounding])
    temperatures = series("sounding temperatures", [row[1] for row in sounding])
    if heights[0] < 0.0 or heights[-1] > height_m[-1]:
        found = f"sounding heights run {heights[0]:g} to {heights[-1]:g} m"
        raise OutsideModel(f"{found}; 0 to {height_m[-1]:g} m is wanted")
    for value in temperatures:
        within("sounding temperature", value, 150.0, 333.0, "K")
    if heights[0] > 0.0:
        heights = np.insert(heights, 0, 0.0)
        temperatures = np.insert(temperatures, 0, temperature_k)
    measured = np.interp(height_m, heights, temperatures)
    top = standard_temperature_k(heights[-1] + elevation_m)
    return np.where(height_m <= heights[-1], measured, standard + (temperatures[-1] - top))


def _hydrostatic_pa(geopotential, temperature_k, pressure_pa) -> np.ndarray:
    """Pressure upwards from the first level, exact for temperature in straight lines between levels."""
    step = np.diff(geopotential)
    below, above = temperature_k[:-1], temperature_k[1:]
    change = (above - below) / below
    # ln(1+c)/c, by its series where c is too small to divide by
    divisor = np.where(change == 0.0, 1.0, change)
    factor = np.where(np.abs(change) < 1e-6, 1.0 - change / 2.0, np.log1p(change) / divisor)
    exponent = np.cumsum(step * factor / below)
    weight = STANDARD_GRAVITY_MPS2 / GAS_CONSTANT_AIR_JPKGK
    return pressure_pa * np.concatenate([[1.0], np.exp(-weight * exponent)])
