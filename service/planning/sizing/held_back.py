"""Classes that one of their rockets alone keeps from staying inside in more wind, such as a glider that wanders off."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely

from service.models.sizing import HeldBack
from service.planning.sizing.fleet import Fleet
from service.planning.sizing.flights import Flights
from service.planning.sizing.profiles import SPEED_STEP_MPS
from service.planning.sizing.season_cloud import Cells
from service.planning.sizing.shares import inside_per_sample, wind_cells


def held_back(
    fleet: Fleet, flights: Flights, cells: Cells, boundary: shapely.Geometry, most_outside: float
) -> Iterator[HeldBack]:
    """Of each class of several rockets the one without which it would stay inside in the most wind, if any would."""
    speeds = [float(each) for each in flights.profiles.speeds_mps]
    for letter in fleet.letters:
        members = [number for number, rocket in enumerate(fleet.rockets) if rocket.letter == letter]
        if len(members) < 2 or any(flights.why(number) for number in members):
            continue
        inside = np.array([
            [_inside(fleet, flights, number, speed, cells, boundary) for speed in range(len(speeds))]
            for number in members
        ])  # fmt: skip
        counts = np.array([fleet.rockets[number].count for number in members])
        whole = runs_up_to(_share(inside, counts), speeds, most_outside)
        without = []
        for place in range(len(members)):
            rest = np.arange(len(members)) != place
            without.append(runs_up_to(_share(inside[rest], counts[rest]), speeds, most_outside))
        best = max(range(len(members)), key=lambda place: (-1.0 if without[place] is None else without[place], -place))
        more = without[best]
        if more is not None and (whole is None or more > whole):
            rocket = fleet.rockets[members[best]]
            glides = any(each.kind == "glide" for each in rocket.entry.recovery)
            yield HeldBack(letter=letter, rocket=rocket.name, glides=glides, wind_mps=whole, wind_without_mps=more)


def runs_up_to(inside: Sequence[float] | np.ndarray, speeds_mps: Sequence[float], most_outside: float) -> float | None:
    """The highest of the winds, from the lowest on, in all of which no more than that lies outside; None in none.

    >>> runs_up_to([1.0, 0.995, 0.9, 1.0], [0.0, 1.5, 3.0, 4.5], 0.01)
    1.5
    """
    top = None
    for share, speed_mps in zip(inside, speeds_mps, strict=True):
        if 1.0 - share > most_outside + 1e-12:
            break
        top = speed_mps
    return top


def _share(inside: np.ndarray, counts: np.ndarray) -> np.ndarray:
    """By wind, every rocket by its count."""
    return np.asarray((counts[:, None] * inside).sum(axis=0) / counts.sum())


def _inside(
    fleet: Fleet, flights: Flights, number: int, speed: int, cells: Cells, boundary: shapely.Geometry
) -> float:  # fmt: skip
    winds = wind_cells(cells, float(flights.profiles.speeds_mps[speed]), 0.5 * SPEED_STEP_MPS)
    tables = [flights.of(number, layer, speed).landings["planned"] for layer in range(flights.profiles.layers)]
    return float(inside_per_sample(tables, winds, boundary, fleet.rockets[number].pad_at).mean())
