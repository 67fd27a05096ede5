"""The search: a coarse grid over all settings within the limit, then downhill from its best on finer and finer steps.

The landing point moves almost evenly with the lean, so the distance has one valley; what keeps off people cuts
pieces out of it. So several starts go down, some of them from the settings that come nearest whatever they do to
people: from there the way leads to the near edge of what is cut out.
"""

from __future__ import annotations

from service.planning.aim.landings import Landed, Landings
from service.planning.aim.settings import STEPS, Setting, coarse_grid, neighbours

STARTS = 4
NEAR_STARTS = 3
START_APART_DEG = 3.0
RECHECKED = 12  # settings of the search that all flights are shown
RECHECK_APART_DEG = 1.5
WHOLE_STARTS = 2
WHOLE_STEPS = STEPS[1:4]  # as fine as all flights are worth: a degree of tilt, then half a degree

Steps = tuple[tuple[int, int], ...]


def solve(landings: Landings, most_half_deg: int, also: tuple[Setting, ...] = ()) -> list[tuple[Setting, Landed]]:
    """All settings flown, best first. `also` are starts beside the grid's best."""
    for each in (*coarse_grid(most_half_deg), *also):
        landings.at(each)
    starts = [each for each, _ in spaced(ranked(landings), START_APART_DEG, STARTS)]
    by_distance = sorted(landings.known.items(), key=lambda each: (each[1].distance_m, each[0]))
    near = [each for each, _ in spaced(by_distance, START_APART_DEG, NEAR_STARTS)]
    for start in dict.fromkeys((*starts, *near, *also)):
        if start in landings.known:
            _descend(landings, start, most_half_deg)
    return ranked(landings)


def ranked(landings: Landings) -> list[tuple[Setting, Landed]]:
    """Best first; of equals the smaller lean."""
    return sorted(landings.known.items(), key=lambda each: (each[1].key, each[0]))


def spaced(best_first: list[tuple[Setting, Landed]], apart_deg: float, most: int) -> list[tuple[Setting, Landed]]:
    """The best ones that do not crowd each other."""
    kept: list[tuple[Setting, Landed]] = []
    for each in best_first:
        if len(kept) < most and all(each[0].apart_deg(other) >= apart_deg for other, _ in kept):
            kept.append(each)
    return kept


def _descend(landings: Landings, here: Setting, most_half_deg: int, steps: Steps = STEPS) -> None:
    found = landings.known[here]
    for tilt_step, azimuth_step in steps:
        while True:
            around = [
                (landed, each)
                for each in neighbours(here, tilt_step, azimuth_step, most_half_deg)
                if (landed := landings.at(each)) is not None
            ]
            best, where = min(around, key=lambda each: (each[0].key, each[1]), default=(found, here))
            if not best.key < found.key:
                break
            found, here = best, where


def confirmed(
    best_first: list[tuple[Setting, Landed]], few: Landings, whole: Landings, most_half_deg: int
) -> tuple[Setting, Landed] | None:
    """The best that all flights bear out.

    Few flights cannot tell one in a thousand from none: where people are within reach, all flights fly the grid too,
    and go downhill from the best of it. Elsewhere the distance decides, and few flights tell that.
    """
    best = [each for each, _ in spaced(best_first, RECHECK_APART_DEG, RECHECKED)]
    if any(landed.near_people for landed in few.known.values()):
        for each in (*coarse_grid(most_half_deg), *best):
            whole.at(each)
        for start, _ in spaced(ranked(whole), START_APART_DEG, WHOLE_STARTS):
            _descend(whole, start, most_half_deg, WHOLE_STEPS)
    else:
        for each in best:
            if whole.at(each) is not None:
                break
    return next(iter(ranked(whole)), None)
