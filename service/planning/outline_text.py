"""Boundaries and zones as people have them: a GeoJSON or KML text, or coordinates pasted line by line."""

from __future__ import annotations

import json
import re
from typing import Any

from geo.errors import GeoError
from geo.files import read_shapes
from service.models.field import LINE_KINDS

AREAS = ("Polygon", "MultiPolygon")
LINES = ("LineString",)
MOST_POINTS = 10_000
_NUMBER = r"[+-]?\d+(?:\.\d+)?"
_POINT = re.compile(rf"({_NUMBER})°?[\s,;]+({_NUMBER})°?(?:[\s,;]+{_NUMBER})?")
Geometry = dict[str, Any]


class BadOutline(ValueError):
    """The text is no outline; says where, what was found and what would be right."""


def read_outline(text: str, *, kind: str = "", which: str = "") -> Geometry:
    """One shape as GeoJSON, unchecked: the document's own door checks it.

    Parameters
    ----------
    text : str
        GeoJSON, KML, or a line for each corner: latitude, then longitude, in degrees.
    kind : str
        The zone's kind, '' for a boundary. A road, a power line, water and trees may be lines: pasted coordinates
        are one unless the last repeats the first.
    which : str
        Name of the shape to take, where a file holds several.

    Raises
    ------
    BadOutline

    Examples
    --------
    >>> read_outline("46.91, -97.52\\n46.92, -97.51\\n46.91, -97.51")["coordinates"][0][0]
    [-97.52, 46.91]
    """
    begins = text.lstrip("\ufeff \t\r\n")[:1]
    if begins in ("{", "<"):
        found = outlines_of(text.encode(), lines=kind in LINE_KINDS)
        return _picked(found, which)[1]
    return _pasted(text, kind)


def outlines_of(data: bytes, *, lines: bool = True) -> list[tuple[str, Geometry]]:
    """Every area of a GeoJSON, KML or KMZ file, and with `lines` every line, each with its name.

    Raises
    ------
    BadOutline
        If it is none of them, or holds no such shape.
    """
    try:
        shapes = read_shapes(data)
    except GeoError as error:
        raise BadOutline(str(error)) from None
    wanted = (*AREAS, *LINES) if lines else AREAS
    found = [(name, shape) for name, shape in shapes if isinstance(shape, dict) and shape.get("type") in wanted]
    if not found:
        kinds = ", ".join(sorted({str(shape.get("type")) for _, shape in shapes if isinstance(shape, dict)})) or "none"
        raise BadOutline(f"found no {'area or line' if lines else 'area'} (shapes in it: {kinds}); expected a polygon")
    return [(name, {"type": shape["type"], "coordinates": _flat(shape["coordinates"])}) for name, shape in found]


def write_outline(geometry: Geometry) -> str:
    """The same as text to be edited: coordinates line by line where that says it all, else GeoJSON.

    >>> write_outline({"type": "LineString", "coordinates": [[-97.5, 46.25], [-97.4, 46.5]]})
    '46.25, -97.5\\n46.5, -97.4'
    """
    coordinates = geometry["coordinates"]
    if geometry["type"] == "Polygon" and len(coordinates) == 1:
        points = coordinates[0]
    elif geometry["type"] == "LineString" and coordinates[0] != coordinates[-1]:
        points = coordinates
    else:
        return json.dumps({"type": geometry["type"], "coordinates": coordinates})
    return "\n".join(f"{lat_deg!r}, {lon_deg!r}" for lon_deg, lat_deg in points)


def read_position(text: str) -> list[float]:
    """One place, latitude then longitude, as [longitude, latitude].

    >>> read_position("46.915, -97.515")
    [-97.515, 46.915]
    """
    match = _POINT.fullmatch(text.strip())
    if match is None:
        raise BadOutline(f'found "{text[:40]}"; expected latitude, longitude in degrees, such as 46.915, -97.515')
    return [float(match[2]), float(match[1])]


def _pasted(text: str, kind: str) -> Geometry:
    points = []
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip():
            continue
        try:
            points.append(read_position(line))
        except BadOutline as error:
            raise BadOutline(f"line {number}: {error}") from None
        if len(points) > MOST_POINTS:
            raise BadOutline(f"line {number}: found more than {MOST_POINTS} points; expected fewer")
    closed = len(points) > 3 and points[0] == points[-1]
    if kind in LINE_KINDS and not closed:
        if len(points) < 2:
            found = f"{len(points)} point{'' if len(points) == 1 else 's'}"
            raise BadOutline(f"found {found}; expected at least 2 for a line")
        return {"type": "LineString", "coordinates": points}
    if len(points) - closed < 3:
        raise BadOutline(f"found {len(points)} corners; expected at least 3, one a line: latitude, longitude")
    return {"type": "Polygon", "coordinates": [points if closed else [*points, points[0]]]}


def _picked(found: list[tuple[str, Geometry]], which: str) -> tuple[str, Geometry]:
    if which:
        named = [each for each in found if each[0].strip().casefold() == which.strip().casefold()]
        if len(named) == 1:
            return named[0]
    elif len(found) == 1:
        return found[0]
    names = ", ".join(f'"{name}"' if name else "one without a name" for name, _ in found[:12])
    asked = f'no one shape named "{which[:40]}"' if which else f"{len(found)} shapes"
    raise BadOutline(f"found {asked} ({names}); expected the name of the one to take")


def _flat(coordinates: Any) -> Any:
    """Coordinates without heights: a position of a launch day is longitude and latitude."""
    if isinstance(coordinates, list | tuple):
        if coordinates and not isinstance(coordinates[0], list | tuple):
            return list(coordinates[:2])
        return [_flat(each) for each in coordinates]
    return coordinates
