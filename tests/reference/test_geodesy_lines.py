"""Geodesics and the local frame against published lines and closed forms."""

import math

import numpy as np
import pyproj
import pytest

from geo.bearings import true_from_magnetic_deg
from geo.frame import LocalFrame, destination, distance_and_bearing

METRE = 1.0
MILLIMETRE = 0.001
A_M, INVERSE_F = 6_378_137.0, 298.257223563  # WGS 84, NIMA TR8350.2
E2 = (2.0 - 1.0 / INVERSE_F) / INVERSE_F


def degrees(text: str) -> float:
    """'-37 57 03.72030' to degrees."""
    d, m, s = text.split()
    return math.copysign(abs(float(d)) + float(m) / 60.0 + float(s) / 3600.0, -1.0 if text.startswith("-") else 1.0)


# GDA Technical Manual, worked example Flinders Peak to Buninyong, ellipsoid GRS80 (read)
FLINDERS = degrees("144 25 29.52440"), degrees("-37 57 03.72030")
BUNINYONG = degrees("143 55 35.38390"), degrees("-37 39 10.15610")


def test_flinders_peak_to_buninyong():
    # GRS80 and WGS 84 differ by 0.1 mm in the minor axis: nothing over 55 km
    length_m, bearing_deg = distance_and_bearing(*FLINDERS, *BUNINYONG)
    assert length_m == pytest.approx(54_972.271, abs=MILLIMETRE)
    assert bearing_deg == pytest.approx(degrees("306 52 05.37"), abs=0.01 / 3600.0)


def test_buninyong_to_flinders_peak():
    length_m, bearing_deg = distance_and_bearing(*BUNINYONG, *FLINDERS)
    assert length_m == pytest.approx(54_972.271, abs=MILLIMETRE)
    assert bearing_deg == pytest.approx(degrees("127 10 25.07"), abs=0.01 / 3600.0)


def test_the_frame_keeps_that_line():
    frame = LocalFrame(lon_deg=FLINDERS[0], lat_deg=FLINDERS[1])
    east_m, north_m = frame.to_local(*BUNINYONG)
    assert math.hypot(east_m, north_m) == pytest.approx(54_972.271, abs=MILLIMETRE)
    assert math.degrees(math.atan2(east_m, north_m)) % 360.0 == pytest.approx(
        degrees("306 52 05.37"), abs=0.01 / 3600.0
    )


def test_inverse_line_nearly_round_the_world():
    # GeographicLib documentation, inverse example (read)
    assert distance_and_bearing(174.81, -41.32, -5.5, 40.96)[0] == pytest.approx(19_959_679.267, abs=MILLIMETRE)


def test_direct_line_of_20000_km():
    # GeographicLib documentation, direct example (read)
    lon_deg, lat_deg = destination(115.74, -32.06, 225.0, 20_000_000.0)
    assert lat_deg == pytest.approx(32.11195529, abs=1e-8)
    assert lon_deg == pytest.approx(-63.95925278, abs=1e-8)


def test_ten_kilometres_from_a_site():
    # computed with GeographicLib, WGS 84
    lon_deg, lat_deg = destination(-119.35, 40.65, 60.0, 10_000.0)
    assert lat_deg == pytest.approx(40.694980304, abs=2e-9)
    assert lon_deg == pytest.approx(-119.24753827, abs=2e-9)


def test_frame_coordinates_are_distance_and_bearing():
    # closed form: E = s sin(azimuth), N = s cos(azimuth)
    east_m, north_m = LocalFrame(lon_deg=-119.35, lat_deg=40.65).to_local(-119.24753827, 40.694980304)
    assert east_m == pytest.approx(10_000.0 * math.sin(math.radians(60.0)), abs=MILLIMETRE)
    assert north_m == pytest.approx(10_000.0 * math.cos(math.radians(60.0)), abs=MILLIMETRE)


def test_frame_error_between_two_far_points():
    # computed with GeographicLib: plane minus geodesic between points 10 km north and 10 km east
    frame = LocalFrame(lon_deg=-119.35, lat_deg=40.65)
    lon_deg, lat_deg = frame.to_lonlat([0.0, 10_000.0], [10_000.0, 0.0])
    geodesic_m, _ = distance_and_bearing(lon_deg[0], lat_deg[0], lon_deg[1], lat_deg[1])
    assert math.hypot(10_000.0, 10_000.0) - geodesic_m == pytest.approx(0.0029, abs=0.0005)


