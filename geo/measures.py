"""Lengths on the field: to the nearest edge, to the nearest zone, across. Local metres throughout."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

import numpy as np
import shapely

from geo.bearings import bearing_of_deg
from geo.errors import BadGeometry


class Nearest(NamedTuple):
    """The nearest point of something: how far, which way, and where."""

    distance_m: float
    bearing_deg: float
    east_m: float
    north_m: float


class NearestZone(NamedTuple):
    """The nearest zone of a kind. The distance is 0 inside it."""

    name: str
    distance_m: float
    bearing_deg: float


def edge_of(polygon: shapely.Geometry) -> shapely.Geometry:
    """The outline of a shape with its holes, as lines; lines and points are their own edge."""
    return polygon.boundary if polygon.area > 0.0 else polygon


def nearest_edge(polygon: shapely.Geometry, east_m: float = 0.0, north_m: float = 0.0) -> Nearest:
    """From a point to the nearest edge of a shape, holes included.

    Returns
    -------
    Nearest
        The distance is positive inside and negative outside. [m] The bearing points at the nearest edge
        from either side; 0 on the edge itself.

    Examples
    --------
    >>> nearest_edge(shapely.box(-100.0, -100.0, 50.0, 100.0))
    Nearest(distance_m=50.0, bearing_deg=90.0, east_m=50.0, north_m=0.0)
    """
    if polygon.is_empty or not (math.isfinite(east_m) and math.isfinite(north_m)):
        raise BadGeometry(
            f"no edge is nearest to ({east_m}, {north_m}) m: give a finite point and a shape that is not empty"
        )
    point = shapely.Point(east_m, north_m)
    (_, _), (to_east, to_north) = shapely.shortest_line(point, edge_of(polygon)).coords
    distance_m = math.hypot(to_east - east_m, to_north - north_m)
    sign = 1.0 if shapely.contains(polygon, point) else -1.0
    if distance_m == 0.0:
        return Nearest(0.0, 0.0, to_east, to_north)
    return Nearest(sign * distance_m, bearing_of_deg(to_east - east_m, to_north - north_m), to_east, to_north)


def minimum_width_m(polygon: shapely.Geometry) -> float:
    """Least distance between two parallel lines that hold the shape between them. [m]

    Rotating calipers over the convex hull. For a shape with bays (an L, a U) the width is that of its hull,
    which is more than the room inside: `inscribed_circle` gives the room.

    Examples
    --------
    >>> round(minimum_width_m(shapely.box(0.0, 0.0, 300.0, 120.0)), 9)
    120.0
    """
    hull = shapely.convex_hull(polygon)
    if not isinstance(hull, shapely.Polygon):
        return 0.0
    xy = np.asarray(hull.exterior.coords)
    edges = np.diff(xy, axis=0)
    normals = np.column_stack([-edges[:, 1], edges[:, 0]]) / np.hypot(edges[:, 0], edges[:, 1])[:, None]
    heights = normals @ xy.T
    return float((heights.max(axis=1) - heights.min(axis=1)).min())


def inscribed_circle(polygon: shapely.Geometry) -> tuple[float, float, float]:
    """The largest circle that fits inside: (east_m, north_m, radius_m), to 1 cm or 1e-4 of the size."""
    west, south, east, north = polygon.bounds
    tolerance_m = max(0.01, 1e-4 * max(east - west, north - south))
    radius = shapely.maximum_inscribed_circle(polygon, tolerance=tolerance_m)
    (east_m, north_m), _ = radius.coords
    return east_m, north_m, float(radius.length)


def nearest_zone_by_kind(
    zones: Iterable[tuple[str, str, shapely.Geometry]], east_m: float = 0.0, north_m: float = 0.0
) -> dict[str, NearestZone]:
    """From a point to the nearest zone of each kind.

    Parameters
    ----------
    zones : iterable of (kind, name, geometry)
        In the same local metres.
    east_m, north_m : float
        The point, such as a pad. [m]

    Examples
    --------
    >>> nearest_zone_by_kind([("road", "Mill lane", shapely.LineString([(-9.0, -30.0), (9.0, -30.0)]))])
    {'road': NearestZone(name='Mill lane', distance_m=30.0, bearing_deg=180.0)}
    """
    point = shapely.Point(east_m, north_m)
    found: dict[str, NearestZone] = {}
    for kind, name, geometry in zones:
        if geometry.is_empty:
            raise BadGeometry(f"zone {name!r} is empty; it needs a shape")
        _, (to_east, to_north) = shapely.shortest_line(point, geometry).coords
        away = NearestZone(
            name, math.hypot(to_east - east_m, to_north - north_m), bearing_of_deg(to_east - east_m, to_north - north_m)
        )
        if kind not in found or away.distance_m < found[kind].distance_m:
            found[kind] = away
    return found


def as_area(geometry: shapely.Geometry, half_width_m: float) -> shapely.Geometry:
    """Give a line or a point (a road, wires, a mast) a width; shapes with an area are left as they are.

    A circle of 16 corners a quarter falls short of its radius by at most 0.12 %.
    """
    if geometry.area > 0.0:
        return geometry
    if not (math.isfinite(half_width_m) and half_width_m > 0.0):
        raise BadGeometry(f"a half width of {half_width_m} m makes no area; give more than zero")
    return shapely.buffer(geometry, half_width_m, quad_segs=16)
