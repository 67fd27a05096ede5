"""Landings over a season: turned, interpolated, counted; held against flying them as they would really fly."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import shapely

from service.flight.dispersion import disperse
from service.models.conditions import WindLevel
from service.planning.assess import SEED
from service.planning.flight_inputs import flight_inputs
from service.planning.sizing.affected import HELD_SHARE, affected_ground
from service.planning.sizing.ceiling import ceiling_to_ask, upper_apogee_m
from service.planning.sizing.flights import Flights, fly, fly_all, upright
from service.planning.sizing.profiles import Profile, profiles_of, speeds_to_fly
from service.planning.sizing.season_cloud import Cells, cells_of, landings_at, season_points, turned
from service.planning.sizing.season_csv import read_winds_csv
from service.planning.sizing.shares import (
    WindCells,
    chance_over_samples,
    class_chance,
    inside_per_sample,
    outside_table,
    wind_cells,
)
from tests.planning.advise.few_flights import demo
from tests.planning.sizing.seasons import demo_winds, few, ground, winds_text

SAMPLES = 256
SPEEDS = np.array([0.0, 3.0, 6.0])


@cache
def flights() -> Flights:
    winds = read_winds_csv(winds_text())
    profiles = profiles_of(winds, winds.known, SPEEDS)
    return fly_all(demo(), few().rockets, profiles, SAMPLES, 1, lambda: False, lambda done, what: None)


def flown_from(from_deg: float, speed_mps: float, rocket: int = 1, coriolis: bool = False) -> np.ndarray:
    """Planned landings, really flown in that wind."""
    level = WindLevel(height_m=10.0, speed_mps=speed_mps, from_deg=from_deg)
    conditions = demo().conditions.model_copy(update={"wind": (level,)})
    inputs = flight_inputs(demo(), few().rockets[rocket].entry, conditions)
    setup = upright(inputs).setup
    if coriolis:
        setup = replace(setup, latitude_rad=inputs.setup.latitude_rad)
    found = disperse(setup, samples=SAMPLES, seed=SEED, spreads=inputs.spreads, unknown_shape=inputs.unknown_shape,
                     soft_devices=inputs.soft_devices, threads=1)  # fmt: skip
    return found.landings["planned"][:, :2]


@pytest.mark.parametrize("from_deg, at", [(0.0, (0.0, -1.0)), (90.0, (-1.0, 0.0)), (225.0, (0.5**0.5, 0.5**0.5))])
def test_a_landing_down_wind_of_north_turns_to_down_wind_of_the_direction(from_deg, at):
    assert turned(np.array([0.0, -1.0]), from_deg) == pytest.approx(at)


@pytest.mark.parametrize("from_deg", [140.0, 285.0])
def test_turned_landings_are_those_flown_in_that_direction(from_deg):
    """The draws of gusts and of the misset guide do not turn along, so clouds are compared and not samples."""
    mine = turned(flights().of(1, 0, 1).landings["planned"], from_deg)
    theirs = flown_from(from_deg, 3.0)
    spread_m = theirs.std(axis=0)
    assert np.abs(mine.mean(axis=0) - theirs.mean(axis=0)).max() < 0.1 * spread_m.max()
    assert np.linalg.eigvalsh(np.cov(mine.T)) == pytest.approx(np.linalg.eigvalsh(np.cov(theirs.T)), rel=0.15)


def test_the_earths_turning_left_out_moves_a_landing_by_less_than_a_metre():
    assert np.abs(flown_from(0.0, 3.0, 2) - flown_from(0.0, 3.0, 2, coriolis=True)).max() < 1.0


def test_between_two_speeds_the_landings_are_nearly_those_flown():
    between = landings_at(flights(), 1, "planned", 0, 4.5)
    theirs = flown_from(0.0, 4.5)
    reach_m = float(np.hypot(*theirs.mean(axis=0)))
    assert np.hypot(*(between - theirs).T).mean() < 0.03 * reach_m
    assert np.array_equal(landings_at(flights(), 1, "planned", 0, 3.0), flights().of(1, 0, 1).landings["planned"])


def test_season_points_weigh_hours_as_they_are():
    cells = Cells(np.array([0, 0]), np.array([3.0, 6.0]), np.array([0.0, 90.0]), np.array([3.0, 1.0]))
    points = season_points(flights(), 1, "planned", cells)
    south = flights().of(1, 0, 1).landings["planned"].mean(axis=0)
    west = turned(flights().of(1, 0, 2).landings["planned"], 90.0).mean(axis=0)
    assert points.mean(axis=0) == pytest.approx(0.75 * south + 0.25 * west, abs=2.0)


def test_cells_hold_every_hour_once():
    winds = demo_winds()
    profiles = profiles_of(winds, winds.known, speeds_to_fly(7.5))
    cells = cells_of(winds, profiles, winds.known)
    assert cells.hours == winds.known.sum()
    mean = float((cells.speed_mps * cells.weight).sum() / cells.hours)
    slow = np.minimum(winds.speed_mps[winds.known], 7.5)
    assert mean == pytest.approx(float(slow.mean()), abs=0.05)


def test_profiles_aloft_are_the_means_of_their_hours():
    winds = demo_winds()
    profiles = profiles_of(winds, winds.known, speeds_to_fly(7.5))
    near = winds.known & (np.abs(winds.speed_mps - 3.0) <= 0.75)
    for layer in (0, 1):
        here = near & (profiles.layer_of_hour == layer)
        top = profiles.flown[layer][2].levels[1]
        assert top.height_m == 600.0 and top.speed_mps == pytest.approx(float(winds.aloft_mps[here].mean()))
    weak, strong = (profiles.flown[layer][2].levels[1].speed_mps for layer in (0, 1))
    assert weak < strong


def test_one_reading_goes_upward_by_the_simulators_own_law():
    winds = read_winds_csv(winds_text())
    profiles = profiles_of(winds, winds.known, SPEEDS)
    assert profiles.layers == 1 and all(len(each.levels) == 1 for each in profiles.flown[0])


def test_the_share_inside_is_the_count_of_landings_inside():
    cells = Cells(np.array([0]), np.array([3.0]), np.array([220.0]), np.array([1.0]))
    found = class_chance(few(), flights(), "G", 1, wind_cells(cells, 3.0, 0.75), ground().boundary)
    points = turned(flights().of(2, 0, 1).landings["planned"], 220.0) + few().rockets[2].pad_at
    inside = shapely.contains(ground().boundary, shapely.points(points))
    assert found.estimate == pytest.approx(float(inside.mean())) and found.low <= found.estimate <= found.high


def test_all_landings_inside_in_every_wind_are_all_and_not_nearly_all():
    """A third three times adds up to a little less than one in floating point."""
    winds = WindCells(np.zeros(3, dtype=int), np.array([0.0, 120.0, 240.0]), np.array([1 / 3] * 3) * (1 - 1e-15))
    everywhere = shapely.box(-1e5, -1e5, 1e5, 1e5)
    shares = inside_per_sample([flights().of(1, 0, 1).landings["planned"]], winds, everywhere, (0.0, 0.0))
    assert (shares == 1.0).all() and chance_over_samples(shares).estimate == 1.0


def test_the_interval_holds_what_many_more_samples_say():
    rng = np.random.default_rng(5)
    held = 0
    for _ in range(200):
        found = chance_over_samples((rng.random(256) < 0.9).astype(float))
        held += found.low <= 0.9 <= found.high
    assert held >= 180  # of 200, where 95 % would be 190


def test_the_table_of_winds_agrees_with_single_winds():
    table = outside_table(flights(), 2, ground().boundary, few().rockets[2].pad_at)
    points = turned(flights().of(2, 0, 2).landings["planned"], 250.0) + few().rockets[2].pad_at
    inside = shapely.contains(ground().boundary, shapely.points(points))
    assert table[0, 12, 25] == pytest.approx(1.0 - float(inside.mean()))  # 6.0 m/s, 250 degrees


def test_a_rocket_that_cannot_be_flown_is_unknown_and_says_why():
    heavy = few().rockets[1].entry.rocket.model_copy(update={"mass_kg": 5.0})
    rocket = replace(few().rockets[1], entry=few().rockets[1].entry.model_copy(update={"rocket": heavy}))
    found = fly(demo(), rocket, Profile(3.0, 0, (WindLevel(height_m=10.0, speed_mps=3.0, from_deg=0.0),)), 64)
    assert found.why and not found.landings
    lost = Flights(flights().profiles, {**flights().flown, (1, 0, 2): found}, SAMPLES)
    assert "6 m/s" in lost.why(1) and not lost.why(0)
    cells = Cells(np.array([0]), np.array([6.0]), np.array([220.0]), np.array([1.0]))
    assert class_chance(few(), lost, "D", 2, wind_cells(cells, 6.0, 0.75), ground().boundary) is None
    assert outside_table(lost, 1, ground().boundary, (0.0, 0.0)) is None and upper_apogee_m(lost, 1, cells) is None


def test_the_upper_apogee_is_the_percentile_over_hours_and_flights():
    cells = Cells(np.array([0, 0]), np.array([0.0, 3.0]), np.array([0.0, 0.0]), np.array([1.0, 3.0]))
    calm, windy = (flights().of(2, 0, number).apogees_m for number in (0, 1))
    whole = np.concatenate([calm, windy, windy, windy])
    assert upper_apogee_m(flights(), 2, cells) == pytest.approx(float(np.quantile(whole, 0.99)), rel=0.002)


def test_the_ceiling_is_the_highest_rocket_with_a_tenth_on_top_in_hundreds_of_feet():
    found = ceiling_to_ask(demo(), few(), [120.0, 300.0, 914.4])
    assert found.letter == "G" and found.agl_ft == 3300.0  # 3,000 ft and a tenth
    assert found.msl_ft == 4400.0  # 3,300 ft over a field at 1,017 ft: 4,317 ft
    assert "1,500 m, is enough for that" in found.words
    assert ceiling_to_ask(demo(), few(), [None, None, None]).agl_ft is None
    assert "1 of 3 rockets" in ceiling_to_ask(demo(), few(), [None, 300.0, 914.4]).words


def test_the_affected_circle_holds_what_three_sigma_holds():
    rng = np.random.default_rng(11)
    cloud = rng.normal((0.0, 0.0), 400.0, (60_000, 2))
    landings = {(2, "planned"): cloud, (0, "planned"): 0.1 * cloud, (2, "no_deployment"): 0.5 * cloud}
    found = affected_ground(demo(), ground(), few(), landings, None)
    modes = {each.mode: each for each in found.modes}
    # three standard deviations of a round normal cloud: 98.9 % (1 - exp(-9/2)) lie within 3 sigma
    assert modes["planned"].radius_m == pytest.approx(1200.0, rel=0.02) and modes["planned"].letter == "G"
    assert modes["no_deployment"].radius_m == pytest.approx(600.0, rel=0.02)
    assert HELD_SHARE == pytest.approx(0.98889, abs=1e-5)
    pads = np.array([ground().pad_at(pad) for pad in demo().field.pads])
    for pad in pads:  # around the middle of the pads it holds the landings from each of them
        away = np.hypot(*(cloud + pad - pads.mean(axis=0)).T)
        assert (away <= found.radius_m).mean() >= HELD_SHARE - 0.002
    assert round(found.radius_nmi * 10) == pytest.approx(found.radius_nmi * 10) and "2 of 3" not in found.words
    assert "1 of 3 rockets" in found.words
