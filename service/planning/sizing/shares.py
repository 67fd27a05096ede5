"""Shares of landings inside the boundary: by class and wind speed, and for every wind of the season."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from geo.containment import replicate_interval
from geo.inside import lie_inside
from service.flight.dispersion import REPLICATES
from service.models.assessment import Chance
from service.planning.footprints import chance_of
from service.planning.sizing.fleet import Fleet
from service.planning.sizing.flights import Flights
from service.planning.sizing.season_cloud import (
    DIRECTION_CELL_DEG,
    DIRECTIONS,
    Cells,
    landings_at,
    speed_grid_mps,
    turned,
)

Place = tuple[float, float]
RADIUS_SHARE = 0.99
ROUNDING = 1e-9


@dataclass(frozen=True)
class WindCells:
    """The layers and directions that go with one surface speed: weights sum to one."""

    layer: np.ndarray
    from_deg: np.ndarray
    weight: np.ndarray


def wind_cells(cells: Cells, speed_mps: float, reach_mps: float) -> WindCells:
    """Layers and directions of the hours near a speed; of all hours where none is near."""
    near = np.abs(cells.speed_mps - speed_mps) <= reach_mps + 1e-9
    if not near.any():
        near = np.ones_like(near)
    keys, inverse = np.unique(np.column_stack([cells.layer[near], cells.from_deg[near]]), axis=0, return_inverse=True)
    weight = np.bincount(inverse.ravel(), weights=cells.weight[near])
    return WindCells(keys[:, 0].astype(int), keys[:, 1], weight / weight.sum())


def inside_per_sample(
    tables: Sequence[np.ndarray], winds: WindCells, boundary: shapely.Geometry, pad_at: Place
) -> np.ndarray:
    """Of each sample, the share of the winds in which it lands inside. `tables` is a table a layer. (n,)"""
    total = np.zeros(tables[0].shape[0])
    for layer, from_deg, weight in zip(winds.layer, winds.from_deg, winds.weight, strict=True):
        points = turned(tables[int(layer)], float(from_deg)) + pad_at
        total += weight * lie_inside(boundary, points[:, 0], points[:, 1])
    total[total > 1.0 - ROUNDING] = 1.0  # the weights add up to one but for rounding
    return total


def chance_over_samples(inside: np.ndarray) -> Chance:
    """A chance with its interval from what each sample gives, replicate by replicate."""
    shares = np.clip(inside.reshape(REPLICATES, -1).mean(axis=1), 0.0, 1.0)
    found = chance_of(replicate_interval(shares, inside.size // REPLICATES))
    estimate = float(shares.mean())  # a sample may lie inside in some of the winds: no count of samples says it
    low, high = min(found.low, estimate), max(found.high, estimate)
    return found.model_copy(update={"estimate": estimate, "low": low, "high": high})


def class_chance(
    fleet: Fleet, flights: Flights, letter: str, speed: int, winds: WindCells, boundary: shapely.Geometry,
    pad_at: Place | None = None,
) -> Chance | None:  # fmt: skip
    """Share inside of a class's planned landings in one of the winds flown; None where a rocket was not flown.

    `pad_at` stands in for the rockets' own pads.
    """
    total: np.ndarray | float = 0.0
    count = 0
    for number, rocket in enumerate(fleet.rockets):
        if rocket.letter != letter:
            continue
        flown = [flights.of(number, layer, speed) for layer in range(flights.profiles.layers)]
        if any(each.why for each in flown):
            return None
        tables = [each.landings["planned"] for each in flown]
        total = total + rocket.count * inside_per_sample(tables, winds, boundary, pad_at or rocket.pad_at)
        count += rocket.count
    return chance_over_samples(np.asarray(total) / count) if count else None


def class_radius_m(fleet: Fleet, flights: Flights, letter: str, speed: int) -> float | None:
    """Distance from the pad that holds 99 of 100 planned landings of every rocket of the class. [m]"""
    found = []
    for number, rocket in enumerate(fleet.rockets):
        if rocket.letter == letter:
            for layer in range(flights.profiles.layers):
                flown = flights.of(number, layer, speed)
                if flown.why:
                    return None
                away = np.hypot(*flown.landings["planned"].T)
                found.append(float(np.quantile(away, RADIUS_SHARE)))
    return max(found, default=None)


def outside_table(flights: Flights, rocket: int, boundary: shapely.Geometry, pad_at: Place) -> np.ndarray | None:
    """Share outside in every wind: by layer, half a metre a second, ten degrees. None where it was not flown."""
    if flights.why(rocket):
        return None
    grid = speed_grid_mps(flights.profiles)
    origins = DIRECTION_CELL_DEG * np.arange(DIRECTIONS)
    found = np.empty((flights.profiles.layers, grid.size, DIRECTIONS))
    for layer in range(flights.profiles.layers):
        for place, speed_mps in enumerate(grid):
            table = landings_at(flights, rocket, "planned", layer, float(speed_mps))
            points = turned(table[None, :, :], origins[:, None]) + pad_at
            found[layer, place] = 1.0 - lie_inside(boundary, points[..., 0], points[..., 1]).mean(axis=1)
    return found


def class_outside_table(
    fleet: Fleet, flights: Flights, letter: str, boundary: shapely.Geometry, pad_at: Place | None = None
) -> np.ndarray | None:
    """The same for a class: over its rockets, by their counts."""
    total: np.ndarray | float = 0.0
    count = 0
    for number, rocket in enumerate(fleet.rockets):
        if rocket.letter == letter:
            table = outside_table(flights, number, boundary, pad_at or rocket.pad_at)
            if table is None:
                return None
            total = total + rocket.count * table
            count += rocket.count
    return np.asarray(total) / count if count else None
