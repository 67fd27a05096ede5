"""The wind above the field: from measured layers, one surface reading, or a function of height.

Directions here are radians clockwise from true north and say where the wind comes FROM;
the tables hold where it blows TO, east and north.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from .checks import increasing, not_negative, positive, series, within
from .errors import OutsideModel
from .gusts import gust_length_m as gust_length_m
from .gusts import gust_sigma_mps as gust_sigma_mps
from .tables import LEVEL_COUNT, Wind, level_heights_m

# Roughness length z0 [m] by terrain: the Davenport classes as Wieringa revised them (1992),
# in WMO-No. 8, Guide to Instruments and Methods of Observation, part I chapter 5 annex
TERRAIN = {
    "sea": 0.0002,  # open water, playa, paved flat
    "bare": 0.005,  # bare soil, snow, desert
    "open_grass": 0.03,  # short grass, airfield
    "low_crops": 0.10,
    "tall_crops": 0.25,  # and hedges
    "bushes": 0.5,  # and orchards
    "forest": 1.0,  # and suburb
    "town": 2.0,
}
SURFACE_TOP_M = 300.0  # how high one surface reading is carried before the wind is held constant
SURFACE_LAYER_M = 100.0  # below this the wind grows with the logarithm of height
VEER_TOP_M = 1000.0  # where the veer of a single reading is complete
LOWEST_IN_ROUGHNESS = 10.0  # a level nearer the ground than this many z0 lies among the roughness itself
FASTEST_MPS = 120.0


def components_mps(speed_mps, from_rad):
    """Eastward and northward parts of a wind from a direction: -W sin(th), -W cos(th). [m/s]"""
    return -np.asarray(speed_mps) * np.sin(from_rad), -np.asarray(speed_mps) * np.cos(from_rad)


def speed_and_from(east_mps, north_mps):
    """Speed [m/s] and the direction it comes from, 0 to 2 pi [rad], of a wind vector."""
    return np.hypot(east_mps, north_mps), np.mod(np.arctan2(-np.asarray(east_mps), -np.asarray(north_mps)), 2 * np.pi)


def reversed_rad(direction_rad):
    """The opposite direction, 0 to 2 pi: from a "from" to a "toward" and back. [rad]"""
    return np.mod(np.asarray(direction_rad) + np.pi, 2 * np.pi)


def log_law_ratio(height_m, reference_m: float, roughness_m: float):
    """Speed at a height over speed at the reference height: ln(z/z0) / ln(z_r/z0), zero at and below z0.

    Neutral air, fit for the lowest 100 to 150 m.

    References
    ----------
    .. [1] WMO-No. 8, part I chapter 5 annex (from memory, not re-read).
    """
    height = np.maximum(np.asarray(height_m, dtype=float), roughness_m)
    return np.log(height / roughness_m) / np.log(reference_m / roughness_m)


def power_law_ratio(height_m, reference_m: float, exponent: float):
    """Speed at a height over speed at the reference height: (z/z_r)^p, zero at the ground."""
    return (np.maximum(np.asarray(height_m, dtype=float), 0.0) / reference_m) ** exponent


def equivalent_exponent(roughness_m: float, low_m: float = 10.0, high_m: float = 100.0) -> float:
    """The power-law exponent that agrees with the log law at two heights. [-]"""
    positive("roughness_m", roughness_m, "m")
    return float(np.log(log_law_ratio(high_m, low_m, roughness_m)) / np.log(high_m / low_m))


def wind_from_layers(
    height_m: Sequence[float],
    speed_mps: Sequence[float],
    from_rad: Sequence[float],
    roughness_m: float = TERRAIN["open_grass"],
    veer_rad: float = 0.0,
    half_arc_rad: Sequence[float] = (),
) -> Wind:
    """The wind from readings at heights above the field.

    Parameters
    ----------
    height_m, speed_mps, from_rad : sequences, shape (n,)
        Increasing heights above the field, above zero; speed; direction it comes from. [m], [m/s], [rad]
    roughness_m : float
        Roughness length z0 of the ground around, see `TERRAIN`, 0.0001 to 3. [m]
    veer_rad : float
        With a single reading only: how far the direction turns clockwise by 1000 m, -pi/2 to pi/2. Surface
        friction veers the wind 10 to 35 degrees in the northern hemisphere and backs it in the southern
        (from memory, not re-read); none is assumed. [rad]
    half_arc_rad : sequence, shape (n,), optional
        How far to either side the direction ranges at each height, 0 to pi; straight in height between two levels,
        held below the lowest and above the highest. [rad]

    Returns
    -------
    Wind
        On `level_heights_m`; zero at the ground.

    Notes
    -----
    Vectors are interpolated, never directions, so that 350 and 10 degrees meet at north. Between two
    levels the vector runs straight in height; where the lower of the two lies below 100 m it runs straight
    in the logarithm of height, since that is how wind grows there: two readings that lie on a log law then
    give that law back, where a straight line from 2 m to 600 m would halve the wind at 50 m. Below the
    lowest level: the log law, z0 capped at a tenth of that level's height. Above the highest: constant,
    except that a single reading below 300 m is carried to 300 m by the log law first.
    `extrapolated_m` says how much of a flight lay above the readings.
    """
    height, east, north = _layers(height_m, speed_mps, from_rad)
    within("roughness_m", roughness_m, 1e-4, 3.0, "m")
    within("veer_rad", veer_rad, -math.pi / 2, math.pi / 2, "rad")
    roughness = min(roughness_m, height[0] / LOWEST_IN_ROUGHNESS)
    grid = level_heights_m()
    if height.size == 1:
        ratio = log_law_ratio(np.minimum(grid, max(SURFACE_TOP_M, height[0])), height[0], roughness)
        speed, origin = speed_and_from(east[0], north[0])
        turn = veer_rad * (np.minimum(grid, VEER_TOP_M) - min(height[0], VEER_TOP_M)) / VEER_TOP_M
        east, north = map(np.ascontiguousarray, components_mps(speed * ratio, origin + turn))
        return Wind(east, north, _half_arc(grid, height, half_arc_rad))
    below = np.where(grid < height[0], log_law_ratio(grid, height[0], roughness), 1.0)
    arc = _half_arc(grid, height, half_arc_rad)
    return Wind(below * _between(grid, height, east), below * _between(grid, height, north), arc)


def wind_from_function(function: Callable[[float], tuple[float, float]]) -> Wind:
    """The wind from a function of height above the field giving (east, north), where it blows to. [m] -> [m/s]"""
    rows = np.array([function(float(height)) for height in level_heights_m()], dtype=float)
    if rows.shape != (LEVEL_COUNT, 2):
        raise OutsideModel(f"the wind function gave values of shape {rows.shape[1:]}; (east, north) is wanted")
    if not (np.isfinite(rows).all() and np.abs(rows).max() <= FASTEST_MPS):
        raise OutsideModel(f"the wind function gave values that are not finite or above {FASTEST_MPS:g} m/s")
    return Wind(rows[:, 0].copy(), rows[:, 1].copy())


def constant_wind(speed_mps: float, from_rad: float) -> Wind:
    """The same wind at every height, the ground included: for closed forms and invariances. [m/s], [rad]"""
    within("speed_mps", speed_mps, 0.0, FASTEST_MPS, "m/s")
    if not math.isfinite(from_rad):
        raise OutsideModel(f"from_rad is {from_rad:g}; it needs to be finite")
    east, north = components_mps(speed_mps, from_rad)
    return Wind(np.full(LEVEL_COUNT, float(east)), np.full(LEVEL_COUNT, float(north)))


def power_law_wind(
    speed_mps: float, reference_m: float, exponent: float, from_rad: float, top_m: float = SURFACE_TOP_M
) -> Wind:
    """A power law from one reading, constant above `top_m`. [m/s], [m], [-], [rad], [m]

    Exponents: `equivalent_exponent` of the terrain, or by stability; a sunny midday has 0.10 to 0.15
    (US EPA-454/R-99-005, rural classes A to C 0.07 to 0.10, D 0.15).
    """
    positive("reference_m", reference_m, "m")
    within("speed_mps", speed_mps, 0.0, FASTEST_MPS, "m/s")
    within("exponent", exponent, 0.0, 1.0, "")
    positive("top_m", top_m, "m")
    if not math.isfinite(from_rad):
        raise OutsideModel(f"from_rad is {from_rad:g}; it needs to be finite")
    ratio = power_law_ratio(np.minimum(level_heights_m(), top_m), reference_m, exponent)
    if exponent == 0.0:
        ratio[0] = 0.0
    return Wind(*(np.ascontiguousarray(part) for part in components_mps(speed_mps * ratio, from_rad)))


def extrapolated_m(height_m: Sequence[float], apogee_m: float) -> float:
    """How far a flight rose above the highest wind reading; the wind there is a guess. 0 if it did not. [m]"""
    return max(0.0, apogee_m - float(series("height_m", height_m).max()))


def _layers(height_m, speed_mps, from_rad) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    height = increasing("wind height_m", height_m)
    speed = series("wind speed_mps", speed_mps)
    origin = series("wind from_rad", from_rad)
    if not height.size == speed.size == origin.size:
        found = f"{height.size} wind heights, {speed.size} speeds, {origin.size} directions"
        raise OutsideModel(f"{found}; as many of each are wanted")
    positive("wind height_m[0]", height[0], "m")
    for i, value in enumerate(speed):
        not_negative(f"wind speed_mps[{i}]", value, "m/s")
        within(f"wind speed_mps[{i}]", value, 0.0, FASTEST_MPS, "m/s")
    east, north = components_mps(speed, origin)
    return height, east, north


def _half_arc(grid: np.ndarray, height: np.ndarray, half_arc_rad: Sequence[float]) -> np.ndarray | None:
    if not np.any(half_arc_rad):
        return None
    arcs = series("wind half_arc_rad", half_arc_rad)
    if arcs.size != height.size:
        raise OutsideModel(f"{height.size} wind heights, {arcs.size} arcs of direction; as many of each are wanted")
    for i, value in enumerate(arcs):
        within(f"wind half_arc_rad[{i}]", value, 0.0, math.pi, "rad")
    return np.interp(grid, height, arcs)


def _between(grid: np.ndarray, height: np.ndarray, values: np.ndarray) -> np.ndarray:
    inside = np.clip(grid, height[0], height[-1])
    i = np.clip(np.searchsorted(height, inside, side="right") - 1, 0, height.size - 2)
    low, high = height[i], height[i + 1]
    straight = (inside - low) / (high - low)
    logarithmic = np.log(inside / low) / np.log(high / low)
    share = np.where(low < SURFACE_LAYER_M, logarithmic, straight)
    return values[i] + share * (values[i + 1] - values[i])
