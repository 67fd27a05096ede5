"""A season's winds, hour by hour, and the light of each hour. Hours without a reading are kept: they are unknown."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import numpy as np

from geo.sun import sun_is_up
from service.models.day import LaunchDay

HOUR = timedelta(hours=1)
ROSE_SECTORS = 16


@dataclass(frozen=True)
class Winds:
    """A season as it was read: arrays of one length, an hour each, from the first to the last without a gap.

    `speed_mps` and `from_deg` are NaN where not known; `aloft_mps` and `aloft_from_deg` too, or None where the
    season has no second height. Times are starts of hours.
    """

    starts: tuple[datetime, ...]
    speed_mps: np.ndarray
    from_deg: np.ndarray
    height_m: float
    aloft_height_m: float | None
    aloft_mps: np.ndarray | None
    aloft_from_deg: np.ndarray | None
    source: str
    fingerprint: str

    @property
    def known(self) -> np.ndarray:
        """Hours whose wind is known: at the surface and, where the season has a second height, aloft."""
        found = np.isfinite(self.speed_mps) & np.isfinite(self.from_deg)
        if self.aloft_mps is not None and self.aloft_from_deg is not None:
            found &= np.isfinite(self.aloft_mps) & np.isfinite(self.aloft_from_deg)
        return found


@dataclass(frozen=True)
class Light:
    """Month, hour of the local day, and whether the sun is up all through each hour."""

    month: np.ndarray
    hour: np.ndarray
    light: np.ndarray


def light_of(winds: Winds, day: LaunchDay) -> Light:
    """The light of each hour at the first pad, in the field's time zone."""
    zone = ZoneInfo(day.timezone)
    lon_deg, lat_deg = day.field.pads[0].position
    local = [start.astimezone(zone) for start in winds.starts]
    up = [sun_is_up(lon_deg, lat_deg, start) for start in winds.starts]
    if winds.starts:
        up.append(sun_is_up(lon_deg, lat_deg, winds.starts[-1] + HOUR))
    both = [before and after for before, after in pairwise(up)]
    return Light(
        np.array([each.month for each in local]), np.array([each.hour for each in local]), np.array(both, dtype=bool)
    )


def rose(winds: Winds, hours: np.ndarray) -> list[tuple[float, float, float]]:
    """Direction, share and mean speed of sixteen sectors over the hours marked. [deg, -, m/s]"""
    speed, origin = winds.speed_mps[hours], winds.from_deg[hours]
    if not speed.size:
        return []
    width = 360.0 / ROSE_SECTORS
    sector = np.round(origin / width).astype(int) % ROSE_SECTORS
    found = []
    for number in range(ROSE_SECTORS):
        here = speed[sector == number]
        found.append((number * width, here.size / speed.size, float(here.mean()) if here.size else 0.0))
    return found
