"""Contours: hold their share, nest, turn with the cloud, survive odd clouds, quick."""

import time

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from geo.errors import BadChance, BadGeometry, BadSamples
from geo.footprint import clearance, footprint


def turned(xy_m, angle_deg):
    a = np.radians(angle_deg)
    return xy_m @ np.array([[np.cos(a), np.sin(a)], [-np.sin(a), np.cos(a)]])


def normal(rng, n):
    return rng.multivariate_normal([500.0, 200.0], [[14400.0, 3600.0], [3600.0, 3600.0]], n)


def two_clusters(rng, n):
    xy_m = rng.normal(0.0, 20.0, (n, 2))
    xy_m[::2, 0] += 400.0
    return xy_m


def bow(rng, n):
    t = rng.uniform(-1.5, 1.5, n)
    return 300.0 * np.column_stack([np.cos(t), np.sin(t)]) + rng.normal(0.0, 8.0, (n, 2))


def round_the_pad(rng, n):
    t = rng.uniform(0.0, 2.0 * np.pi, n)
    return 300.0 * np.column_stack([np.cos(t), np.sin(t)]) + rng.normal(0.0, 15.0, (n, 2))


def needle(rng, n):
    return turned(np.column_stack([rng.normal(0.0, 300.0, n), rng.normal(0.0, 1.0, n)]), 33.0)


def long_tails(rng, n):
    return 50.0 * rng.standard_t(3, (n, 2))


def disc(rng, n):
    t = rng.uniform(0.0, 2.0 * np.pi, n)
    return 400.0 * np.sqrt(rng.uniform(0.0, 1.0, n))[:, None] * np.column_stack([np.cos(t), np.sin(t)])


def core_in_a_wide_disc(rng, n):
    """Nine landings in ten close together, one anywhere in a wide disc: ballistic returns."""
    return np.where(rng.uniform(size=(n, 1)) < 0.9, rng.normal(0.0, 8.0, (n, 2)), disc(rng, n))


def core_and_a_thin_far_group(rng, n):
    return np.where(rng.uniform(size=(n, 1)) < 0.97, rng.normal(0.0, 30.0, (n, 2)), rng.normal(1200.0, 150.0, (n, 2)))


PLAIN = (normal, two_clusters, bow, round_the_pad, needle, long_tails)
CLOUDS = (*PLAIN, core_in_a_wide_disc, core_and_a_thin_far_group)


@pytest.mark.parametrize("count", [1024, 4096])
@pytest.mark.parametrize("cloud", CLOUDS)
def test_contours_hold_their_share_of_the_next_landings(cloud, count):
    rng = np.random.default_rng(8)
    fresh = cloud(rng, 40_000)
    found = footprint(*cloud(rng, count).T)
    for contour in found.contours:
        share = shapely.contains_xy(contour.geometry, *fresh.T).mean()
        # two standard errors of a share counted in `count` samples, and half a percent for the smoothing
        allowed = 2.5 * np.sqrt(contour.share * (1.0 - contour.share) / count) + 0.005
        assert share == pytest.approx(contour.share, abs=allowed)
        assert contour.held >= contour.share - 0.01
        assert contour.held == pytest.approx(contour.share, abs=0.1 if contour.share < 0.9 else 0.05)


def test_contours_of_an_even_disc_hold_their_share_on_average():
    # Where all ground is equally likely, chance alone says which half is denser: the share held by one 50 % contour
    # scatters 1.6 times as much as a counted share (0.025 measured over 60 clouds of 1024), so the mean of 16 is held
    shares = []
    for seed in range(16):
        rng = np.random.default_rng(seed)
        found, fresh = footprint(*disc(rng, 1024).T), disc(rng, 8000)
        shares.append([shapely.contains_xy(contour.geometry, *fresh.T).mean() for contour in found.contours])
    half, most, nearly_all = np.mean(shares, axis=0)
    assert half == pytest.approx(0.5, abs=0.025)  # three standard errors and half a percent for the smoothing
    assert most == pytest.approx(0.95, abs=0.01)
    assert nearly_all == pytest.approx(0.99, abs=0.005)


@pytest.mark.parametrize("cloud", [*CLOUDS, disc])
def test_contours_nest(cloud):
    found = footprint(*cloud(np.random.default_rng(1), 1024).T)
    inner, middle, outer = (contour.geometry for contour in found.contours)
    assert inner.is_valid and middle.is_valid and outer.is_valid
    assert inner.difference(middle).area < 1e-6 * inner.area
    assert middle.difference(outer).area < 1e-6 * middle.area
    assert found.contour(0.5).area_m2 < found.contour(0.95).area_m2 < found.contour(0.99).area_m2


