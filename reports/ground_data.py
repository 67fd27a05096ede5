"""The ground as a drawing needs it: plain points in metres.

All points of one sheet share one frame, (east_m, north_m) about any origin on the field, north up.
A ring need not repeat its first point.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from reports.amounts import Mode

Point = tuple[float, float]
Path = tuple[Point, ...]
ZoneKind = Literal["people", "parking", "building", "road", "power_line", "water", "trees", "keep_out"]


@dataclass(frozen=True)
class Zone:
    """An area (rings: outer first, then holes), a line or a point inside or near the field."""

    name: str
    kind: ZoneKind
    paths: tuple[Path, ...]
    shape: Literal["area", "line", "point"] = "area"
    people: int | None = None


@dataclass(frozen=True)
class PadMark:
    name: str
    at: Point


@dataclass(frozen=True)
class FieldPlan:
    """Boundary rings (outer first, then holes), zones and pads."""

    name: str
    boundary: tuple[Path, ...]
    zones: tuple[Zone, ...] = ()
    pads: tuple[PadMark, ...] = ()


@dataclass(frozen=True)
class Contour:
    """The smallest ground that holds this share (0 to 1) of the landings; rings, holes included, in any order."""

    share: float
    rings: tuple[Path, ...]


@dataclass(frozen=True)
class NearestEdge:
    """From the contour to the boundary; negative distance where the contour crosses it."""

    distance_m: float
    bearing_deg: float  # the way from the footprint to that edge, clockwise from true north
    contour_point: Point
    boundary_point: Point
    share: float = 0.99  # of which contour


@dataclass(frozen=True)
class Footprint:
    """Where one mode may land. None stands for what is not known, `why_unknown` says why."""

    mode: Mode
    contours: tuple[Contour, ...] = ()
    landing: Point | None = None  # of the nominal flight
    chance_inside: float | None = None
    chance_inside_low: float | None = None
    chance_inside_high: float | None = None
    nearest_edge: NearestEdge | None = None
    farthest_m: float | None = None  # from the pad, of all samples
    samples: int | None = None
    why_unknown: str = ""
