"""Where the people stand: a strip across the way to the pad, as near as the organiser's limits allow.

Landings about the pad do not depend on where the pad stands, so every strip is tried once: by bearing and distance.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from geo.inside import own_copy
from service.models.policy import Policy
from service.planning.ground import Ground

BEARINGS_DEG = tuple(range(0, 360, 5))
FARTHER = (1.0, 1.25, 1.5, 2.0, 2.5, 3.0, 4.0)  # times the distance that the codes ask for
NEAR_TIMES = 2.0  # farther off nobody sees the pads well: ours
LEAST_DISTANCE_M = 30.0 * 0.3048  # the model rocket table's larger distance, where no code in force has one
SHAPE = 4.0  # length over depth
USUAL_SIZE_M = (60.0, 15.0)  # where nobody is drawn: ours
KEPT_OFF = ("building", "road", "power_line", "water", "trees", "keep_out", "parking")


@dataclass(frozen=True)
class Strip:
    """One place for the people, about the pad. Shares are those of the rocket with the most."""

    bearing_deg: float
    distance_m: float
    planned: float
    planned_by: int | None
    ballistic: float
    ballistic_by: int | None
    level: int
    """2: under the limits that caution, 1: under those that stop, 0: over."""
    near: bool
    """Within twice the distance that the codes ask for."""

    @property
    def rank(self) -> int:
        """0: under the limits that caution, and near; 1: under those that stop; 2: over. As near as that allows."""
        return 0 if self.level == 2 and self.near else 1 if self.level else 2

    @property
    def key(self) -> tuple[int, float, float, float]:
        """The smaller, the better."""
        return self.rank, self.distance_m, self.ballistic + self.planned, self.bearing_deg


@dataclass(frozen=True)
class Strips:
    """All strips, best first, and their size. [m]"""

    length_m: float
    depth_m: float
    best_first: tuple[Strip, ...]

    def shape(self, strip: Strip, pad_at: tuple[float, float]) -> shapely.Polygon:
        """A strip on the ground."""
        half, near, far = 0.5 * self.length_m, strip.distance_m, strip.distance_m + self.depth_m
        angle = math.radians(strip.bearing_deg)
        corners = []
        for across, along in ((-half, near), (half, near), (half, far), (-half, far)):
            east = along * math.sin(angle) + across * math.cos(angle)
            north = along * math.cos(angle) - across * math.sin(angle)
            corners.append((pad_at[0] + east, pad_at[1] + north))
        return shapely.Polygon(corners)


def strip_size_m(ground: Ground) -> tuple[float, float]:
    """Length and depth that hold the people drawn on the field."""
    area_m2 = sum(zone.area.area for zone in ground.of_kind("people"))
    if not area_m2 > 0.0:
        return USUAL_SIZE_M
    depth_m = math.sqrt(area_m2 / SHAPE)
    return SHAPE * depth_m, depth_m


def level_of(planned: float, ballistic: float, policy: Policy) -> int:
    """How far within the organiser's limits on landings among people."""
    most = max(planned, ballistic)
    return 2 if most <= policy.people_caution else 1 if most <= policy.people_stop else 0


def strips_of(
    planned: Sequence[np.ndarray], ballistic: Sequence[np.ndarray], ground: Ground, policy: Policy, need_m: float | None
) -> Strips:
    """Every strip held against the landings of every rocket, (n, 2) [m about the pad]."""
    length_m, depth_m = strip_size_m(ground)
    least_m = need_m or LEAST_DISTANCE_M
    found = []
    for bearing_deg in BEARINGS_DEG:
        along = [_along(points, bearing_deg, length_m) for points in planned]
        fallen = [_along(points, bearing_deg, length_m) for points in ballistic]
        for times in FARTHER:
            near = times * least_m
            as_planned, by = _most([_share(each, near, near + depth_m) for each in along])
            nothing_open, fallen_by = _most([_share(each, near, near + depth_m) for each in fallen])
            level = level_of(as_planned, nothing_open, policy)
            found.append(
                Strip(float(bearing_deg), near, as_planned, by, nothing_open, fallen_by, level, times <= NEAR_TIMES)
            )
    return Strips(length_m, depth_m, tuple(sorted(found, key=lambda each: each.key)))


def _along(points: np.ndarray, bearing_deg: float, length_m: float) -> np.ndarray:
    """How far along a bearing each landing lies; nowhere for those beside the strip."""
    angle = math.radians(bearing_deg)
    along = points[:, 0] * math.sin(angle) + points[:, 1] * math.cos(angle)
    across = points[:, 0] * math.cos(angle) - points[:, 1] * math.sin(angle)
    return np.where(np.abs(across) <= 0.5 * length_m, along, np.inf)


def _share(along: np.ndarray, near: float, far: float) -> float:
    return float(np.count_nonzero((along >= near) & (along <= far)) / along.size)


def _most(shares: list[float]) -> tuple[float, int | None]:
    if not shares:
        return 0.0, None
    number = int(np.argmax(shares))
    return shares[number], number


def line_at(strips: Strips, pad_at: tuple[float, float], ground: Ground, free: shapely.Geometry) -> Strip | None:
    """The best strip that lies on the field and off everything on it; None where there is no such place."""
    for strip in strips.best_first:
        if shapely.contains(free, strips.shape(strip, pad_at)):
            return strip
    return None


def free_ground(ground: Ground) -> shapely.Geometry:
    """The field without what people may not stand on."""
    taken = ground.union(*KEPT_OFF)
    free = own_copy(ground.boundary) if taken is None else shapely.difference(ground.boundary, taken)
    shapely.prepare(free)
    return free
