"""What must stay the same when the world is turned, mirrored, repeated or cut finer; closed reasoning, no figures."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.flight import disperse, simulate
from service.flight.error_sources import DEFAULTS
from service.flight.kernel import MODES
from service.flight.setup import Device, Guide
from service.flight.tables import Wind
from service.flight.wind import wind_from_layers
from tests.flight.vehicles import DUAL, STILL, club_rocket

FEW = settings(max_examples=12, derandomize=True, deadline=None)
FULL_TURN = 2.0 * math.pi


def windy(turned_rad: float, speed_mps: float = 3.0, **changes):
    wind = wind_from_layers([2.0, 600.0], [speed_mps, 2.0 * speed_mps], np.array([4.5, 5.0]) + turned_rad)
    return club_rocket(wind=wind, guide=Guide(1.5, 0.08, 1.0 + turned_rad, 0.05), **changes)


def points(flight):
    """Apogee and landings, east and north. (modes + 1, 2)"""
    top = (flight.figures["apogee_east_m"], flight.figures["apogee_north_m"])
    return np.array([top, *((landing.east_m, landing.north_m) for landing in flight.landings.values())])


@given(turn=st.floats(0.0, FULL_TURN))
@FEW
def test_turning_the_world_turns_the_landing_with_it(turn):
    straight, turned = simulate(windy(0.0, devices=DUAL), False), simulate(windy(turn, devices=DUAL), False)
    cos, sin = math.cos(turn), math.sin(turn)
    clockwise = np.array([[cos, -sin], [sin, cos]])
    # rows times matrix: east' = e cos + n sin, north' = n cos - e sin
    assert points(turned) == pytest.approx(points(straight) @ clockwise, abs=2e-3)
    assert turned.figures["apogee_m"] == pytest.approx(straight.figures["apogee_m"], abs=1e-5)


@given(speed=st.floats(0.0, 8.0), tilt=st.floats(0.0, 0.2), cant=st.floats(-0.01, 0.01))
@FEW
def test_the_mirror_image_flies_the_mirrored_flight(speed, tilt, cant):
    setup = replace(windy(0.0, speed, devices=DUAL), guide=Guide(1.5, tilt, 2.0), fin_cant_rad=cant)
    mirrored = replace(
        setup, guide=Guide(1.5, tilt, -2.0), fin_cant_rad=-cant, wind=Wind(-setup.wind.east_mps, setup.wind.north_mps)
    )  # fmt: skip
    assert points(simulate(mirrored, False)) == pytest.approx(points(simulate(setup, False)) * [-1.0, 1.0], abs=2e-3)


@given(devices=st.sampled_from([(), DUAL, (Device("main", 0.3, "motor_delay", 3.0),)]), friction=st.floats(0.0, 0.2))
@FEW
def test_straight_up_in_still_air_lands_at_the_pad(devices, friction):
    flight = simulate(club_rocket(wind=STILL, guide=Guide(1.5, 0.0, 0.0, friction), devices=devices))
    assert np.abs(points(flight)).max() < 1e-6
    assert flight.figures["exit_incidence_rad"] < 1e-9


@given(area=st.floats(0.02, 2.0), more=st.floats(1.01, 5.0), speed=st.floats(0.0, 8.0))
@FEW
def test_more_canopy_never_falls_faster(area, more, speed):
    falls = []
    for drag_area in (area, area * more):
        setup = windy(0.0, speed, devices=(Device("main", drag_area, "apogee", 0.0),))
        landing = simulate(setup, False).landings["planned"]
        falls.append((landing.first_speed_mps, landing.down_mps, -landing.time_s))
    assert all(larger <= smaller + 1e-6 for smaller, larger in zip(*falls, strict=True))


@given(seed=st.integers(0, 2**31))
@settings(FEW, max_examples=4)
def test_threads_and_repeats_give_the_same_bits(seed):
    setup = club_rocket(devices=DUAL)
    one, two, again = (disperse(setup, samples=256, seed=seed, threads=n) for n in (1, 2, 2))
    for mode in MODES:
        assert one.landings[mode].tobytes() == two.landings[mode].tobytes() == again.landings[mode].tobytes()
    for name in one.figures:
        assert one.figures[name].tobytes() == two.figures[name].tobytes()
    other = disperse(setup, samples=256, seed=seed + 1, threads=2)
    assert not np.array_equal(one.landings["planned"], other.landings["planned"])


def test_no_spread_gives_the_nominal_flight_every_time():
    setup = club_rocket(devices=DUAL)
    nominal = simulate(setup, False)
    found = disperse(setup, samples=16, spreads=dict.fromkeys(DEFAULTS, 0.0), threads=1)
    for mode, landing in nominal.landings.items():
        assert found.landings[mode][:, 0] == pytest.approx(landing.east_m, abs=1e-6)
        assert found.landings[mode][:, 1] == pytest.approx(landing.north_m, abs=1e-6)


def test_keeping_a_history_changes_nothing():
    setup = club_rocket(devices=DUAL)
    with_history, without = simulate(setup), simulate(setup, history=False)
    assert repr(with_history.landings) == repr(without.landings)  # NaN is not equal to itself
    assert with_history.history.shape[0] > 100 and without.history.shape[0] == 0
    times = with_history.history[:, 0]
    assert np.all(np.diff(times) >= 0.0)
    assert with_history.history[:, 3].max() == pytest.approx(without.figures["apogee_m"], abs=0.5)
