"""Wind tables: what they keep, what they refuse."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.flight import gusts, wind
from service.flight.errors import OutsideModel
from service.flight.tables import level_heights_m

GRID = level_heights_m()


def speed_at(table, height_m):
    return float(np.hypot(np.interp(height_m, GRID, table.east_mps), np.interp(height_m, GRID, table.north_mps)))


def from_deg_at(table, height_m):
    east, north = np.interp(height_m, GRID, table.east_mps), np.interp(height_m, GRID, table.north_mps)
    return math.degrees(float(wind.speed_and_from(east, north)[1]))


def layers(heights, speeds, degrees, **more):
    return wind.wind_from_layers(heights, speeds, np.radians(degrees), **more)


def test_readings_come_back_and_the_ground_is_still():
    table = layers([2.0, 600.0, 1500.0], [3.5, 8.0, 12.0], [220.0, 240.0, 260.0])
    assert table.east_mps[0] == 0.0 and table.north_mps[0] == 0.0
    for height, speed, degrees in ((2.0, 3.5, 220.0), (600.0, 8.0, 240.0), (1500.0, 12.0, 260.0)):
        assert speed_at(table, height) == pytest.approx(speed, rel=0.006)
        assert from_deg_at(table, height) == pytest.approx(degrees, abs=0.6)  # the grid cuts the corner at 2 m
    assert speed_at(table, 5000.0) == pytest.approx(12.0, rel=1e-9)  # held above the highest


def test_two_readings_on_a_log_law_give_the_log_law_back():
    ratio = math.log(300.0 / 0.03) / math.log(2.0 / 0.03)
    table = layers([2.0, 300.0], [3.0, 3.0 * ratio], [90.0, 90.0], roughness_m=0.03)
    for height in (0.5, 2.0, 10.0, 50.0, 120.0):
        assert speed_at(table, height) == pytest.approx(3.0 * math.log(height / 0.03) / math.log(2.0 / 0.03), rel=0.01)


def test_aloft_the_vector_runs_straight():
    table = layers([1000.0, 2000.0], [10.0, 20.0], [270.0, 270.0])
    assert speed_at(table, 1500.0) == pytest.approx(15.0, abs=0.01)


def test_wind_does_not_turn_through_south_between_350_and_10():
    table = layers([500.0, 1000.0], [10.0, 10.0], [350.0, 10.0])
    assert from_deg_at(table, 750.0) == pytest.approx(0.0, abs=0.1) or from_deg_at(table, 750.0) > 359.9


def test_one_reading_grows_to_300_metres_and_no_further():
    table = layers([2.0], [4.0], [180.0])
    assert speed_at(table, 300.0) == pytest.approx(4.0 * math.log(300 / 0.03) / math.log(2 / 0.03), rel=0.002)
    assert speed_at(table, 3000.0) == pytest.approx(speed_at(table, 320.0), rel=1e-3)
    assert from_deg_at(table, 2000.0) == pytest.approx(180.0)


def test_veer_turns_clockwise_and_stops_at_a_kilometre():
    table = layers([10.0], [5.0], [350.0], veer_rad=math.radians(20.0))
    assert from_deg_at(table, 10.0) == pytest.approx(350.0, abs=0.05)
    assert from_deg_at(table, 1000.0) == pytest.approx(9.8, abs=0.1)
    assert from_deg_at(table, 4000.0) == pytest.approx(9.8, abs=0.05)


@pytest.mark.parametrize("terrain", wind.TERRAIN)
def test_a_hand_meter_in_any_terrain_gives_a_sober_profile(terrain):
    table = layers([2.0], [4.0], [90.0], roughness_m=wind.TERRAIN[terrain])
    assert 4.0 < speed_at(table, 10.0) < 4.0 * 1.8
    assert speed_at(table, 300.0) < 4.0 * 3.3


def test_calm_is_calm():
    table = layers([2.0, 100.0], [0.0, 0.0], [0.0, 0.0])
    assert not table.east_mps.any() and not table.north_mps.any()


@settings(max_examples=40, deadline=None)
@given(st.floats(0.0, 2.0 * math.pi), st.floats(-3.0, 3.0))
def test_turning_every_reading_turns_the_table(origin, turn):
    heights, speeds = [2.0, 200.0, 900.0], [3.0, 7.0, 9.0]
    base = wind.wind_from_layers(heights, speeds, [origin, origin + 0.2, origin + 0.5])
    turned = wind.wind_from_layers(heights, speeds, [origin + turn, origin + 0.2 + turn, origin + 0.5 + turn])
    east = base.east_mps * math.cos(turn) + base.north_mps * math.sin(turn)
    north = base.north_mps * math.cos(turn) - base.east_mps * math.sin(turn)
    assert turned.east_mps == pytest.approx(east, abs=1e-9)
    assert turned.north_mps == pytest.approx(north, abs=1e-9)


@pytest.mark.parametrize(
    ("heights", "speeds", "degrees", "text"),
    [
        ([], [], [], "wind height_m has shape"),
        ([2.0, 2.0], [3.0, 4.0], [0.0, 0.0], r"wind height_m\[1\] is 2 after 2"),
        ([100.0, 10.0], [3.0, 4.0], [0.0, 0.0], r"wind height_m\[1\] is 10 after 100"),
        ([0.0], [3.0], [0.0], r"wind height_m\[0\] is 0 m; it needs to be finite and above zero"),
        ([2.0], [-3.0], [0.0], r"wind speed_mps\[0\] is -3 m/s"),
        ([2.0], [math.nan], [0.0], r"wind speed_mps\[0\] is nan"),
        ([2.0], [3.0], [math.inf], r"wind from_rad\[0\] is inf"),
        ([2.0], [500.0], [0.0], r"wind speed_mps\[0\] is 500 m/s; the model holds from 0 to 120 m/s"),
        ([2.0, 10.0], [3.0], [0.0], "2 wind heights, 1 speeds, 1 directions"),
    ],
)
def test_readings_that_cannot_be_are_refused(heights, speeds, degrees, text):
    with pytest.raises(OutsideModel, match=text):
        layers(heights, speeds, degrees)


def test_other_makers_of_wind():
    table = wind.constant_wind(5.0, math.radians(270.0))
    assert table.east_mps == pytest.approx(np.full(801, 5.0)) and table.north_mps == pytest.approx(0.0, abs=1e-12)
    table = wind.power_law_wind(5.0, 10.0, 1.0 / 7.0, math.radians(270.0))
    assert float(np.interp(100.0, GRID, table.east_mps)) == pytest.approx(5.0 * 10.0 ** (1.0 / 7.0), rel=1e-3)
    assert table.east_mps[0] == 0.0
    assert table.east_mps[-1] == pytest.approx(5.0 * 30.0 ** (1.0 / 7.0), rel=1e-9)
    table = wind.wind_from_function(lambda height_m: (3.0 + 0.004 * height_m / 10.0, -1.0))
    assert table.east_mps[100] == pytest.approx(3.0 + 0.0004 * GRID[100])
    with pytest.raises(OutsideModel, match="not finite"):
        wind.wind_from_function(lambda height_m: (math.nan, 0.0))
    with pytest.raises(OutsideModel, match=r"\(east, north\) is wanted"):
        wind.wind_from_function(lambda height_m: (1.0, 2.0, 3.0))
    for call in (
        lambda: wind.constant_wind(math.nan, 0.0),
        lambda: wind.constant_wind(5.0, math.nan),
        lambda: wind.power_law_wind(5.0, 10.0, math.nan, 0.0),
        lambda: wind.power_law_wind(5.0, 0.0, 0.14, 0.0),
    ):
        with pytest.raises(OutsideModel):
            call()


def test_how_far_a_flight_rose_above_the_readings():
    assert wind.extrapolated_m([2.0, 600.0], 950.0) == 350.0
    assert wind.extrapolated_m([2.0, 600.0], 400.0) == 0.0


def test_directions_turn_round():
    assert float(wind.reversed_rad(math.radians(270.0))) == pytest.approx(math.radians(90.0))
    east, north = wind.components_mps(7.0, math.radians(123.0))
    speed, origin = wind.speed_and_from(east, north)
    assert (float(speed), math.degrees(float(origin))) == pytest.approx((7.0, 123.0))


def test_gusts():
    assert gusts.sigma_from_gust_mps(3.5, 5.0) == pytest.approx(0.5)
    with pytest.raises(OutsideModel, match="the gust, 3 m/s, is below the mean wind, 5 m/s"):
        gusts.sigma_from_gust_mps(5.0, 3.0)
    with pytest.raises(OutsideModel):
        gusts.sigma_from_gust_mps(5.0, math.nan)
    # held to the model's range at both ends, and never growing with height
    assert gusts.turbulence(0.0, 5.0) == gusts.turbulence(3.0, 5.0)
    assert gusts.gust_sigma_mps(2.0, 5.0) > gusts.gust_sigma_mps(100.0, 5.0) > gusts.gust_sigma_mps(900.0, 5.0)
