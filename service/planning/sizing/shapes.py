"""Areas of the ground as GeoJSON."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from service.planning.ground import Ground


def geojson_area(ground: Ground, shape: shapely.Geometry) -> dict[str, Any]:
    """A shape in the ground's frame as a Polygon or MultiPolygon of [longitude, latitude], to a centimetre."""
    degrees = shapely.transform(ground.frame.unproject_geometry(shape), lambda xy: np.round(xy, 7))
    mapping = shapely.geometry.mapping(degrees)
    return {"type": mapping["type"], "coordinates": _lists(mapping["coordinates"])}


def _lists(value: Any) -> Any:
    return [_lists(each) for each in value] if isinstance(value, tuple | list) else value
