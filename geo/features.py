"""A named shape with what is to be said about it: what the file readers give and the writers take."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import shapely

DECIMALS = 7  # of a degree: 1 cm, finer than any field is surveyed


@dataclass(frozen=True)
class Feature:
    """A shape in [longitude, latitude].

    `kind` picks the style of a KML file: `boundary`, `pad`, a zone kind, `contour_50`, `contour_95`,
    `contour_99`, `landing`, `track`; any other is drawn plainly. `properties` are plain words and numbers.
    """

    name: str
    geometry: shapely.Geometry
    kind: str = ""
    description: str = ""
    properties: Mapping[str, Any] = field(default_factory=dict)


def for_file(geometry: shapely.Geometry) -> shapely.Geometry:
    """In two dimensions, rounded, outlines anticlockwise, cut at the antimeridian (RFC 7946, 3.1.6 and 3.1.9)."""
    flat = shapely.force_2d(geometry)
    west, _, east, _ = flat.bounds
    if west < -180.0 or east > 180.0:
        pieces = []
        for turn in (-1, 0, 1):
            world = shapely.box(360.0 * turn - 180.0, -90.0, 360.0 * turn + 180.0, 90.0)
            piece = shapely.intersection(flat, world)
            if shapely.get_dimensions(piece) == shapely.get_dimensions(flat):  # more than a touch
                pieces.append(_turned(piece, -360.0 * turn))
        flat = shapely.union_all(pieces)
    rounded = shapely.transform(flat, lambda xy: np.round(xy, DECIMALS))
    return shapely.orient_polygons(rounded)


def _turned(geometry: shapely.Geometry, by_deg: float) -> shapely.Geometry:
    return shapely.transform(geometry, lambda xy: xy + np.array([by_deg, 0.0]))
