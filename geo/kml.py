"""KML texts in and out (OGC KML 2.2, 07-147r2, which 2.3 readers take); zipped ones (KMZ) in."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterable
from typing import Any
from xml.etree.ElementTree import Element, SubElement

import shapely

from geo.errors import BadFile
from geo.features import Feature, for_file
from geo.xmltext import MAX_BYTES, parse_xml, printable, xml_bytes

NAMESPACE = "http://www.opengis.net/kml/2.2"
MAX_SHAPES = 5_000

# line colour, line width, fill colour; KML writes colours as opacity, blue, green, red
STYLES = {
    "": ("ff2a2a2a", 1.5, "332a2a2a"),
    "boundary": ("ff2a2a2a", 3.0, "00ffffff"),
    "pad": ("ff2a2a2a", 1.0, "ff2a2a2a"),
    "landing": ("ff5a3a1e", 1.0, "ff5a3a1e"),
    "track": ("ff5a3a1e", 2.0, "00ffffff"),
    "contour_50": ("ff6b3f14", 2.0, "736b3f14"),
    "contour_95": ("ff8c5a28", 2.0, "4d8c5a28"),
    "contour_99": ("ffb48a5f", 1.5, "26b48a5f"),
    "people": ("ff1f2f9e", 2.5, "591f2f9e"),
    "parking": ("ff1f5f9e", 2.0, "4d1f5f9e"),
    "building": ("ff3a3a6e", 2.0, "663a3a6e"),
    "road": ("ff5e5e5e", 3.0, "4d5e5e5e"),
    "power_line": ("ff00429e", 2.5, "4d00429e"),
    "water": ("ff9e6a1f", 1.5, "599e6a1f"),
    "trees": ("ff2f6b2a", 1.5, "592f6b2a"),
    "keep_out": ("ff1414b4", 3.0, "4d1414b4"),
}


def kml_shapes(data: str | bytes) -> list[tuple[str, dict[str, Any]]]:
    """Every shape in a KML or KMZ file, as (name, GeoJSON geometry), unchecked: hand each to `boundary`.

    Placemarks with a Polygon, LineString, LinearRing (taken as the polygon it encloses), Point or MultiGeometry
    are read; heights, styles and all else are not. Any edition's namespace will do.

    Raises
    ------
    BadFile
        If the text is no KML, or a coordinate is no number. The `path` names the placemark.
    """
    if isinstance(data, bytes) and data[:4] == b"PK\x03\x04":
        data = _kmz_text(data)
    root = parse_xml(data, "KML")
    if _word(root) != "kml":
        raise BadFile(f"the outermost element is <{_word(root)}>; a KML file begins with <kml>")
    shapes: list[tuple[str, dict[str, Any]]] = []
    for i, placemark in enumerate(element for element in root.iter() if _word(element) == "Placemark"):
        name = next((child.text or "" for child in placemark if _word(child) == "name"), "").strip()
        where = f"/Placemark/{i}" + (f" ({name})" if name else "")
        for child in placemark:
            shapes.extend((name, shape) for shape in _shapes_of(child, where))
        if len(shapes) > MAX_SHAPES:
            raise BadFile(f"holds more than {MAX_SHAPES:,} shapes; leave out what is not meant")
    return shapes


def write_kml(features: Iterable[Feature], title: str = "") -> bytes:
    """Features as a KML document in our own colours, one placemark each, properties as named data."""
    root = Element("kml", xmlns=NAMESPACE)
    document = SubElement(root, "Document")
    _text(document, "name", title)
    features = list(features)
    for kind in sorted({feature.kind if feature.kind in STYLES else "" for feature in features}):
        _style(document, kind)
    for feature in features:
        placemark = SubElement(document, "Placemark")
        _text(placemark, "name", feature.name)
        if feature.description:
            _text(placemark, "description", feature.description)
        _text(placemark, "styleUrl", f"#{_style_id(feature.kind)}")
        if feature.properties:
            extended = SubElement(placemark, "ExtendedData")
            for key, value in feature.properties.items():
                _text(SubElement(extended, "Data", name=printable(str(key))), "value", str(value))
        _geometry(placemark, for_file(feature.geometry))
    return xml_bytes(root)


def _kmz_text(data: bytes) -> bytes:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            names = [entry for entry in archive.infolist() if entry.filename.lower().endswith(".kml")]
            if not names:
                raise BadFile("the KMZ archive holds no .kml file")
            with archive.open(names[0]) as entry:
                text = entry.read(MAX_BYTES + 1)  # a header may lie about the size
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, OSError) as fault:
        raise BadFile(f"the KMZ archive cannot be opened ({fault}); save it as KML") from None
    return text


def _word(element: Element) -> str:
    return element.tag.rpartition("}")[2]


def _shapes_of(element: Element, where: str) -> list[dict[str, Any]]:
    word = _word(element)
    if word == "MultiGeometry":
        return [shape for child in element for shape in _shapes_of(child, where)]
    if word == "Polygon":
        rings = [
            _positions(ring, where)
            for side in ("outerBoundaryIs", "innerBoundaryIs")
            for boundary in element
            if _word(boundary) == side
            for ring in boundary
            if _word(ring) == "LinearRing"
        ]
        return [{"type": "Polygon", "coordinates": rings}]
    if word == "LinearRing":
        return [{"type": "Polygon", "coordinates": [_positions(element, where)]}]
    if word == "LineString":
        return [{"type": "LineString", "coordinates": _positions(element, where)}]
    if word == "Point":
        positions = _positions(element, where)
        if len(positions) != 1:
            raise BadFile(f"a Point has {len(positions)} positions; it needs one", where)
        return [{"type": "Point", "coordinates": positions[0]}]
    return []


def _positions(element: Element, where: str) -> list[list[float]]:
    text = next((child.text or "" for child in element if _word(child) == "coordinates"), "")
    positions = []
    for item in text.split():
        try:
            position = [float(number) for number in item.split(",")]
        except ValueError:
            position = []
        if len(position) not in (2, 3):
            raise BadFile(
                f"coordinates hold {item[:40]!r}; each position is longitude,latitude or with a height", where
            )
        positions.append(position)
    return positions


def _style_id(kind: str) -> str:
    return f"style-{kind}" if kind in STYLES and kind else "style-plain"


def _style(document: Element, kind: str) -> None:
    line_colour, width, fill_colour = STYLES[kind]
    style = SubElement(document, "Style", id=_style_id(kind))
    icon = SubElement(style, "IconStyle")
    _text(icon, "color", line_colour)
    _text(icon, "scale", "0.7")
    line = SubElement(style, "LineStyle")
    _text(line, "color", line_colour)
    _text(line, "width", f"{width:g}")
    _text(SubElement(style, "PolyStyle"), "color", fill_colour)


def _geometry(parent: Element, geometry: shapely.Geometry) -> None:
    if isinstance(geometry, (shapely.MultiPolygon, shapely.MultiLineString, shapely.MultiPoint)):
        parent = SubElement(parent, "MultiGeometry")
        for part in geometry.geoms:
            _geometry(parent, part)
    elif isinstance(geometry, shapely.Polygon):
        polygon = SubElement(parent, "Polygon")
        for side, ring in [("outer", geometry.exterior), *(("inner", hole) for hole in geometry.interiors)]:
            _coordinates(SubElement(SubElement(polygon, f"{side}BoundaryIs"), "LinearRing"), ring)
    elif isinstance(geometry, (shapely.LineString, shapely.Point)) and not geometry.is_empty:
        _coordinates(SubElement(parent, geometry.geom_type), geometry)
    else:
        raise BadFile(f"a {geometry.geom_type} cannot be written as KML; give points, lines or polygons")


def _coordinates(parent: Element, geometry: shapely.Geometry) -> None:
    _text(parent, "coordinates", " ".join(f"{lon:.7f},{lat:.7f}" for lon, lat in shapely.get_coordinates(geometry)))


def _text(parent: Element, tag: str, text: str) -> None:
    SubElement(parent, tag).text = printable(text)
