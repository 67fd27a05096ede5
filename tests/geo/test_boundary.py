"""Boundaries and zones: what is mended, what is refused, and with which words."""

import copy
import json

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from geo.boundary import pads_outside, read_boundary, read_zone
from geo.errors import BadGeometry, BadPosition
from geo.frame import LocalFrame

RING = [[-97.52, 46.91], [-97.51, 46.91], [-97.508, 46.92], [-97.52, 46.918], [-97.52, 46.91]]
PAD = (-97.515, 46.914)


def polygon(*rings):
    return {"type": "Polygon", "coordinates": [list(map(list, ring)) for ring in rings]}


def test_a_good_boundary_comes_through_untouched():
    shape = read_boundary(polygon(RING), pads=[PAD])
    assert shape.remarks == []
    assert [list(xy) for xy in shape.geometry.exterior.coords] == RING


def test_heights_are_dropped():
    assert read_boundary(polygon([[*xy, 310.0] for xy in RING])).geometry.equals(shapely.Polygon(RING))


def with_at(value, index):
    ring = copy.deepcopy(RING)
    ring[index] = value
    return polygon(ring)


HOLE = [[-97.516, 46.912], [-97.516, 46.914], [-97.514, 46.914], [-97.514, 46.912], [-97.516, 46.912]]
NAN, INF = float("nan"), float("inf")