def test_clusters_keep_apart_and_the_ring_keeps_its_hole():
    rng = np.random.default_rng(5)
    apart = footprint(*two_clusters(rng, 1024).T).contour(0.95)
    assert len(apart.geometry.geoms) == 2
    # each cluster: pi * -2 ln(0.05) * 20² = 7529 m²; twice that; one kernel for both spreads would give over 30 000
    assert apart.area_m2 == pytest.approx(2 * 7529.0, rel=0.15)
    assert not footprint(*round_the_pad(rng, 1024).T).contour(0.95).geometry.contains(shapely.Point(0.0, 0.0))


def pieces(contour):
    return len(contour.geometry.geoms)


@pytest.mark.parametrize("count", [1024, 4096])
@pytest.mark.parametrize("cloud", [normal, disc, bow, long_tails, core_in_a_wide_disc])
def test_a_connected_cloud_has_a_contour_in_one_piece(cloud, count):
    # each is drawn from a density with connected level sets, so its regions of highest density are in one piece
    for seed in range(4):
        found = footprint(*cloud(np.random.default_rng(seed), count).T)
        assert pieces(found.contour(0.99)) == 1
        assert shapely.get_num_interior_rings(found.contour(0.99).geometry.geoms[0]) <= 1
        # half of the wide disc is inside, half outside, and all of it is equally likely: some islands are honest
        assert pieces(found.contour(0.95)) <= (6 if cloud is core_in_a_wide_disc else 2)


def test_the_ground_between_thin_landings_is_inside():
    # closed form: a tenth lies in the disc, the 99 % contour leaves out a hundredth: nine tenths of its ground
    areas_m2 = [
        footprint(*core_in_a_wide_disc(np.random.default_rng(seed), 4096).T).contour(0.99).area_m2 for seed in range(4)
    ]
    assert np.mean(areas_m2) == pytest.approx(0.9 * np.pi * 400.0**2, rel=0.1)


@pytest.mark.parametrize("count", [1024, 4096])
def test_a_thin_group_far_away_is_a_piece_of_its_own(count):
    for seed in range(4):
        outer = footprint(*core_and_a_thin_far_group(np.random.default_rng(seed), count).T).contour(0.99).geometry
        assert len(outer.geoms) in (2, 3)
        assert outer.covers(shapely.Point(0.0, 0.0)) and outer.covers(shapely.Point(1200.0, 1200.0))
        assert not outer.intersects(shapely.Point(500.0, 500.0))


@settings(max_examples=20, deadline=None)
@given(st.floats(0.0, 360.0), st.floats(-2000.0, 2000.0), st.floats(-2000.0, 2000.0))
def test_contours_turn_and_move_with_the_cloud(angle_deg, east_m, north_m):
    xy_m = normal(np.random.default_rng(3), 1024)
    plain = footprint(*xy_m.T)
    moved = footprint(*np.add(turned(xy_m, angle_deg), [east_m, north_m]).T)
    for one, other in zip(plain.contours, moved.contours, strict=True):
        wanted = shapely.transform(one.geometry, lambda xy: np.add(turned(xy, angle_deg), [east_m, north_m]))
        # the kernel's axes may come out mirrored, so the grid falls otherwise: equal to the grid's own error
        assert wanted.symmetric_difference(other.geometry).area < 0.03 * one.area_m2
    assert moved.ellipse.semi_major_m == pytest.approx(plain.ellipse.semi_major_m)
    around = (moved.ellipse.bearing_deg - plain.ellipse.bearing_deg + angle_deg) % 180.0
    assert min(around, 180.0 - around) < 1e-6


def test_a_line_and_a_spot_get_a_contour_around_them():
    along = np.linspace(-100.0, 100.0, 512)
    line = footprint(along, np.zeros(512)).contour(0.99)
    assert line.held >= 0.98
    _, south, _, north = line.geometry.bounds
    assert 0.2 < north - south < 5.0
    spot = footprint(np.full(256, 7.0), np.full(256, -3.0))
    for contour in spot.contours:
        assert contour.held == 1.0 and 0.05 < contour.area_m2 < 10.0
    assert (spot.mean_east_m, spot.mean_north_m) == (7.0, -3.0)
    assert spot.ellipse.semi_major_m == 0.0


