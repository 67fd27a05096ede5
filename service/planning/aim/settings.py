"""Settings of a guide on a lattice that can be set by hand: half degrees of tilt, whole degrees of azimuth."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

TILT_STEP_DEG = 0.5
RINGS = 5  # of the coarse grid, evenly out to the limit
BEARING_STEP_DEG = 30
STEPS = ((4, 15), (2, 6), (1, 3), (1, 2), (1, 1))  # of the refinement: half degrees of tilt, degrees of azimuth


@dataclass(frozen=True, order=True)
class Setting:
    """Tilt in half degrees from vertical, azimuth in whole degrees; upright has azimuth 0."""

    half_deg: int
    azimuth_deg: int

    @property
    def tilt_deg(self) -> float:
        return self.half_deg * TILT_STEP_DEG

    @property
    def tilt_rad(self) -> float:
        return math.radians(self.tilt_deg)

    @property
    def azimuth_rad(self) -> float:
        return math.radians(self.azimuth_deg)

    def apart_deg(self, other: Setting) -> float:
        """How far apart two settings point, as lean east and north. [degrees]"""
        return math.hypot(
            self.tilt_deg * math.sin(self.azimuth_rad) - other.tilt_deg * math.sin(other.azimuth_rad),
            self.tilt_deg * math.cos(self.azimuth_rad) - other.tilt_deg * math.cos(other.azimuth_rad),
        )


def setting(half_deg: int, azimuth_deg: int) -> Setting:
    """A setting in its one form: a lean past upright is a lean to the other side.

    >>> setting(-4, 20), setting(0, 77), setting(6, 365)
    (Setting(half_deg=4, azimuth_deg=200), Setting(half_deg=0, azimuth_deg=0), Setting(half_deg=6, azimuth_deg=5))
    """
    if half_deg < 0:
        half_deg, azimuth_deg = -half_deg, azimuth_deg + 180
    return Setting(half_deg, azimuth_deg % 360 if half_deg else 0)


def nearest_setting(tilt_deg: float, azimuth_deg: float, most_half_deg: int) -> Setting:
    """The lattice's setting next to any tilt and azimuth, within the limit."""
    return setting(min(round(tilt_deg / TILT_STEP_DEG), most_half_deg), round(azimuth_deg))


def coarse_grid(most_half_deg: int) -> list[Setting]:
    """Upright, and rings of even tilt out to the limit, twelve bearings each."""
    rings = sorted({round(most_half_deg * ring / RINGS) for ring in range(1, RINGS + 1)} - {0})
    return [setting(0, 0), *(setting(ring, bearing) for ring in rings for bearing in range(0, 360, BEARING_STEP_DEG))]


def neighbours(here: Setting, tilt_step: int, azimuth_step: int, most_half_deg: int) -> Iterator[Setting]:
    """The settings around one, within the limit. Round upright, all bearings are neighbours."""
    if here.half_deg == 0:
        found = [setting(tilt_step, bearing) for bearing in range(0, 360, BEARING_STEP_DEG)]
    else:
        found = [
            setting(here.half_deg + tilt_step * a, here.azimuth_deg + azimuth_step * b)
            for a in (-1, 0, 1) for b in (-1, 0, 1) if (a, b) != (0, 0)
        ]  # fmt: skip
    yield from (each for each in dict.fromkeys(found) if each.half_deg <= most_half_deg and each != here)
