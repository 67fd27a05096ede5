"""GeoJSON texts (RFC 7946) in and out."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any

import shapely

from geo.errors import BadFile
from geo.features import Feature, for_file

MAX_BYTES = 8_000_000  # engineering choice
MAX_FEATURES = 5_000


def parse_geojson(text: str | bytes) -> dict[str, Any]:
    """A GeoJSON text as a dict, for `boundary.read_boundary` or `boundary.read_zone`.

    Raises
    ------
    BadFile
        If it is too long, no UTF-8, no JSON, holds NaN or Infinity, or is not an object with a type.
    """
    if len(text) > MAX_BYTES:
        raise BadFile(f"the GeoJSON text has {len(text):,} bytes; at most {MAX_BYTES:,} are read")
    if isinstance(text, bytes):
        try:
            text = text.decode("utf-8-sig")
        except UnicodeDecodeError as fault:
            raise BadFile(f"byte {fault.start} is no UTF-8; save the GeoJSON as UTF-8") from None
    try:
        found = json.loads(text, parse_constant=_no_constant)
    except json.JSONDecodeError as fault:
        raise BadFile(f"line {fault.lineno}, column {fault.colno}: {fault.msg}; a GeoJSON text was wanted") from None
    except RecursionError:
        raise BadFile("brackets are nested too deep for any GeoJSON") from None
    except ValueError as fault:
        if isinstance(fault, BadFile):
            raise
        raise BadFile(f"{fault}; a GeoJSON text was wanted") from None
    if not isinstance(found, dict) or not isinstance(found.get("type"), str):
        raise BadFile("a GeoJSON text is an object with a type, such as Feature or Polygon")
    return found


def geojson_shapes(text: str | bytes) -> list[tuple[str, dict[str, Any]]]:
    """Every geometry in a GeoJSON text, as (name, GeoJSON geometry), unchecked: hand each to `boundary`."""
    found = parse_geojson(text)
    if found["type"] == "FeatureCollection":
        features = found.get("features")
        if not isinstance(features, list):
            raise BadFile("a FeatureCollection needs a list of features", "/features")
    else:
        features = [found] if found["type"] == "Feature" else [{"geometry": found}]
    if len(features) > MAX_FEATURES:
        raise BadFile(f"holds {len(features):,} features; at most {MAX_FEATURES:,} are read", "/features")
    shapes = []
    for i, feature in enumerate(features):
        if not isinstance(feature, dict) or not isinstance(feature.get("geometry"), dict):
            raise BadFile("a feature needs a geometry", f"/features/{i}/geometry")
        properties = feature.get("properties")
        name = properties.get("name", "") if isinstance(properties, dict) else ""
        shapes.append((str(name), feature["geometry"]))
    return shapes


def to_geojson(features: Iterable[Feature], about: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """Features as a FeatureCollection; `about` becomes further members of it (RFC 7946, section 6.1)."""
    return {
        "type": "FeatureCollection",
        **(about or {}),
        "features": [
            {
                "type": "Feature",
                "geometry": json.loads(shapely.to_geojson(for_file(feature.geometry))),
                "properties": {
                    "name": feature.name,
                    **({"kind": feature.kind} if feature.kind else {}),
                    **({"description": feature.description} if feature.description else {}),
                    **feature.properties,
                },
            }
            for feature in features
        ],
    }


def write_geojson(features: Iterable[Feature], about: Mapping[str, Any] | None = None) -> str:
    """Features as a GeoJSON text. Numbers that are not finite are refused."""
    try:
        return json.dumps(to_geojson(features, about), ensure_ascii=False, allow_nan=False, indent=1) + "\n"
    except ValueError as fault:
        raise BadFile(f"cannot be written as JSON: {fault}") from None


def _no_constant(name: str) -> float:
    raise BadFile(f"{name} is no JSON number; every number needs to be finite")
