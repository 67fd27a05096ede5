"""GPX 1.1 texts for the search after a flight, out and in: places to walk to, ways, outlines."""

from __future__ import annotations

import math
from collections.abc import Iterable
from xml.etree.ElementTree import Element, SubElement

import shapely

from geo.errors import BadFile
from geo.features import Feature, for_file
from geo.frame import check_position
from geo.xmltext import parse_xml, printable, xml_bytes

NAMESPACE = "http://www.topografix.com/GPX/1/1"
CREATOR = "rangehand"
MAX_POINTS = 200_000


def write_gpx(features: Iterable[Feature], title: str = "") -> bytes:
    """Features as GPX: points become waypoints, lines routes, lines of kind "track" and outlines tracks."""
    flat = [(feature, part) for feature in features for part in shapely.get_parts(for_file(feature.geometry))]
    root = Element("gpx", version="1.1", creator=CREATOR, xmlns=NAMESPACE)
    _text(SubElement(root, "metadata"), "name", title)
    # The schema wants all waypoints first, then routes, then tracks.
    for feature, part in flat:
        if isinstance(part, shapely.Point):
            _described(_point(root, "wpt", part.x, part.y), feature)
    for feature, part in flat:
        if isinstance(part, shapely.LineString) and feature.kind != "track":
            route = SubElement(root, "rte")
            _described(route, feature)
            _points(route, "rtept", part)
    for feature, part in flat:
        if isinstance(part, shapely.Polygon) or (isinstance(part, shapely.LineString) and feature.kind == "track"):
            track = SubElement(root, "trk")
            _described(track, feature)
            for line in [part.exterior, *part.interiors] if isinstance(part, shapely.Polygon) else [part]:
                _points(SubElement(track, "trkseg"), "trkpt", line)
    return xml_bytes(root)


def read_gpx(text: str | bytes) -> list[Feature]:
    """Waypoints, routes and tracks: points, lines, and lines of kind "track" (one a segment).

    Raises
    ------
    BadFile
        If the text is no GPX, or a position is missing or not on the Earth.
    """
    root = parse_xml(text, "GPX")
    if _word(root) != "gpx":
        raise BadFile(f"the outermost element is <{_word(root)}>; a GPX file begins with <gpx>")
    found: list[Feature] = []
    count = 0
    for i, element in enumerate(root):
        where = f"/gpx/{i}"
        if _word(element) == "wpt":
            points = [element]
            found.append(Feature(_said(element, "name"), shapely.Point(_position(element, where)),
                                 description=_said(element, "desc")))  # fmt: skip
        elif _word(element) == "rte":
            points = [child for child in element if _word(child) == "rtept"]
            found.extend(_line(element, points, "", where))
        elif _word(element) == "trk":
            points = []
            for segment in element:
                if _word(segment) == "trkseg":
                    here = [child for child in segment if _word(child) == "trkpt"]
                    found.extend(_line(element, here, "track", where))
                    points.extend(here)
        else:
            continue
        count += len(points)
        if count > MAX_POINTS:
            raise BadFile(f"holds more than {MAX_POINTS:,} points; thin it out")
    return found


def _word(element: Element) -> str:
    return element.tag.rpartition("}")[2]


def _said(element: Element, word: str) -> str:
    return next((child.text or "" for child in element if _word(child) == word), "").strip()


def _position(element: Element, where: str) -> tuple[float, float]:
    try:
        lon, lat = float(element.get("lon", "")), float(element.get("lat", ""))
    except ValueError:
        lon = lat = math.nan
    if not (math.isfinite(lon) and math.isfinite(lat)):
        raise BadFile(
            f"a point has lon {element.get('lon')!r} and lat {element.get('lat')!r}; both need to be numbers", where
        )
    check_position(lon, lat, where)
    return lon, lat


def _line(element: Element, points: list[Element], kind: str, where: str) -> list[Feature]:
    if len(points) < 2:
        return []  # an empty or just begun recording
    line = shapely.LineString([_position(point, where) for point in points])
    return [Feature(_said(element, "name"), line, kind=kind, description=_said(element, "desc"))]


def _described(element: Element, feature: Feature) -> None:
    _text(element, "name", feature.name)
    said = [feature.description, *(f"{key}: {value}" for key, value in feature.properties.items())]
    if any(said):
        _text(element, "desc", "; ".join(part for part in said if part))


def _points(parent: Element, tag: str, line: shapely.LineString) -> None:
    for lon, lat in shapely.get_coordinates(line):
        _point(parent, tag, float(lon), float(lat))


def _point(parent: Element, tag: str, lon_deg: float, lat_deg: float) -> Element:
    return SubElement(parent, tag, lat=f"{lat_deg:.7f}", lon=f"{lon_deg:.7f}")


def _text(parent: Element, tag: str, text: str) -> None:
    SubElement(parent, tag).text = printable(text)
