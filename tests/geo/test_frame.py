"""The local frame: there and back, long edges, refusals; distances and bearings on the field."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from geo.bearings import bearing_of_deg, compass_point, magnetic_from_true_deg, true_from_magnetic_deg, wrap_deg
from geo.errors import BadGeometry, BadPosition, GeoError
from geo.frame import LocalFrame, destination, distance_and_bearing
from geo.measures import as_area, inscribed_circle, minimum_width_m, nearest_edge, nearest_zone_by_kind

MILLIMETRE = 0.001
lons = st.floats(-180.0, 180.0)
lats = st.floats(-85.0, 85.0)
offsets = st.floats(-20_000.0, 20_000.0)


@given(lons, lats, offsets, offsets)
def test_there_and_back(lon_deg, lat_deg, east_m, north_m):
    frame = LocalFrame(lon_deg=lon_deg, lat_deg=lat_deg)
    back = frame.to_local(*frame.to_lonlat(east_m, north_m))
    assert (float(back[0]), float(back[1])) == pytest.approx((east_m, north_m), abs=MILLIMETRE)


@given(lons, lats, st.floats(0.0, 360.0), st.floats(1.0, 50_000.0))
def test_distance_and_bearing_from_the_origin_are_exact(lon_deg, lat_deg, bearing_deg, distance_m):
    # by definition of the projection; the geodesic is coded apart from it
    frame = LocalFrame(lon_deg=lon_deg, lat_deg=lat_deg)
    east_m, north_m = frame.to_local(*destination(lon_deg, lat_deg, bearing_deg, distance_m))
    assert float(east_m) == pytest.approx(distance_m * math.sin(math.radians(bearing_deg)), abs=MILLIMETRE)
    assert float(north_m) == pytest.approx(distance_m * math.cos(math.radians(bearing_deg)), abs=MILLIMETRE)


def test_shapes_of_arrays_are_kept():
    frame = LocalFrame(lon_deg=7.0, lat_deg=50.0)
    lon, lat = frame.to_lonlat(np.zeros((3, 4)), np.ones((3, 4)))
    assert lon.shape == lat.shape == (3, 4)
    assert [part.shape for part in frame.to_local(7.0, [50.0, 50.1])] == [(2,), (2,)]


def test_long_edges_follow_their_parallel():
    # RFC 7946: an edge along 60 N stays on 60 N. The straight chord of 0.3 degrees (16.7 km) would stray by
    # L² tan(60°) / 8R = 9.5 m.
    edge = shapely.LineString([(9.85, 60.0), (10.15, 60.0)])
    local = LocalFrame(lon_deg=10.0, lat_deg=60.0).project_geometry(edge)
    assert shapely.distance(local, shapely.Point(0.0, 0.0)) < 0.011
    chord = shapely.LineString([local.coords[0], local.coords[-1]])
    assert shapely.distance(chord, shapely.Point(0.0, 0.0)) == pytest.approx(9.5, rel=0.02)


def test_geometry_there_and_back_across_the_antimeridian():
    frame = LocalFrame(lon_deg=179.999, lat_deg=-16.8)
    square = shapely.box(-400.0, -300.0, 400.0, 300.0)
    degrees = frame.unproject_geometry(square)
    assert degrees.bounds[0] < 180.0 < degrees.bounds[2] and degrees.bounds[2] - degrees.bounds[0] < 0.01
    assert frame.project_geometry(degrees).symmetric_difference(square).area < 0.1


def test_same_frame_from_many_threads():
    from concurrent.futures import ThreadPoolExecutor

    def there(_):
        return LocalFrame(lon_deg=7.0, lat_deg=50.0).to_local(7.01, 50.01)

    with ThreadPoolExecutor(4) as pool:
        found = {(float(e), float(n)) for e, n in pool.map(there, range(64))}
    assert len(found) == 1


@pytest.mark.parametrize("lon_deg,lat_deg", [(math.nan, 0.0), (0.0, math.inf), (181.0, 0.0), (0.0, -90.5)])
def test_origins_off_the_earth_are_refused(lon_deg, lat_deg):
    with pytest.raises(BadPosition, match="position"):
        LocalFrame(lon_deg=lon_deg, lat_deg=lat_deg)
    with pytest.raises(BadPosition):
        distance_and_bearing(lon_deg, lat_deg, 0.0, 0.0)


def test_points_that_are_none_are_refused():
    frame = LocalFrame(lon_deg=7.0, lat_deg=50.0)
    for call in (
        lambda: frame.to_local([7.0, math.nan], 50.0),
        lambda: frame.to_local(7.0, 95.0),
        lambda: frame.to_lonlat(math.inf, 0.0),
        lambda: frame.to_lonlat(2e7, 0.0),
        lambda: destination(7.0, 50.0, 10.0, -1.0),
        lambda: destination(7.0, 50.0, math.nan, 1.0),
        lambda: as_area(shapely.Point(0.0, 0.0), math.nan),
    ):
        with pytest.raises(GeoError) as caught:
            call()
        assert isinstance(caught.value, (BadPosition, BadGeometry)) and str(caught.value)


@given(st.floats(-1e6, 1e6))
def test_bearings_wrap(bearing_deg):
    assert 0.0 <= wrap_deg(bearing_deg) < 360.0
    back = magnetic_from_true_deg(true_from_magnetic_deg(bearing_deg, 12.9), 12.9)
    assert abs((back - bearing_deg + 180.0) % 360.0 - 180.0) < 1e-6


def test_compass_words():
    words = [compass_point(b) for b in (0, 22.4, 22.6, 90, 135, 180, 225, 270, 315, 337.6, 360)]
    assert words == [
        "north",
        "north",
        "north-east",
        "east",
        "south-east",
        "south",
        "south-west",
        "west",
        "north-west",
        "north",
        "north",
    ]
    assert bearing_of_deg(0.0, 0.0) == 0.0


L_SHAPE = shapely.Polygon([(0, 0), (300, 0), (300, 100), (100, 100), (100, 300), (0, 300)])


def test_nearest_edge_inside_outside_and_at_a_hole():
    assert nearest_edge(L_SHAPE, 50.0, 20.0)[:2] == (20.0, 180.0)
    outside = nearest_edge(L_SHAPE, 130.0, 140.0)
    assert outside.distance_m == pytest.approx(-30.0) and outside.bearing_deg == pytest.approx(270.0)
    holed = L_SHAPE.difference(shapely.box(40, 40, 60, 60))
    assert nearest_edge(holed, 50.0, 30.0)[:2] == (10.0, 0.0)
    assert nearest_edge(holed, 50.0, 50.0).distance_m == pytest.approx(-10.0)  # in the hole is outside
    assert nearest_edge(L_SHAPE, 0.0, 50.0)[:2] == (0.0, 0.0)


def test_widths_by_hand():
    # closed forms: a triangle's least width is its least height; a 3-4-5 triangle of 50 m has 24 m
    assert minimum_width_m(shapely.Polygon([(0, 0), (40, 0), (0, 30)])) == pytest.approx(24.0, abs=1e-9)
    # the hull of the L: from the corner at the origin to the slanted side, 400/sqrt(2)
    assert minimum_width_m(L_SHAPE) == pytest.approx(400.0 / math.sqrt(2.0), abs=1e-9)
    east_m, north_m, radius_m = inscribed_circle(L_SHAPE)
    # largest circle touches both outer legs and the inner corner: r + r/sqrt2 * ... r = 100 sqrt2/(1 + sqrt2)
    assert radius_m == pytest.approx(100.0 * math.sqrt(2.0) / (1.0 + math.sqrt(2.0)), abs=0.05)
    assert (east_m, north_m) == pytest.approx((radius_m, radius_m), abs=0.1)
    assert minimum_width_m(shapely.LineString([(0, 0), (9, 9)])) == 0.0


@settings(max_examples=50)
@given(st.floats(0.0, 360.0))
def test_width_does_not_turn_with_the_field(angle_deg):
    turned = shapely.affinity.rotate(L_SHAPE, angle_deg, origin=(0, 0))
    assert minimum_width_m(turned) == pytest.approx(minimum_width_m(L_SHAPE), abs=1e-9)


def test_nearest_zone_of_each_kind():
    zones = [
        ("people", "Flight line", shapely.box(-20, -80, 20, -60)),
        ("people", "Picnic", shapely.box(100, 0, 120, 10)),
        ("power_line", "East wires", shapely.LineString([(250, -500), (250, 500)])),
        ("building", "Barn", shapely.box(-5, -5, 5, 5)),
    ]
    found = nearest_zone_by_kind(zones)
    assert found["people"] == ("Flight line", 60.0, 180.0)
    assert found["power_line"] == ("East wires", 250.0, 90.0)
    assert found["building"].distance_m == 0.0


def test_lines_and_points_get_a_width():
    assert as_area(shapely.LineString([(0, 0), (100, 0)]), 4.0).area == pytest.approx(800.0 + math.pi * 16.0, rel=1e-3)
    assert as_area(L_SHAPE, 4.0) is L_SHAPE
