"""Faults of the ground in a document: boundary, zones, and where the pads stand, of those parts that can be read."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import shapely

from geo.boundary import pads_outside, read_boundary, read_zone
from geo.errors import GeoError
from service.planning.errors import Fault
from service.planning.salvage import readable_boundary, readable_positions, readable_zones

Position = tuple[float, float]

_A_BOUNDARY = "one outline around the pads that does not cross itself"
_A_ZONE = "a shape near the pads that does not cross itself"
_PREDICATES = ("lies", "has", "is", "crosses", "touches")


def geometry_faults(document: Any) -> Iterator[Fault]:
    """Hold boundary, zones and pads against each other."""
    positions = readable_positions(document)
    inside = dict(positions)
    raw = readable_boundary(document)
    if raw is not None:
        try:
            boundary = read_boundary(raw).geometry
            outside = [list(positions)[i] for i in pads_outside(boundary, list(positions.values()))]
            inside = {index: place for index, place in positions.items() if index not in outside}
            if outside and not inside:  # no pad fits: it may be the boundary that is elsewhere
                read_boundary(raw, list(positions.values()))
        except GeoError as error:
            yield split("/field/boundary" + error.path, error.text, _A_BOUNDARY)
        else:
            yield from (_pad_fault(index, positions[index], boundary) for index in outside)
    for index, geometry in readable_zones(document).items():
        try:
            read_zone(geometry, list(inside.values()))
        except GeoError as error:
            yield split(f"/field/zones/{index}/geometry{error.path}", error.text, _A_ZONE)


def _pad_fault(index: int, place: Position, boundary: shapely.Geometry) -> Fault:
    lon_deg, lat_deg = place
    fits_swapped = abs(lon_deg) <= 90.0 and not pads_outside(boundary, [(lat_deg, lon_deg)])
    return Fault(
        f"/field/pads/{index}/position",
        f"[{lon_deg:.9g}, {lat_deg:.9g}], outside the boundary" + (", inside when swapped" if fits_swapped else ""),
        "a position inside the boundary, as [longitude, latitude]",
    )


def split(where: str, text: str, expected: str) -> Fault:
    """A fault from a sentence that says what was found and, after a semicolon, what would be right."""
    found, _, right = text.partition("; ")
    found = found.removeprefix("found ")
    if found.split(" ", 1)[0] in _PREDICATES:
        found = f"one that {found}"
    return Fault(where, found, f"{expected}; {right}" if right else expected)
