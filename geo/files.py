"""Shapes from a file of unknown kind: GeoJSON, KML or KMZ, told apart by how it begins."""

from __future__ import annotations

from typing import Any

from geo.errors import BadFile
from geo.geojson import geojson_shapes
from geo.kml import kml_shapes


def read_shapes(data: bytes) -> list[tuple[str, dict[str, Any]]]:
    """Every shape of a file, as (name, GeoJSON geometry), unchecked: hand each to `boundary`.

    Examples
    --------
    >>> read_shapes(b'{"type": "Point", "coordinates": [1.0, 2.0]}')
    [('', {'type': 'Point', 'coordinates': [1.0, 2.0]})]

    Raises
    ------
    BadFile
        If it begins like none of the three, or cannot be read as the one it begins like.
    """
    begins = data[:64].removeprefix(b"\xef\xbb\xbf").lstrip()[:4]
    if begins.startswith(b"{"):
        return geojson_shapes(data)
    if begins.startswith(b"<") or begins == b"PK\x03\x04" or data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return kml_shapes(data)
    raise BadFile(f"begins with {data[:12]!r}; a GeoJSON file begins with {{, a KML file with <, a KMZ file with PK")
