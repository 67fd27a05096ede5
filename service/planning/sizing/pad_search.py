"""Searches the pads for as much of the fleet as the field has room for: all of it, or without its highest classes."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from service.models.assessment import Mode
from service.models.day import LaunchDay
from service.planning.ground import Ground
from service.planning.sizing.dimensions import PadNeed, pad_needs
from service.planning.sizing.fleet import Fleet
from service.planning.sizing.flight_line import strips_of
from service.planning.sizing.pads import Found, PadSearch, best_pads

POOLED = 60_000  # landings that a place is judged by

Landings = Mapping[tuple[int, Mode], np.ndarray]


@dataclass(frozen=True)
class Searched:
    """What the search found. `served` are the classes whose distances were kept, `needs` what they ask for."""

    needs: dict[str, PadNeed]
    served: tuple[str, ...]
    search: PadSearch | None
    found: Found | None


def search_pads(
    day: LaunchDay,
    ground: Ground,
    fleet: Fleet,
    landings: Landings,
    apogees_m: Sequence[float | None],
    should_stop: Callable[[], bool],
    told: Callable[[int, int], None],
) -> Searched:
    """The best pads for the whole fleet; where no place keeps its distances, without its highest class, and so on.

    Parameters
    ----------
    landings : mapping
        (Rocket, mode) -> the season's landings about its pad, (n, 2). [m]
    apogees_m : sequence
        Nominal apogee of each rocket; None: not known.
    told : callable
        Hears (places tried, places in all) of each search.
    """
    flown = [number for number in range(len(fleet.rockets)) if (number, "planned") in landings]
    nothing = Searched(pad_needs(day, fleet, apogees_m), (), None, None)
    if not flown:
        return nothing
    letters = fleet.letters
    for count in range(len(letters), 0, -1):
        served = letters[:count]
        members = [number for number, rocket in enumerate(fleet.rockets) if rocket.letter in served]
        part = replace(fleet, rockets=tuple(fleet.rockets[number] for number in members))
        needs = pad_needs(day, part, [apogees_m[number] for number in members])
        here = [number for number in members if number in flown]
        if not here:
            break
        found, search = _search(day, ground, fleet, landings, here, needs, should_stop, told)
        if found is not None:
            return Searched(needs, tuple(served), search, found)
    return nothing


def _search(
    day: LaunchDay, ground: Ground, fleet: Fleet, landings: Landings, members: list[int], needs: dict[str, PadNeed],
    should_stop: Callable[[], bool], told: Callable[[int, int], None],
) -> tuple[Found | None, PadSearch]:  # fmt: skip
    planned = [landings[number, "planned"] for number in members]
    ballistic = [landings[number, "no_deployment"] for number in members]
    need = needs.get("people_distance_m")
    strips = strips_of(planned, ballistic, ground, day.policy, need.limit_m if need else None)
    counts = np.array([fleet.rockets[number].count for number in members])
    search = PadSearch(ground, pooled(planned, counts), needs, strips, tuple(members), should_stop)
    return best_pads(search, told), search


def pooled(clouds: list[np.ndarray], counts: np.ndarray, most: int = POOLED) -> np.ndarray:
    """Landings of all rockets, each rocket by its count, every landing as likely as the other. (n, 2) [m]"""
    total = int(counts.sum())
    every = min(most, sum(cloud.shape[0] for cloud in clouds))
    parts = []
    for cloud, count in zip(clouds, counts, strict=True):
        wanted = max(1, round(every * int(count) / total))
        parts.append(cloud[np.arange(wanted) * cloud.shape[0] // wanted % cloud.shape[0]])
    return np.concatenate(parts)
