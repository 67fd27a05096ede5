"""The wind upward from the surface: by the simulator's own law, or by the season's second height where it has one.

All profiles blow from the north at the surface; the landings are turned to each hour's direction. That is right since
nothing else in these flights has a direction: guides stand upright, and the earth's turning is left out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from service.models.conditions import Conditions, WindLevel
from service.planning.sizing.season import Winds

SPEED_STEP_MPS = 1.5
LEAST_TOP_MPS, MOST_TOP_MPS = 6.0, 15.0
LAYERS = 2  # strata of the wind aloft: the hours with the weaker and with the stronger half
FEW_HOURS = 8  # fewer hours around a speed say nothing of the wind aloft


@dataclass(frozen=True)
class Profile:
    """One wind that is flown: a surface speed, and what stands above it. `layer` is the stratum of the wind aloft."""

    speed_mps: float
    layer: int
    levels: tuple[WindLevel, ...]

    def conditions(self, conditions: Conditions) -> Conditions:
        """The day's air with this wind in it, and no gust reading."""
        return conditions.model_copy(update={"wind": self.levels})


@dataclass(frozen=True)
class Profiles:
    """Profiles by layer and speed, and the layer of each hour."""

    speeds_mps: np.ndarray
    layers: int
    flown: tuple[tuple[Profile, ...], ...]
    """By layer, then by speed."""
    layer_of_hour: np.ndarray
    words: str


def speeds_to_fly(limit_mps: float | None) -> np.ndarray:
    """Surface speeds from calm in even steps to just past the wind limit. [m/s]"""
    top = min(max(limit_mps or MOST_TOP_MPS, LEAST_TOP_MPS), MOST_TOP_MPS)
    return SPEED_STEP_MPS * np.arange(math.ceil(top / SPEED_STEP_MPS - 1e-9) + 1)


def profiles_of(winds: Winds, hours: np.ndarray, speeds_mps: np.ndarray) -> Profiles:
    """The profiles to fly for the hours marked."""
    if winds.aloft_mps is None or winds.aloft_from_deg is None or winds.aloft_height_m is None:
        flown = tuple(Profile(float(speed), 0, (_level(winds.height_m, float(speed), 0.0),)) for speed in speeds_mps)
        words = (
            f"The wind at {winds.height_m:g} m is carried upward by the logarithmic law of the terrain to 300 m and "
            "held above, as the simulator does with a single reading; it does not veer."
        )
        return Profiles(speeds_mps, 1, (flown,), np.zeros(winds.speed_mps.size, dtype=int), words)
    surface, aloft = winds.speed_mps, winds.aloft_mps
    ratio = aloft / np.maximum(surface, 0.5)
    turn = np.radians((winds.aloft_from_deg - winds.from_deg + 180.0) % 360.0 - 180.0)
    middle = _middle_by_speed(surface, ratio, hours, speeds_mps)
    layer = (ratio > np.interp(surface, speeds_mps, middle)).astype(int)
    flown_layers = []
    for number in range(LAYERS):
        row = []
        for speed in speeds_mps:
            mine = hours & (layer == number)
            near = _near(surface, mine if mine.any() else hours, float(speed))
            strength, veer_rad = float(aloft[near].mean()), float(np.angle(np.exp(1j * turn[near]).mean()))
            levels = (
                _level(winds.height_m, float(speed), 0.0),
                _level(winds.aloft_height_m, strength, math.degrees(veer_rad) % 360.0),
            )
            row.append(Profile(float(speed), number, levels))
        flown_layers.append(tuple(row))
    words = (
        f"For each surface speed two winds at {winds.aloft_height_m:g} m were flown, the means of the hours with the "
        "weaker and with the stronger half of the winds aloft, turned as those hours are on average; between the two "
        "heights the wind vector is interpolated, above it is held."
    )
    return Profiles(speeds_mps, LAYERS, tuple(flown_layers), layer, words)


def _level(height_m: float, speed_mps: float, from_deg: float) -> WindLevel:
    return WindLevel(height_m=height_m, speed_mps=speed_mps, from_deg=from_deg)


def _near(surface: np.ndarray, hours: np.ndarray, speed_mps: float) -> np.ndarray:
    """The hours whose surface wind is near a speed; farther ones where there are too few."""
    with np.errstate(invalid="ignore"):
        apart = np.where(hours, np.abs(surface - speed_mps), np.inf)
    reach = max(0.5 * SPEED_STEP_MPS, float(np.sort(apart)[min(FEW_HOURS, int(hours.sum())) - 1]))
    return hours & (apart <= reach)


def _middle_by_speed(surface: np.ndarray, ratio: np.ndarray, hours: np.ndarray, speeds_mps: np.ndarray) -> np.ndarray:
    """The median of the wind aloft over the surface wind, by surface speed."""
    return np.array([np.median(ratio[_near(surface, hours, float(speed))]) for speed in speeds_mps])
