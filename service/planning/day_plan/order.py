"""A flight order: who has the fewest hours goes first, the highest of equals, each into its best hour.

What finds no room is moved to the front and all are placed again, a few times: a greedy order that learns.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

ROUNDS = 12
STEP = timedelta(minutes=1)

Rank = tuple[int, ...]


@dataclass(frozen=True)
class Stretch:
    """One hour of the plan."""

    start: datetime
    end: datetime


@dataclass(frozen=True)
class Wish:
    """One flight to place.

    `hours` maps the number of an hour it may fly in to a rank, the smaller the better; `steady` is in how many hours
    it would fly in the stronger wind too; `fits` says whether a launch at a moment keeps light and ceiling.
    """

    entry: str
    pad: str
    flyer: str
    apogee_m: float
    flight_time: timedelta
    hours: Mapping[int, Rank]
    steady: int
    fits: Callable[[datetime], bool]


@dataclass(frozen=True)
class Pace:
    """Least time between two launches, from one pad, by one flyer."""

    launches: timedelta
    pad: timedelta
    flyer: timedelta


@dataclass(frozen=True)
class Place:
    entry: str
    pad: str
    flyer: str
    start: datetime
    hour: int


def order(wishes: Sequence[Wish], stretches: Sequence[Stretch], pace: Pace) -> tuple[list[Place], list[str]]:
    """The flights placed, in time, and the ids that found no room."""
    queue = sorted(wishes, key=lambda wish: (wish.steady, _best_hours(wish), -wish.apogee_m, wish.entry))
    best: tuple[list[Place], list[str]] | None = None
    for _ in range(ROUNDS):
        placed, left = _fill(queue, stretches, pace)
        if best is None or len(placed) > len(best[0]):
            best = (placed, left)
        if not left:
            break
        queue = [each for each in queue if each.entry in left] + [each for each in queue if each.entry not in left]
    placed, left = best or ([], [])
    return sorted(placed, key=lambda each: (each.start, each.entry)), sorted(left)


def _best_hours(wish: Wish) -> int:
    """In how many hours it stands as well as it ever does."""
    best = min(wish.hours.values(), default=())
    return sum(1 for rank in wish.hours.values() if rank == best)


def _fill(queue: Sequence[Wish], stretches: Sequence[Stretch], pace: Pace) -> tuple[list[Place], list[str]]:
    placed: list[Place] = []
    left: list[str] = []
    for wish in queue:
        place = _first_room(wish, stretches, pace, placed)
        if place is None:
            left.append(wish.entry)
        else:
            placed.append(place)
    return placed, left


def _first_room(wish: Wish, stretches: Sequence[Stretch], pace: Pace, placed: Sequence[Place]) -> Place | None:
    for hour in sorted(wish.hours, key=lambda number: (wish.hours[number], number)):
        start = stretches[hour].start
        while start + wish.flight_time <= stretches[hour].end:
            if _free(wish, start, pace, placed) and wish.fits(start):
                return Place(wish.entry, wish.pad, wish.flyer, start, hour)
            start += STEP
    return None


def _free(wish: Wish, start: datetime, pace: Pace, placed: Sequence[Place]) -> bool:
    """Whether the moment keeps its distance in time from every flight placed."""
    for other in placed:
        apart = abs(start - other.start)
        if apart < pace.launches or (other.pad == wish.pad and apart < pace.pad):
            return False
        if other.flyer == wish.flyer and apart < pace.flyer:
            return False
    return True
