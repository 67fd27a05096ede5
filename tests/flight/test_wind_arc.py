"""A wind whose direction ranges over an arc, or is anything: where the flights come down then."""

import math
from dataclasses import replace

import numpy as np
import pytest

from service.flight import disperse, simulate
from service.flight.dispersion import DIMENSIONS, wind_spread
from service.flight.error_sources import DEFAULTS
from service.flight.errors import OutsideModel
from service.flight.plain import fly_plain
from service.flight.setup import Device, Guide
from service.flight.tables import level_heights_m
from service.flight.wind import wind_from_layers
from tests.flight.vehicles import club_rocket, drawn

NOTHING = dict.fromkeys(DEFAULTS, 0.0)
CANOPY = (Device("main", 0.3, "apogee", 0.0),)


def rocket(half_arc_deg, latitude_rad=None):
    """Upright in 4 m/s from the west; without the turning earth nothing but the wind has a direction."""
    wind = wind_from_layers([10.0], [4.0], [math.radians(270.0)], half_arc_rad=[math.radians(half_arc_deg)])
    return club_rocket(wind=wind, guide=Guide(1.5), devices=CANOPY, latitude_rad=latitude_rad)


def bearings(landings):
    """Bearing of each landing from the pad. [rad]"""
    return np.arctan2(landings[:, 0], landings[:, 1])


@pytest.mark.parametrize("half_arc_deg", [180.0, 90.0, 40.0])
def test_every_direction_of_the_arc_is_equally_likely(half_arc_deg):
    # with no other error a flight lands as far off as the nominal one, on a bearing drawn evenly from the arc;
    # an even arc of half width a has the mean direction cosine sin(a) / a (closed form)
    setup = rocket(half_arc_deg)
    nominal = simulate(setup, history=False).landings["planned"]
    landed = disperse(setup, samples=256, seed=5, spreads=NOTHING, gust_sigma_mps=0.0).landings["planned"]
    away_m = math.hypot(nominal.east_m, nominal.north_m)
    assert np.hypot(landed[:, 0], landed[:, 1]) == pytest.approx(away_m, rel=1e-3)
    off = bearings(landed) - math.atan2(nominal.east_m, nominal.north_m)
    off = (off + math.pi) % (2.0 * math.pi) - math.pi
    a = math.radians(half_arc_deg)
    assert np.abs(off).max() <= a + 1e-6
    assert np.cos(off).mean() == pytest.approx(math.sin(a) / a, abs=0.02)
    assert np.sin(off).mean() == pytest.approx(0.0, abs=0.02)
    assert np.quantile(off, [0.25, 0.75]) == pytest.approx([-a / 2.0, a / 2.0], abs=0.03 * a)


def test_the_arc_comes_on_top_of_the_usual_spread_and_no_arc_changes_nothing():
    usual = disperse(rocket(0.0), samples=256, seed=5).landings["planned"]
    wide = disperse(rocket(60.0), samples=256, seed=5).landings["planned"]
    plain = club_rocket(
        wind=wind_from_layers([10.0], [4.0], [math.radians(270.0)]), guide=Guide(1.5), devices=CANOPY, latitude_rad=None
    )
    assert np.array_equal(usual, disperse(plain, samples=256, seed=5).landings["planned"], equal_nan=True)
    # across the wind: the arc's own spread is the drift times the root of the mean square sine of an even arc,
    # (1 - sin 2a / 2a) / 2 (closed form)
    a = math.radians(60.0)
    mean_square = (1.0 - math.sin(2.0 * a) / (2.0 * a)) / 2.0
    expected = math.sqrt(usual[:, 1].var() + mean_square * (usual[:, :2] ** 2).sum(axis=1).mean())
    assert wide[:, 1].std() == pytest.approx(expected, rel=0.12)
    assert wide[:, 1].std() > 1.5 * usual[:, 1].std()


def test_more_samples_go_on_where_the_fewer_stopped():
    setup = rocket(180.0)
    few = disperse(setup, samples=64, seed=5)
    both = disperse(setup, samples=256, seed=5, earlier=few)
    assert np.array_equal(
        both.landings["planned"], disperse(setup, samples=256, seed=5).landings["planned"], equal_nan=True
    )


def test_a_turned_sample_flies_as_the_plain_equations():
    setup = rocket(180.0, latitude_rad=0.8)
    table, spread = drawn(setup, DIMENSIONS + 1)
    flown = disperse(setup, samples=16, seed=3, gust_sigma_mps=0.8, threads=1)
    for row in (2, 9):
        reference = fly_plain(setup, "RK45", rtol=1e-8, atol=1e-8, draw=(table[row], spread))
        for mode, landing in reference.landings.items():
            assert flown.landings[mode][row, :2] == pytest.approx(landing[:2], abs=0.3)


def test_the_arc_runs_straight_between_two_levels_and_is_held_beyond_them():
    table = wind_from_layers([10.0, 610.0], [2.0, 8.0], [0.0, 0.0], half_arc_rad=[math.pi, 0.0])
    at = [float(np.interp(height, level_heights_m(), table.half_arc_rad)) for height in (0.0, 10.0, 310.0, 2000.0)]
    assert at == pytest.approx([math.pi, math.pi, math.pi / 2.0, 0.0], abs=0.01)
    assert wind_from_layers([10.0], [2.0], [0.0], half_arc_rad=[0.0]).half_arc_rad is None


@pytest.mark.parametrize("arcs", [[4.0], [-0.1], [math.nan], [1.0, 1.0]])
def test_an_arc_that_cannot_be_is_refused(arcs):
    with pytest.raises(OutsideModel):
        wind_from_layers([10.0], [2.0], [0.0], half_arc_rad=arcs)


def test_a_glider_and_a_bare_spread_table_take_it_too():
    glider = replace(rocket(180.0), devices=(Device("main", 0.3, "apogee", 0.0, glide_ratio=3.0),))
    assert disperse(glider, samples=64, seed=5).flown.all()
    assert wind_spread(rocket(90.0), NOTHING, 50.0)[:, 8] == pytest.approx(math.pi / 2.0)