def test_one_far_outlier_does_not_blur_the_rest():
    xy_m = normal(np.random.default_rng(2), 1024)
    plain = footprint(*xy_m.T).contour(0.95).area_m2
    xy_m[17] = [60_000.0, 0.0]
    found = footprint(*xy_m.T)
    assert found.contour(0.5).held == pytest.approx(0.5, abs=0.03)
    assert found.contour(0.95).area_m2 < 6.0 * plain  # coarser cells, no more
    assert found.farthest.distance_m == 60_000.0 and found.farthest.bearing_deg == 90.0


def test_the_same_points_give_the_same_contours():
    xy_m = normal(np.random.default_rng(2), 1024)
    assert shapely.to_wkb(footprint(*xy_m.T).contour(0.95).geometry) == shapely.to_wkb(
        footprint(*xy_m.reshape(16, 64, 2).transpose(2, 0, 1)).contour(0.95).geometry
    )


def test_farthest_from_the_pad():
    xy_m = np.vstack([normal(np.random.default_rng(2), 60), [[-900.0, 100.0]]])
    found = footprint(*xy_m.T, from_east_m=100.0, from_north_m=100.0).farthest
    assert (found.distance_m, found.bearing_deg, found.east_m) == (1000.0, 270.0, -900.0)


@pytest.mark.parametrize("east,north,words", [
    ([0.0] * 19, [0.0] * 19, "20 landing points"),
    ([0.0] * 30, [0.0] * 29, "30 east and 29 north"),
    ([np.nan] + [0.0] * 29, [0.0] * 30, "1 of 30"),
    ([2e6] + [0.0] * 29, [0.0] * 30, "2,000 km"),
])  # fmt: skip
def test_bad_samples_are_refused(east, north, words):
    with pytest.raises(BadSamples, match=words):
        footprint(east, north)


def test_bad_shares_are_refused():
    xy_m = normal(np.random.default_rng(2), 64)
    with pytest.raises(BadChance, match="share of 95"):
        footprint(*xy_m.T, shares=[95])
    with pytest.raises(BadChance, match=r"no contour holds 0\.8"):
        footprint(*xy_m.T).contour(0.8)


FIELD = shapely.box(-100.0, -100.0, 100.0, 100.0).difference(shapely.box(40.0, 40.0, 60.0, 60.0))


def test_clearance_inside_out_and_at_a_hole():
    assert clearance(shapely.box(-60, -10, 0, 10), FIELD).distance_m == 40.0
    assert clearance(shapely.box(-60, -10, 0, 10), FIELD).bearing_deg == 270.0
    hole = clearance(shapely.box(20, 45, 30, 55), FIELD)
    assert (hole.distance_m, hole.bearing_deg) == (10.0, 90.0)
    out = clearance(shapely.box(-10, -10, 10, 130), FIELD)
    assert (out.distance_m, out.bearing_deg) == (-30.0, 0.0)
    away = clearance(shapely.box(-10, 120, 10, 130), FIELD)
    assert (away.distance_m, away.bearing_deg) == (-30.0, 0.0)
    touching = clearance(shapely.box(-10, 0, 10, 100), FIELD)
    assert touching.distance_m == 0.0
    assert clearance(shapely.box(30, 45, 50, 55), FIELD).distance_m == -5.0  # two corners into the hole
    assert clearance(shapely.box(-10, -10, 90, 90), FIELD).distance_m == pytest.approx(-10.0, abs=0.1)  # over it
    with pytest.raises(BadGeometry, match="empty"):
        clearance(shapely.Polygon(), FIELD)


@settings(max_examples=30, deadline=None)
@given(st.floats(0.0, 150.0), st.floats(0.1, 100.0))
def test_clearance_grows_with_the_field(margin_m, more_m):
    region = shapely.box(-150.0, -20.0, 20.0, 20.0)
    plain = shapely.box(-100.0, -100.0, 100.0, 100.0)
    small = clearance(region, plain.buffer(1.0 + margin_m)).distance_m
    assert clearance(region, plain.buffer(1.0 + margin_m + more_m)).distance_m > small


@pytest.mark.parametrize("cloud", [normal, core_in_a_wide_disc, core_and_a_thin_far_group])
@pytest.mark.parametrize("count", [1024, 4096])
def test_quick_enough(cloud, count):
    xy_m = cloud(np.random.default_rng(2), count)
    footprint(*xy_m.T)  # imports
    spent_s = []
    for _ in range(5):
        begun = time.thread_time()
        footprint(*xy_m.T)
        spent_s.append(time.thread_time() - begun)
    assert min(spent_s) < 0.06  # 5 to 25 ms on an idle machine; 30 ms is what a table of entries can bear