REFUSED = {
    "no object": (None, "", "GeoJSON object"),
    "a text": ("Polygon", "", "GeoJSON object"),
    "a list": ([RING], "", "GeoJSON object"),
    "no type": ({"coordinates": [RING]}, "/type", "one of Polygon"),
    "a point": ({"type": "Point", "coordinates": [0, 0]}, "/type", "'Point'"),
    "a line": ({"type": "LineString", "coordinates": RING}, "/type", "'LineString'"),
    "a type in small letters": ({"type": "polygon", "coordinates": [RING]}, "/type", "'polygon'"),
    "no coordinates": ({"type": "Polygon"}, "/coordinates", "needs coordinates"),
    "null coordinates": ({"type": "Polygon", "coordinates": None}, "/coordinates", "no rings"),
    "no rings": ({"type": "Polygon", "coordinates": []}, "/coordinates", "no rings"),
    "an empty ring": ({"type": "Polygon", "coordinates": [[]]}, "/coordinates/0", "empty"),
    "a ring too flat": ({"type": "Polygon", "coordinates": RING}, "/coordinates/0/0", "position"),
    "a ring too deep": ({"type": "Polygon", "coordinates": [[RING]]}, "/coordinates/0/0", "position"),
    "a ring that is a number": ({"type": "Polygon", "coordinates": [7]}, "/coordinates/0", "list of positions"),
    "two corners": (polygon(RING[:2]), "/coordinates/0", "at least 3"),
    "one corner four times": (polygon([RING[0]] * 4), "/coordinates/0", "at least 3"),
    "two corners to and fro": (polygon([RING[0], RING[1], RING[0], RING[1], RING[0]]), "/coordinates/0", "at least 3"),
    "corners on one line": (polygon([[0.0, 0.0], [0.01, 0.01], [0.02, 0.02], [0.0, 0.0]]), "/coordinates/0", "no area"),
    "a field of a hand's breadth": (
        polygon([[0.0, 0.0], [1e-6, 0.0], [1e-6, 1e-6], [0.0, 0.0]]),
        "/coordinates/0",
        "no area",
    ),
    "NaN": (with_at([NAN, 46.91], 2), "/coordinates/0/2", "finite"),
    "infinity": (with_at([-97.5, INF], 2), "/coordinates/0/2", "finite"),
    "a number beyond floats": (with_at([10**400, 46.9], 2), "/coordinates/0/2", "finite"),
    "a text for a number": (with_at(["-97.5", "46.9"], 1), "/coordinates/0/1", "two numbers"),
    "true for a number": (with_at([True, 46.9], 1), "/coordinates/0/1", "two numbers"),
    "null for a number": (with_at([None, 46.9], 1), "/coordinates/0/1", "two numbers"),
    "one number": (with_at([-97.5], 3), "/coordinates/0/3", "[longitude, latitude]"),
    "an object for a position": (with_at({"lon": 1}, 3), "/coordinates/0/3", "[longitude, latitude]"),
    "five numbers": (with_at([1, 2, 3, 4, 5], 3), "/coordinates/0/3", "[longitude, latitude]"),
    "latitude past the pole": (with_at([-97.5, 91.0], 2), "/coordinates/0/2", "-90 to 90"),
    "latitude absurd": (with_at([-97.5, 4691.0], 2), "/coordinates/0/2", "-90 to 90"),
    "longitude absurd": (with_at([-975.1, 46.9], 2), "/coordinates/0/2", "-180 to 180"),
    "at the pole": (polygon([[0, 89.5], [1, 89.5], [1, 89.6], [0, 89.5]]), "/coordinates/0/0", "pole"),
    "swapped, out of range": (polygon([xy[::-1] for xy in RING]), "/coordinates/0/0", "longitude first"),
    "crossing itself": (
        polygon([RING[i] for i in (0, 2, 1, 3, 0)]),
        "/coordinates/0",
        "crosses or touches itself near",
    ),
    "a spike": (
        polygon([RING[0], RING[1], [-97.4, 46.91], RING[1], RING[2], RING[3], RING[0]]),
        "/coordinates/0",
        "itself",
    ),
    "touching itself": (
        polygon([[0, 0], [0.02, 0], [0.01, 0.01], [0.02, 0.02], [0, 0.02], [0.01, 0.01], [0, 0]]),
        "/coordinates/0",
        "itself",
    ),
    "a hole outside": (polygon(RING, [[x + 1.0, y] for x, y in HOLE]), "/coordinates", "hole lies outside"),
    "a hole across the outline": (polygon(RING, [[x + 0.005, y] for x, y in HOLE]), "/coordinates", "itself"),
    "a hole in a hole": (
        polygon(RING, HOLE, [[-97.5155, 46.9125], [-97.5155, 46.9135], [-97.5145, 46.9135], [-97.5155, 46.9125]]),
        "/coordinates",
        "inside another",
    ),
    "a hole as large as all": (polygon(RING, RING[::-1]), "/coordinates", ""),
    "half a country": (
        polygon([[-97.5, 46.9], [-92.5, 46.9], [-92.5, 49.0], [-97.5, 46.9]]),
        "/coordinates",
        "km across",
    ),
    "one sign forgotten": (with_at([97.51, 46.91], 1), "/coordinates", "[97.51, 46.91]"),
    "a digit forgotten": (with_at([-9.51, 46.91], 1), "/coordinates", "[-9.51, 46.91]"),
    "two parts": (
        {"type": "MultiPolygon", "coordinates": [[RING], [[[x + 0.1, y] for x, y in RING]]]},
        "/coordinates",
        "2 separate parts",
    ),
    "no parts": ({"type": "MultiPolygon", "coordinates": []}, "/coordinates", "no parts"),
    "an empty feature": ({"type": "Feature", "geometry": None}, "/geometry", "GeoJSON object"),
    "a collection of two": (
        {"type": "FeatureCollection", "features": [{"type": "Feature", "geometry": polygon(RING)}] * 2},
        "/features",
        "2 features",
    ),
    "a collection of nothing": ({"type": "FeatureCollection"}, "/features", "0 features"),
    "a fault deep in a collection": (
        {"type": "FeatureCollection", "features": [{"type": "Feature", "geometry": with_at([NAN, 1], 1)}]},
        "/features/0/geometry/coordinates/0/1",
        "finite",
    ),
    "too many positions": (
        {"type": "Polygon", "coordinates": [[[0.0, 0.0]] * 20_001]},
        "/coordinates/0",
        "at most 20,000",
    ),
}


@pytest.mark.parametrize("case", REFUSED)
def test_refused_with_its_place_and_reason(case):
    geojson, path, words = REFUSED[case]
    with pytest.raises(BadGeometry) as caught:
        read_boundary(geojson)
    assert caught.value.path.startswith(path)
    assert words in str(caught.value)
    assert "Traceback" not in str(caught.value) and len(str(caught.value)) < 300