def radii_m(lat_deg: float) -> tuple[float, float]:
    """Radii of curvature along the meridian and across it, closed form."""
    w = 1.0 - E2 * math.sin(math.radians(lat_deg)) ** 2
    return A_M * (1.0 - E2) / w**1.5, A_M / math.sqrt(w)


def test_metres_to_a_degree():
    # closed form from the radii of curvature: 111 034.633 and 85 393.857 m at 40 degrees
    frame = LocalFrame(lon_deg=12.0, lat_deg=40.0)
    east_m, north_m = frame.to_local([12.0, 12.0, 12.0005, 11.9995], [40.0005, 39.9995, 40.0, 40.0])
    along_m, across_m = radii_m(40.0)
    assert (north_m[0] - north_m[1]) / 0.001 == pytest.approx(math.radians(along_m), abs=0.01)
    assert (north_m[0] - north_m[1]) / 0.001 == pytest.approx(111_034.633, abs=0.01)
    assert (east_m[2] - east_m[3]) / 0.001 == pytest.approx(
        math.radians(across_m * math.cos(math.radians(40.0))), abs=0.01
    )
    assert (east_m[2] - east_m[3]) / 0.001 == pytest.approx(85_393.857, abs=0.01)


def enu_m(lon0, lat0, h0, lon, lat, h):
    """Geodetic to east, north, up by way of geocentric coordinates, closed form."""

    def geocentric(lon, lat, h):
        lon, lat = math.radians(lon), math.radians(lat)
        n = A_M / math.sqrt(1.0 - E2 * math.sin(lat) ** 2)
        across = (n + h) * math.cos(lat)
        return np.array([across * math.cos(lon), across * math.sin(lon), (n * (1.0 - E2) + h) * math.sin(lat)])

    away = geocentric(lon, lat, h) - geocentric(lon0, lat0, h0)
    lon0, lat0 = math.radians(lon0), math.radians(lat0)
    s, c, sp, cp = math.sin(lon0), math.cos(lon0), math.sin(lat0), math.cos(lat0)
    return np.array([[-s, c, 0.0], [-sp * c, -sp * s, cp], [cp * c, cp * s, sp]]) @ away


# EPSG Guidance Note 7-2, methods 9836/9837: 55 N 5 E 200 m to 53 48 33.820 N 2 07 46.380 E 73 m (read)
EPSG_ENU_M = (-189_013.869, -128_642.040, -4_220.171)
EPSG_LONLAT = degrees("2 07 46.380"), degrees("53 48 33.820")


def test_topocentric_example_by_closed_form_and_by_proj():
    assert enu_m(5.0, 55.0, 200.0, *EPSG_LONLAT, 73.0) == pytest.approx(EPSG_ENU_M, abs=0.002)
    pipeline = pyproj.Transformer.from_pipeline(
        "+proj=pipeline +step +proj=cart +ellps=WGS84 +step +proj=topocentric +ellps=WGS84 +lon_0=5 +lat_0=55 +h_0=200"
    )
    assert pipeline.transform(*EPSG_LONLAT, 73.0) == pytest.approx(EPSG_ENU_M, abs=0.002)


def test_frame_looks_the_same_way_as_the_topocentric_example():
    # a geodesic and the plane section toward its end part by well under an arc second over 229 km
    east_m, north_m = LocalFrame(lon_deg=5.0, lat_deg=55.0).to_local(*EPSG_LONLAT)
    assert math.atan2(east_m, north_m) == pytest.approx(math.atan2(*EPSG_ENU_M[:2]), abs=math.radians(1.0 / 3600.0))


def test_tangent_plane_rises_off_the_ellipsoid():
    # computed with PROJ: E 8660.25, N 4999.998, U -7.836; on a sphere of 6371 km, s²/2R = 7.8481 m
    lon_deg, lat_deg = LocalFrame(lon_deg=-119.35, lat_deg=40.65).to_lonlat(*(10_000.0 * np.array([0.75**0.5, 0.5])))
    east_m, north_m, up_m = enu_m(-119.35, 40.65, 0.0, float(lon_deg), float(lat_deg), 0.0)
    assert (east_m, north_m, up_m) == pytest.approx((8660.25, 4999.998, -7.836), abs=0.002)
    assert up_m == pytest.approx(-(10_000.0**2) / (2.0 * 6_371_000.0), abs=0.02)


def test_declination_is_positive_to_the_east():
    # definition: true = magnetic + declination
    assert true_from_magnetic_deg(350.0, 12.9) == pytest.approx(2.9, abs=1e-9)
