"""A field's boundary and its zones from GeoJSON: mended where that is certain, refused where it is not."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple, TypeVar

import numpy as np
import shapely

from geo.errors import BadGeometry, BadPosition
from geo.frame import GEODESIC, LocalFrame, check_position
from geo.inside import lie_inside
from geo.rings import (
    SAME_PLACE_DEG,
    Remark,
    explain_crossing,
    near_greenwich,
    read_position,
    read_positions,
    read_ring,
    without_repeats,
)

MAX_SIZE_M = 200_000.0  # engineering choice: no club field is wider; a wider one is a slip of the pen
MAX_FROM_PADS_M = 20_000.0  # engineering choice, the same
MIN_AREA_M2 = 1.0  # engineering choice: less is a line or a dot

Position = tuple[float, float]
Part = TypeVar("Part", bound=shapely.Geometry)


class ReadShape(NamedTuple):
    """A shape in [longitude, latitude], and what was mended on the way in."""

    geometry: shapely.Geometry
    remarks: list[Remark]


def read_boundary(geojson: Mapping[str, Any], pads: Sequence[Position] = ()) -> ReadShape:
    """The outline of a field, with any holes, as a valid shapely Polygon in degrees.

    Parameters
    ----------
    geojson : mapping
        A GeoJSON Polygon, a MultiPolygon of one part, or a Feature or FeatureCollection holding one such.
    pads : sequence of (lon_deg, lat_deg)
        Where rockets leave from. They show whether longitude and latitude were swapped, and whether the
        boundary belongs to another field.

    Returns
    -------
    ReadShape
        The polygon, outline anticlockwise, and a list of `Remark`. Mended with a remark: an open ring, repeated
        positions, the wrong winding, a MultiPolygon or collection of one, an outline that runs on across the
        antimeridian (its longitudes then run on through 180) or was cut there.

    Raises
    ------
    BadGeometry
        With the `path` of the fault: not a polygon; a position that is not finite or not on the Earth; swapped
        longitude and latitude; fewer than 3 corners; crossing itself; a hole outside; no area; wider than
        200 km; farther than 20 km from a pad; several separate parts.

    References
    ----------
    .. [1] RFC 7946 (2016), The GeoJSON Format, sections 3.1.6 and 3.1.9.

    Examples
    --------
    >>> ring = [[-97.52, 46.91], [-97.51, 46.92], [-97.51, 46.91]]
    >>> shape = read_boundary({"type": "Polygon", "coordinates": [ring]})
    >>> for remark in shape.remarks:
    ...     print(remark)
    /coordinates/0: the ring was open; it was closed from its last position to its first
    /coordinates/0: the outline was wound clockwise; its order was turned round
    """
    geojson, path, remarks = _unwrapped(geojson, ("Polygon", "MultiPolygon"), "a boundary")
    kind, coordinates = geojson["type"], geojson["coordinates"]
    path += "/coordinates"
    if kind == "Polygon":
        shape: shapely.Geometry = _polygon(coordinates, path, remarks)
    else:
        shape = _one_part(coordinates, path, remarks)
    return ReadShape(_checked(shape, path, pads, remarks), remarks)


def read_zone(geojson: Mapping[str, Any], pads: Sequence[Position] = ()) -> ReadShape:
    """A zone: Polygon, MultiPolygon, LineString, MultiLineString (a road, a line of wires) or Point.

    Checked and mended like a boundary; several parts are welcome, and overlapping ones are joined.
    `measures.as_area` gives lines and points a width.
    """
    kinds = ("Polygon", "MultiPolygon", "LineString", "MultiLineString", "Point")
    geojson, path, remarks = _unwrapped(geojson, kinds, "a zone")
    kind, coordinates = geojson["type"], geojson["coordinates"]
    path += "/coordinates"
    shape: shapely.Geometry
    if kind == "Point":
        shape = shapely.Point(read_position(coordinates, path))
    elif kind == "LineString":
        shape = _line(coordinates, path, remarks)
    elif kind == "Polygon":
        shape = _polygon(coordinates, path, remarks)
    elif kind == "MultiLineString":
        lines = _parts(coordinates, path, lambda part, where: _line(part, where, remarks))
        shape = shapely.MultiLineString(lines) if len(lines) > 1 else lines[0]
    else:
        parts = _parts(coordinates, path, lambda part, where: _polygon(part, where, remarks))
        shape = parts[0]
        if len(parts) > 1:
            shape = shapely.MultiPolygon(parts)
            if not shape.is_valid:
                shape = shapely.orient_polygons(shapely.union_all(parts))
                remarks.append(Remark(path, "parts that overlap or touch were joined"))
    return ReadShape(_checked(shape, path, pads, remarks), remarks)


def pads_outside(boundary: shapely.Geometry, pads: Sequence[Position]) -> list[int]:
    """Which pads do not stand inside a boundary (in degrees); one on its edge is not inside."""
    west, _, east, _ = boundary.bounds
    middle = 0.5 * (west + east)
    return [
        i
        for i, (lon, lat) in enumerate(pads)
        if not lie_inside(boundary, lon + 360.0 * round((middle - lon) / 360.0), lat)
    ]


def _unwrapped(
    geojson: Any, kinds: tuple[str, ...], what: str, path: str = ""
) -> tuple[Mapping[str, Any], str, list[Remark]]:
    """Open a Feature or a collection of one, down to a geometry of a kind that is wanted."""
    wanted = ", ".join(kinds)
    if not isinstance(geojson, Mapping):
        raise BadGeometry(f"found {type(geojson).__name__}; {what} is a GeoJSON object of type {wanted}", path)
    kind = geojson.get("type")
    if kind == "Feature":
        return _unwrapped(geojson.get("geometry"), kinds, what, f"{path}/geometry")
    if kind == "FeatureCollection":
        features = geojson.get("features")
        if not isinstance(features, (list, tuple)) or len(features) != 1:
            count = len(features) if isinstance(features, (list, tuple)) else 0
            raise BadGeometry(f"the collection has {count} features; {what} is exactly one", f"{path}/features")
        geometry, inner, remarks = _unwrapped(features[0], kinds, what, f"{path}/features/0")
        return geometry, inner, [Remark(path, "the only feature of the collection was taken"), *remarks]
    if kind not in kinds:
        raise BadGeometry(f"found type {kind!r}; {what} is one of {wanted}", f"{path}/type")
    if "coordinates" not in geojson:
        raise BadGeometry(f"a {kind} needs coordinates", f"{path}/coordinates")
    return geojson, path, []


def _parts(coordinates: Any, path: str, read: Callable[[Any, str], Part]) -> list[Part]:
    """Read every part; longitudes of the later ones run on from those of the first."""
    if not isinstance(coordinates, (list, tuple)) or not coordinates:
        raise BadGeometry("has no parts; at least one was wanted", path)
    parts = [read(part, f"{path}/{i}") for i, part in enumerate(coordinates)]
    start = parts[0].bounds[0]
    return [_shifted(part, 360.0 * round((start - part.bounds[0]) / 360.0)) for part in parts]


def _shifted(part: Part, by_deg: float) -> Part:
    return shapely.transform(part, lambda xy: xy + np.array([by_deg, 0.0])) if by_deg else part


def _polygon(coordinates: Any, path: str, remarks: list[Remark]) -> shapely.Polygon:
    if not isinstance(coordinates, (list, tuple)) or not coordinates:
        raise BadGeometry("has no rings; a polygon is a list of rings, the outline first", path)
    rings = [read_ring(ring, f"{path}/{i}", remarks, hole=i > 0) for i, ring in enumerate(coordinates)]
    for ring in rings[1:]:
        ring[:, 0] += 360.0 * np.round((rings[0][0, 0] - ring[0, 0]) / 360.0)
    polygon = shapely.Polygon(rings[0], rings[1:])
    hull = shapely.convex_hull(polygon)
    if _area_m2(hull) < MIN_AREA_M2:
        raise BadGeometry("has no area: its corners lie on one line or in one place", f"{path}/0")
    if not polygon.is_valid:
        sub_path, reason = explain_crossing(polygon)
        raise BadGeometry(reason, path + sub_path)
    if _area_m2(polygon) < MIN_AREA_M2:
        raise BadGeometry(f"has an area of less than {MIN_AREA_M2:g} m², which is no ground to stand on", path)
    return polygon


def _line(coordinates: Any, path: str, remarks: list[Remark]) -> shapely.LineString:
    xy = without_repeats(read_positions(coordinates, path), path, remarks)
    if len(xy) < 2:
        raise BadGeometry("has one position only; a line needs at least 2 different ones", path)
    return shapely.LineString(xy)


def _one_part(coordinates: Any, path: str, remarks: list[Remark]) -> shapely.Geometry:
    """The one polygon of a MultiPolygon; two that RFC 7946 had cut at the antimeridian are one."""
    parts = _parts(coordinates, path, lambda part, where: _polygon(part, where, remarks))
    if len(parts) == 1:
        remarks.append(Remark(path, "a MultiPolygon of one part was taken as the polygon it is"))
        return parts[0]
    if all(abs(abs(edge) - 180.0) <= SAME_PLACE_DEG for edge in _touching(parts)):
        joined = shapely.union_all(parts)
        if isinstance(joined, shapely.Polygon):
            remarks.append(Remark(path, "the parts cut at the antimeridian were joined"))
            return shapely.orient_polygons(_without_the_cut(joined))
    raise BadGeometry(
        f"has {len(parts)} separate parts; a boundary is one outline: draw one around what is used, or make "
        "one field of each part",
        path,
    )


def _touching(parts: list[shapely.Polygon]) -> list[float]:
    """Longitudes at which neighbouring parts, sorted from west to east, end and begin."""
    ordered = sorted((part.bounds[0], part.bounds[2]) for part in parts)
    return [edge for (_, east), (west, _) in itertools.pairwise(ordered) for edge in (east, west)]


def _without_the_cut(joined: shapely.Polygon) -> shapely.Polygon:
    """Drop the corners that a cut at the antimeridian left in straight edges."""

    def straightened(ring: shapely.LinearRing) -> np.ndarray:
        xy = np.asarray(ring.coords)[:-1]
        before, after = np.roll(xy, 1, axis=0), np.roll(xy, -1, axis=0)
        along = after - before
        turn = along[:, 0] * (xy[:, 1] - before[:, 1]) - along[:, 1] * (xy[:, 0] - before[:, 0])
        on_cut = np.abs(np.abs(xy[:, 0]) - 180.0) <= SAME_PLACE_DEG
        return xy[~(on_cut & (np.abs(turn) <= 1e-7 * np.hypot(*along.T)))]

    return shapely.Polygon(straightened(joined.exterior), [straightened(hole) for hole in joined.interiors])


def _checked(shape: shapely.Geometry, path: str, pads: Sequence[Position], remarks: list[Remark]) -> shapely.Geometry:
    """Size, antimeridian and distance from the pads."""
    west, south, east, north = shape.bounds
    _, _, size_m = GEODESIC.inv(west, south, east, north)
    if east - west > 180.0 or size_m > MAX_SIZE_M:
        xy = shapely.get_coordinates(shape)
        lon, lat = xy[np.argmax(np.abs(xy - np.median(xy, axis=0)).max(axis=1))]
        lon -= 360.0 * round(lon / 360.0)
        raise BadGeometry(
            f"is {size_m / 1000.0:,.0f} km across; at most {MAX_SIZE_M / 1000.0:g} km are taken. "
            f"The position farthest from the others is [{lon:g}, {lat:g}]",
            path,
        )
    brought = near_greenwich(shape)
    if brought.bounds[0] < -180.0 or brought.bounds[2] > 180.0:
        remarks.append(Remark(path, "it crosses the antimeridian; its longitudes were run on through 180"))
    elif brought is not shape:
        remarks.append(Remark(path, "longitudes beyond 180 were brought back by a full turn"))
    _check_pads(brought, path, pads)
    return brought


def _check_pads(shape: shapely.Geometry, path: str, pads: Sequence[Position]) -> None:
    for i, (lon, lat) in enumerate(pads):
        try:
            check_position(lon, lat)
        except BadPosition as fault:
            raise BadPosition(f"pad {i}: {fault.text}", fault.path) from None
    apart_m = [_distance_m(shape, pad) for pad in pads]
    if not apart_m or max(apart_m) <= MAX_FROM_PADS_M:
        return
    farthest = int(np.argmax(apart_m))
    lon, lat = pads[farthest]
    found = f"lies {apart_m[farthest] / 1000.0:,.0f} km from pad {farthest} at [{lon:g}, {lat:g}]"
    turned = shapely.transform(shape, lambda xy: xy[:, ::-1])
    fits = bool((np.abs(shapely.get_coordinates(turned)[:, 1]) <= 90.0).all())
    if fits and max(_distance_m(turned, pad) for pad in pads) <= MAX_FROM_PADS_M:
        raise BadGeometry(
            f"{found}, but would fit with its numbers swapped; write longitude first: [longitude, latitude]", path
        )
    raise BadGeometry(
        f"{found}; at most {MAX_FROM_PADS_M / 1000.0:g} km are taken: is it another field's, or the pad wrong?", path
    )


def _distance_m(shape: shapely.Geometry, pad: Position) -> float:
    frame = LocalFrame(lon_deg=pad[0], lat_deg=pad[1])
    return float(shapely.distance(frame.project_geometry(shape), shapely.Point(0.0, 0.0)))


def _area_m2(shape: shapely.Geometry) -> float:
    west, south, east, north = shape.bounds
    lon = 0.5 * (west + east)
    frame = LocalFrame(lon_deg=lon - 360.0 * round(lon / 360.0), lat_deg=0.5 * (south + north))
    straight = shapely.transform(shape, lambda xy: np.column_stack(frame.to_local(xy[:, 0], xy[:, 1])))
    return float(straight.area)
