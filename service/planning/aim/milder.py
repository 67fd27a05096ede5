"""Where the nearest setting makes a finding worse: how far toward it the guide may go without that.

A guide leant far flattens the flight, and what opens at a set time then opens fast; part of the way often costs
nothing.
"""

from __future__ import annotations

import math

from service.models.assessment import Assessment
from service.models.entry import Entry
from service.models.field import Pad
from service.planning.advise.trials import Trials, standings, worsened
from service.planning.aim.landings import Landed, Landings
from service.planning.aim.settings import Setting, nearest_setting

PARTS = 16  # of the way from the setting now to the one found
MORE_TESTS = 4  # steps back that full assessments may take
LEAST_GAIN = 0.1  # of the way to the target: less is not worth the walk to the pad


def milder_setting(
    trials: Trials, entry: Entry, pad: Pad, now: Assessment, found: Setting, every: Landings, before: Landed,
    most_half_deg: int,
) -> tuple[Landed, Pad, Assessment] | None:  # fmt: skip
    """The furthest part of the way that worsens no finding and is nearer than now; None where there is none."""
    was = standings(now)
    few = standings(trials.quick(entry), quick=True)

    def leant(part: int) -> Pad:
        step = _between(pad, found, part / PARTS, most_half_deg)
        return pad.model_copy(update={"tilt_deg": step.tilt_deg, "azimuth_deg": float(step.azimuth_deg)})

    def bears(part: int) -> bool:
        """By few flights; what few flights cannot tell is not held against it."""
        after = standings(trials.quick(entry, leant(part)), quick=True)
        return not [rule for rule in worsened(few, after) if rule in worsened(was, after)]

    low, high = 0, PARTS
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if bears(middle) else (low, middle)
    for part in range(low, max(low - MORE_TESTS, 0), -1):
        there = leant(part)
        then = trials.full(entry, there)
        landed = every.fly(there.tilt_deg, there.azimuth_deg)
        if then.estimate is None or landed is None or worsened(was, standings(then)):
            continue
        nearer = landed.distance_m < (1.0 - LEAST_GAIN) * before.distance_m and landed.key[:3] <= before.key[:3]
        return (landed, there, then) if nearer else None
    return None


def _between(pad: Pad, found: Setting, share: float, most_half_deg: int) -> Setting:
    """Part of the way between two leans, taken as east and north."""
    toward = math.radians(pad.azimuth_deg)
    ends = (
        (pad.tilt_deg * math.sin(toward), pad.tilt_deg * math.cos(toward)),
        (found.tilt_deg * math.sin(found.azimuth_rad), found.tilt_deg * math.cos(found.azimuth_rad)),
    )
    east, north = ((1.0 - share) * a + share * b for a, b in zip(*ends, strict=True))
    return nearest_setting(math.hypot(east, north), math.degrees(math.atan2(east, north)), most_half_deg)
