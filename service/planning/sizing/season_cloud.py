"""Landings over a season: what was flown from the north, turned to each hour's direction, between the speeds flown.

Between two surface speeds the landing of each sample is interpolated: all speeds fly the same draws, so a sample is
the same flight in a little more wind.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from service.models.assessment import Mode
from service.planning.sizing.flights import Flights
from service.planning.sizing.profiles import Profiles
from service.planning.sizing.season import Winds

SPEED_CELL_MPS = 0.5
DIRECTION_CELL_DEG = 10.0
DIRECTIONS = int(360.0 / DIRECTION_CELL_DEG)
SEASON_POINTS = 8192  # a rocket and mode: one landing in eight thousand is seen
GOLDEN = 0.6180339887498949  # spreads sample numbers evenly over any run of them


@dataclass(frozen=True)
class Cells:
    """Hours of one kind, told apart no finer than matters: arrays of one length. `weight` is a number of hours."""

    layer: np.ndarray
    speed_mps: np.ndarray
    from_deg: np.ndarray
    weight: np.ndarray

    @property
    def hours(self) -> float:
        return float(self.weight.sum())


def speed_grid_mps(profiles: Profiles) -> np.ndarray:
    """Speeds between those flown, half a metre a second apart. [m/s]"""
    return np.arange(0.0, float(profiles.speeds_mps[-1]) + 1e-9, SPEED_CELL_MPS)


def cell_numbers(winds: Winds, profiles: Profiles) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Layer, place in `speed_grid_mps` and direction cell of every hour; only known hours mean anything."""
    most = speed_grid_mps(profiles).size - 1
    speed = np.nan_to_num(np.round(winds.speed_mps / SPEED_CELL_MPS)).astype(int)
    origin = np.nan_to_num(np.round(winds.from_deg / DIRECTION_CELL_DEG)).astype(int) % DIRECTIONS
    return profiles.layer_of_hour, np.minimum(speed, most), origin


def cells_of(winds: Winds, profiles: Profiles, hours: np.ndarray) -> Cells:
    """The hours marked, as cells of layer, half a metre a second, and ten degrees."""
    layer, speed, origin = (each[hours] for each in cell_numbers(winds, profiles))
    keys, counts = np.unique(np.column_stack([layer, speed, origin]), axis=0, return_counts=True)
    return Cells(keys[:, 0], SPEED_CELL_MPS * keys[:, 1], DIRECTION_CELL_DEG * keys[:, 2], counts.astype(float))


def turned(points: np.ndarray, from_deg: np.ndarray | float) -> np.ndarray:
    """Landings in a wind from the north, turned to a wind from a direction. (..., 2) [m]

    >>> turned(np.array([0.0, -100.0]), 90.0).round(6).tolist()
    [-100.0, -0.0]
    """
    angle = np.radians(from_deg)
    east, north = points[..., 0], points[..., 1]
    return np.stack(
        [east * np.cos(angle) + north * np.sin(angle), north * np.cos(angle) - east * np.sin(angle)], axis=-1
    )


def landings_at(flights: Flights, rocket: int, mode: Mode, layer: int, speed_mps: float) -> np.ndarray:
    """Landings about the pad in a wind from the north of any speed up to the highest flown. (n, 2) [m]"""
    speeds = flights.profiles.speeds_mps
    upper = min(int(np.searchsorted(speeds, speed_mps, side="left")), speeds.size - 1)
    lower = max(upper - 1, 0)
    low, high = (landings_of(flights, rocket, mode, layer, number) for number in (lower, upper))
    if lower == upper:
        return high
    share = min((speed_mps - speeds[lower]) / (speeds[upper] - speeds[lower]), 1.0)
    return (1.0 - share) * low + share * high


def landings_of(flights: Flights, rocket: int, mode: Mode, layer: int, speed: int) -> np.ndarray:
    """Landings at a speed that was flown. A rocket without a device comes down ballistic as planned."""
    return flights.of(rocket, layer, speed).landings[mode]


def season_points(flights: Flights, rocket: int, mode: Mode, cells: Cells, count: int = SEASON_POINTS) -> np.ndarray:
    """Landings of one rocket over the hours of the cells, each as likely as the other. (count, 2) [m about the pad]"""
    picks = (np.arange(count) + 0.5) / count
    cell = np.searchsorted(np.cumsum(cells.weight) / cells.hours, picks)
    cell = np.minimum(cell, cells.weight.size - 1)
    sample = np.floor(np.mod(np.arange(count) * GOLDEN, 1.0) * flights.samples).astype(int)
    found = np.empty((count, 2))
    kinds = np.unique(np.column_stack([cells.layer, np.round(cells.speed_mps / SPEED_CELL_MPS)]), axis=0).astype(int)
    for layer, speed in kinds:
        wanted = (cells.layer == layer) & (np.round(cells.speed_mps / SPEED_CELL_MPS) == speed)
        here = wanted[cell]
        table = landings_at(flights, rocket, mode, int(layer), SPEED_CELL_MPS * speed)
        found[here] = turned(table[sample[here]], cells.from_deg[cell[here]])
    return found