def test_swapped_numbers_show_by_the_pads():
    # in range either way: a field at 52 N 1.5 W written [52, -1.5]
    ring = [[-1.5, 52.0], [-1.49, 52.0], [-1.49, 52.01], [-1.5, 52.0]]
    with pytest.raises(BadGeometry, match=r"swapped; write longitude first"):
        read_boundary(polygon([xy[::-1] for xy in ring]), pads=[(-1.495, 52.003)])


def test_another_field_shows_by_the_pads():
    with pytest.raises(BadGeometry, match=r"lies [\d,]+ km from pad 1 .*another field's"):
        read_boundary(polygon(RING), pads=[PAD, (-96.9, 46.914)])
    assert read_boundary(polygon(RING), pads=[(-97.7, 46.914)]).remarks == []  # 14 km: allowed


@pytest.mark.parametrize("pad", [(NAN, 46.9), (-97.5, 95.0), (-197.5, 46.0)])
def test_a_pad_off_the_earth_is_refused(pad):
    with pytest.raises(BadPosition, match="pad 0"):
        read_boundary(polygon(RING), pads=[pad])


MENDED = {
    "open": (polygon(RING[:-1]), ["was open"]),
    "clockwise": (polygon(RING[::-1]), ["clockwise"]),
    "a hole anticlockwise": (polygon(RING, HOLE[::-1]), ["anticlockwise"]),
    "repeats": (polygon([RING[0], RING[1], RING[1], RING[1], *RING[2:]]), ["2 position(s)"]),
    "open, clockwise, repeats": (
        polygon([RING[3], RING[2], RING[2], RING[1], RING[0]]),
        ["1 position", "open", "clockwise"],
    ),
    "a multipolygon of one": ({"type": "MultiPolygon", "coordinates": [[RING]]}, ["one part"]),
    "a collection of one": (
        {"type": "FeatureCollection", "features": [{"type": "Feature", "geometry": polygon(RING)}]},
        ["only feature"],
    ),
    "longitudes from 0 to 360": (polygon([[x + 360.0, y] for x, y in RING]), ["full turn"]),
}


@pytest.mark.parametrize("case", MENDED)
def test_mended_with_a_remark(case):
    geojson, words = MENDED[case]
    shape = read_boundary(geojson, pads=[PAD])
    assert [word for word, remark in zip(words, shape.remarks, strict=True) if word in str(remark)] == words
    plain = shapely.Polygon(shape.geometry.exterior)
    assert plain.symmetric_difference(shapely.Polygon(RING)).area < 1e-12
    assert shape.geometry.is_valid and shape.geometry.exterior.is_ccw
    assert not any(hole.is_ccw for hole in shape.geometry.interiors)


@pytest.mark.parametrize("case", MENDED)
def test_mending_twice_changes_nothing(case):
    once = read_boundary(MENDED[case][0])
    twice = read_boundary(shapely.geometry.mapping(once.geometry))
    assert twice.remarks == []
    assert twice.geometry.equals_exact(once.geometry, 0.0)


ACROSS = [[179.99, -16.8], [-179.99, -16.8], [-179.99, -16.79], [179.99, -16.79], [179.99, -16.8]]
CUT = {
    "type": "MultiPolygon",
    "coordinates": [
        [[[179.99, -16.8], [180.0, -16.8], [180.0, -16.79], [179.99, -16.79], [179.99, -16.8]]],
        [[[-180.0, -16.8], [-179.99, -16.8], [-179.99, -16.79], [-180.0, -16.79], [-180.0, -16.8]]],
    ],
}


