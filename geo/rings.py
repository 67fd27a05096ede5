"""Positions and rings of a GeoJSON geometry, checked one by one; what is certain to mend is mended."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from geo.errors import BadGeometry

MAX_POSITIONS = 20_000  # engineering choice: a surveyed field needs hundreds
SAME_PLACE_DEG = 1e-9  # 0.1 mm: below what any file or survey means
POLE_LIMIT_DEG = 89.0  # nearer to a pole an edge straight in longitude and latitude is no edge of a field


@dataclass(frozen=True)
class Remark:
    """Something that was mended, and where (JSON pointer from the geometry handed in)."""

    path: str
    text: str

    def __str__(self) -> str:
        return f"{self.path}: {self.text}" if self.path else self.text


def read_position(value: Any, path: str) -> tuple[float, float]:
    """One [longitude, latitude] or [longitude, latitude, height]; the height is dropped."""
    if not isinstance(value, (list, tuple)) or len(value) < 2 or len(value) > 4:
        raise BadGeometry(f"found {_shown(value)}; a position is [longitude, latitude]", path)
    for number in value:
        if isinstance(number, bool) or not isinstance(number, (int, float)):
            raise BadGeometry(f"found {_shown(value)}; a position is two numbers, [longitude, latitude]", path)
    try:
        lon, lat = float(value[0]), float(value[1])
    except OverflowError:
        lon = lat = math.inf
    if not (math.isfinite(lon) and math.isfinite(lat)):
        raise BadGeometry(f"found {_shown(value)}; both numbers of a position need to be finite", path)
    if abs(lat) > 90.0:
        hint = (
            "; the two look swapped: write longitude first"
            if abs(lat) <= 180.0 and abs(lon) <= 90.0
            else "; latitudes run from -90 to 90"
        )
        raise BadGeometry(f"latitude {lat:g} in {_shown(value)} does not exist{hint}", path)
    if abs(lat) > POLE_LIMIT_DEG:
        raise BadGeometry(f"latitude {lat:g} is within 111 km of a pole, where such edges mean nothing", path)
    if abs(lon) > 360.0:
        raise BadGeometry(f"longitude {lon:g} does not exist; longitudes run from -180 to 180", path)
    return lon, lat


def read_positions(value: Any, path: str) -> np.ndarray:
    """A list of positions as an array, shape (n, 2), longitudes run on through 180 rather than jump."""
    if not isinstance(value, (list, tuple)):
        raise BadGeometry(f"found {_shown(value)}; a list of positions was wanted", path)
    if len(value) > MAX_POSITIONS:
        raise BadGeometry(f"has {len(value):,} positions; at most {MAX_POSITIONS:,} are read: thin it out", path)
    if not value:
        raise BadGeometry("is empty; a list of positions was wanted", path)
    xy = np.array([read_position(item, f"{path}/{i}") for i, item in enumerate(value)], dtype=float)
    xy[:, 0] += 360.0 * np.round((xy[0, 0] - xy[:, 0]) / 360.0)
    return xy


def without_repeats(xy: np.ndarray, path: str, remarks: list[Remark]) -> np.ndarray:
    """Drop positions that repeat the one before."""
    repeated = np.concatenate([[False], (np.abs(np.diff(xy, axis=0)) <= SAME_PLACE_DEG).all(axis=1)])
    if repeated.any():
        first = int(np.flatnonzero(repeated)[0])
        count = int(repeated.sum())
        remarks.append(
            Remark(f"{path}/{first}", f"{count} position(s) that repeat the one before, from this on, were dropped")
        )
    return xy[~repeated]


def read_ring(value: Any, path: str, remarks: list[Remark], *, hole: bool) -> np.ndarray:
    """One ring of a polygon: closed, without repeats, wound as RFC 7946 wants (section 3.1.6).

    Returns
    -------
    ndarray, shape (n, 2)
        First and last position equal.
    """
    given = read_positions(value, path)
    closed = len(given) > 1 and bool((np.abs(given[0] - given[-1]) <= SAME_PLACE_DEG).all())
    mended: list[Remark] = []
    xy = without_repeats(given, path, mended)
    xy = xy[:-1] if closed else xy
    if len(np.unique(xy, axis=0)) < 3:
        raise BadGeometry(
            f"has {len(np.unique(xy, axis=0))} different position(s); a ring needs at least 3, and the first again",
            path,
        )
    if not closed:
        mended.append(Remark(path, "the ring was open; it was closed from its last position to its first"))
    ring = np.vstack([xy, xy[:1]])
    area = float(np.sum((ring[:-1, 0] - ring[0, 0]) * (ring[1:, 1] - ring[0, 1])
                        - (ring[1:, 0] - ring[0, 0]) * (ring[:-1, 1] - ring[0, 1])))  # fmt: skip
    remarks.extend(mended)
    if (area > 0.0) == hole and area != 0.0:
        was = "anticlockwise" if hole else "clockwise"
        remarks.append(Remark(path, f"the {'hole' if hole else 'outline'} was wound {was}; its order was turned round"))
        ring = ring[::-1]
    return ring


def near_greenwich(geometry: shapely.Geometry) -> shapely.Geometry:
    """Shift a whole shape by full turns so that its middle lies within -180 to 180."""
    west, _, east, _ = geometry.bounds
    turns = math.floor((0.5 * (west + east) + 180.0) / 360.0)
    if turns == 0:
        return geometry
    return shapely.transform(geometry, lambda xy: xy - np.array([360.0 * turns, 0.0]))


def explain_crossing(polygon: shapely.Polygon) -> tuple[str, str]:
    """Why a polygon is not valid: (sub-path, sentence)."""
    reason = shapely.is_valid_reason(polygon)
    kind, _, place = reason.partition("[")
    found = place.rstrip("]").split()
    where, sub_path = "", ""
    if len(found) == 2:
        lon, lat = float(found[0]), float(found[1])
        where = f" near [{lon:.6f}, {lat:.6f}]"
        spot = shapely.Point(lon, lat)
        for index, ring in enumerate([polygon.exterior, *polygon.interiors]):
            xy = np.asarray(ring.coords)
            edges = shapely.linestrings(np.stack([xy[:-1], xy[1:]], axis=1))
            touched = np.flatnonzero(shapely.distance(edges, spot) <= SAME_PLACE_DEG)
            if len(touched):
                sub_path = sub_path or f"/{index}"
            if len(touched) > 1:
                where += f", where edges {_listed(touched)} of ring {index} meet (counted from 0)"
    kind = kind.strip().lower()
    if "hole lies outside" in kind:
        return sub_path, f"a hole lies outside the outline{where}; leave it out"
    if "nested holes" in kind or "holes are nested" in kind:
        return sub_path, f"one hole lies inside another{where}; leave the inner one out"
    if "interior is disconnected" in kind:
        return sub_path, f"a hole cuts the shape in two{where}; draw the part that is meant"
    return sub_path, f"the outline crosses or touches itself{where}; list its corners in order, once round"


def _listed(indices: np.ndarray) -> str:
    shown = [str(int(i)) for i in indices[:4]]
    return " and ".join([", ".join(shown[:-1]), shown[-1]]) if len(shown) > 1 else shown[0]


def _shown(value: Any) -> str:
    text = repr(value)
    return text if len(text) <= 60 else text[:57] + "..."