@pytest.mark.parametrize("geojson", [polygon(ACROSS), CUT], ids=["run on", "cut as RFC 7946 wants"])
def test_the_antimeridian_is_mended(geojson):
    shape = read_boundary(geojson, pads=[(179.995, -16.795), (-179.995, -16.795)])
    assert any("antimeridian" in str(remark) for remark in shape.remarks)
    assert pads_outside(shape.geometry, [(179.995, -16.795), (-179.995, -16.795), (179.98, -16.795)]) == [2]
    local = LocalFrame(lon_deg=180.0, lat_deg=-16.795).project_geometry(shape.geometry)
    # 0.02 by 0.01 degrees at 16.8 degrees south, from the radii of curvature: 2132.1 by 1106.5 m
    assert local.area == pytest.approx(2132.1 * 1106.5, rel=1e-3)
    assert len(shape.geometry.exterior.coords) == 5


def test_pads_on_the_edge_are_outside():
    boundary = read_boundary(polygon(RING)).geometry
    assert pads_outside(boundary, [PAD, tuple(RING[0]), (-97.6, 46.9)]) == [1, 2]


def test_zones_of_every_kind():
    line = [[-97.52, 46.90], [-97.51, 46.90], [-97.51, 46.90], [-97.50, 46.91]]
    road = read_zone({"type": "LineString", "coordinates": line}, pads=[PAD])
    assert len(road.geometry.coords) == 3 and "1 position" in str(road.remarks[0])
    assert read_zone({"type": "Point", "coordinates": [-97.51, 46.9]}).geometry.equals(shapely.Point(-97.51, 46.9))
    assert len(read_zone({"type": "MultiLineString", "coordinates": [line, line[::-1]]}).geometry.geoms) == 2
    apart = {"type": "MultiPolygon", "coordinates": [[RING], [[[x + 0.1, y] for x, y in RING]]]}
    assert len(read_zone(apart).geometry.geoms) == 2
    overlapping = {"type": "MultiPolygon", "coordinates": [[RING], [[[x + 0.001, y] for x, y in RING]]]}
    joined = read_zone(overlapping)
    assert isinstance(joined.geometry, shapely.Polygon) and "joined" in str(joined.remarks[-1])


@pytest.mark.parametrize(
    "geojson,words",
    [
        ({"type": "GeometryCollection", "geometries": []}, "'GeometryCollection'"),
        ({"type": "LineString", "coordinates": [[1.0, 2.0]]}, "at least 2"),
        ({"type": "LineString", "coordinates": [[1.0, 2.0], [1.0, 2.0]]}, "at least 2"),
        ({"type": "LineString", "coordinates": [[1.0, 2.0], [1.0, NAN]]}, "/coordinates/1: "),
        ({"type": "LineString", "coordinates": [[1.0, 2.0], [4.0, 2.0]]}, "km across"),
        ({"type": "MultiLineString", "coordinates": []}, "no parts"),
        ({"type": "Point", "coordinates": []}, "[longitude, latitude]"),
        ({"type": "Point", "coordinates": [200.0, 95.0]}, "latitude 95"),
        ({"type": "Polygon", "coordinates": [[[0, 0], [0.01, 0.01], [0.01, 0], [0, 0.01], [0, 0]]]}, "itself"),
    ],
)
def test_zones_refused(geojson, words):
    with pytest.raises(BadGeometry) as caught:
        read_zone(geojson)
    assert words in str(caught.value)


corners = st.lists(
    st.tuples(st.floats(-0.05, 0.05), st.floats(-0.05, 0.05)).map(
        lambda xy: [round(xy[0] - 97.0, 6), round(xy[1] + 46.0, 6)]
    ),
    min_size=0,
    max_size=9,
)


@settings(max_examples=150, deadline=None)
@given(corners, st.booleans())
def test_any_ring_is_mended_to_a_valid_one_or_refused(ring, close):
    geojson = polygon([*ring, *(ring[:1] if close else [])])
    try:
        once = read_boundary(geojson)
    except BadGeometry as fault:
        assert fault.path.startswith("/coordinates")
        return
    assert once.geometry.is_valid and once.geometry.area > 0.0 and once.geometry.exterior.is_ccw
    twice = read_boundary(json.loads(shapely.to_geojson(once.geometry)))
    assert twice.remarks == [] and twice.geometry.equals_exact(once.geometry, 0.0)
    assert set(map(tuple, np.asarray(once.geometry.exterior.coords))) == set(map(tuple, ring))
