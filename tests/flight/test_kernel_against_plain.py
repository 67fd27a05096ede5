"""The compiled kernel against the same equations written again in plain numpy, integrated by scipy's DOP853 at 1e-9."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from service.flight import disperse, kernel, simulate
from service.flight.plain import fly_plain
from service.flight.plain_equations import body_rates
from service.flight.setup import Device, Guide, pack
from service.flight.tables import Thrust
from service.flight.trial_flights import trial_setup
from service.flight.wind import wind_from_layers
from tests.flight.vehicles import DUAL, club_rocket, drawn, pointing

SHORT = Thrust(np.array([0.0, 0.05, 0.3, 0.5]), np.array([20.0, 70.0, 50.0, 0.0]))  # 25 N s: about 50 m up
UNSTABLE = replace(club_rocket().aerodynamics, cn_alpha_x_m=club_rocket().aerodynamics.cn_alpha_x_m * 0.5)

FLIGHTS = {
    "early ejection, ballistic": club_rocket(thrust=SHORT, devices=(Device("main", 0.3, "motor_delay", 0.7),)),
    "dual deployment, turning earth, canted fins": club_rocket(
        devices=DUAL, latitude_rad=0.7, gravity_falls=True, fin_cant_rad=0.004
    ),
    "thrust off the axis": club_rocket(thrust=SHORT, devices=(), thrust_offset_m=0.004, fin_cant_rad=0.02),
    "unstable": club_rocket(thrust=SHORT, devices=(Device("main", 0.3, "apogee", 0.5),), aerodynamics=UNSTABLE),
}


@pytest.mark.parametrize("name", FLIGHTS)
def test_kernel_flies_as_the_plain_equations(name):
    setup = FLIGHTS[name]
    found, reference = simulate(setup, history=False), fly_plain(setup, "DOP853", rtol=1e-9, atol=1e-9)
    figures = found.figures
    assert figures["exit_speed_mps"] == pytest.approx(reference.exit_speed_mps, abs=1e-5)
    apogee = [figures[k] for k in ("apogee_east_m", "apogee_north_m", "apogee_m")]
    assert apogee == pytest.approx(list(reference.apogee[:3]), abs=0.005 + 1e-4 * reference.apogee[2])
    assert set(found.landings) == set(reference.landings)
    for mode, landing in reference.landings.items():
        ours = found.landings[mode]
        off_m = math.hypot(ours.east_m - landing[0], ours.north_m - landing[1])
        assert off_m < 0.3 + 0.001 * math.hypot(landing[0], landing[1]), mode
        assert ours.time_s == pytest.approx(landing[2], abs=0.05), mode
        assert ours.down_mps == pytest.approx(landing[3], abs=0.05), mode
        assert ours.across_mps == pytest.approx(landing[4], abs=0.15), mode


@pytest.mark.parametrize("seed", [3, 12, 21, 26])
def test_kernel_flies_invented_rockets_as_the_plain_equations(seed):
    setup = trial_setup(seed)
    found, reference = simulate(setup, history=False), fly_plain(setup, "DOP853", rtol=1e-9, atol=1e-9)
    assert found.figures["apogee_m"] == pytest.approx(reference.apogee[2], rel=1e-4)
    assert found.figures["apogee_s"] == pytest.approx(reference.apogee_s, rel=1e-4)
    for mode, landing in reference.landings.items():
        ours, far_m = found.landings[mode], math.hypot(landing[0], landing[1])
        assert math.hypot(ours.east_m - landing[0], ours.north_m - landing[1]) < 0.3 + 0.001 * far_m, mode


def test_an_unstable_rocket_is_seen_as_one():
    figures = simulate(FLIGHTS["unstable"], history=False).figures
    assert figures["least_margin_cal"] < 0.0
    assert figures["greatest_incidence_rad"] > 1.2 * figures["exit_incidence_rad"]
    straight = simulate(replace(FLIGHTS["unstable"], aerodynamics=club_rocket().aerodynamics), history=False).figures
    assert straight["greatest_incidence_rad"] == pytest.approx(straight["exit_incidence_rad"], rel=1e-6)
    assert figures["apogee_m"] < straight["apogee_m"]


def test_rates_agree_in_any_attitude():
    rng = np.random.default_rng(5)
    craft = pack(club_rocket(thrust_offset_m=0.004, fin_cant_rad=0.02, latitude_rad=-0.6, gravity_falls=True))
    craft = craft._replace(thrust_pitch=0.003, thrust_yaw=-0.002, drag_scale=1.1, mass_scale=1.02, cp_shift_m=0.01)
    for time_s, segment in [(0.9, 3), (0.02, 0), (1.7, 5), (40.0, 6)]:
        for _ in range(20):
            nose, roll = rng.normal(size=3), rng.uniform(0.0, 6.3)
            spin, q, r = rng.normal(size=3)
            place = (*rng.uniform(0.0, 900.0, 3), *rng.normal(0.0, 60.0, 3))
            ours, _note = kernel.state_rates(craft, segment, time_s, (*place, *pointing(*nose), spin, q, r, roll))
            # the same state in axes that roll with the body
            c, s = math.cos(roll / 2.0), math.sin(roll / 2.0)
            w, x, y, z = pointing(*nose)
            rolled = (w * c - x * s, x * c + w * s, y * c + z * s, z * c - y * s)
            cos, sin = math.cos(roll), math.sin(roll)
            body = np.array([*place, *rolled, spin, q * cos + r * sin, r * cos - q * sin])
            plain = body_rates(craft, time_s < craft.knot_s[-1], time_s, body)
            assert ours[3:6] == pytest.approx(list(plain[3:6]), rel=1e-9, abs=1e-9)
            # d/dt of the body's q, r carries the roll rate as well
            back_q = plain[11] * cos - plain[12] * sin - spin * r
            back_r = plain[11] * sin + plain[12] * cos + spin * q
            assert [ours[10], ours[11], ours[12]] == pytest.approx([plain[10], back_q, back_r], rel=1e-8, abs=1e-7)


def test_a_dispersed_sample_flies_as_the_plain_equations():
    setup = club_rocket(thrust=SHORT, devices=(Device("main", 0.3, "apogee", 0.0),))
    table, spread = drawn(setup)
    flown = disperse(setup, samples=16, seed=3, gust_sigma_mps=0.8, threads=1)
    for row in (0, 11):
        reference = fly_plain(setup, "RK45", rtol=1e-8, atol=1e-8, draw=(table[row], spread))
        assert flown.figures["apogee_m"][row] == pytest.approx(reference.apogee[2], abs=0.01)
        for mode, landing in reference.landings.items():
            assert flown.landings[mode][row, :2] == pytest.approx(landing[:2], abs=0.3)


def test_finer_steps_change_nothing_beyond_the_bound():
    for setup in (club_rocket(), club_rocket(devices=DUAL, fin_cant_rad=0.01)):
        coarse, fine = simulate(setup, history=False), simulate(replace(setup, step_scale=0.2), history=False)
        for name in ("apogee_m", "apogee_east_m", "apogee_north_m"):
            assert coarse.figures[name] == pytest.approx(fine.figures[name], abs=0.005)
        for mode in coarse.landings:
            assert coarse.landings[mode].east_m == pytest.approx(fine.landings[mode].east_m, abs=0.1)
            assert coarse.landings[mode].north_m == pytest.approx(fine.landings[mode].north_m, abs=0.1)


def test_the_canopy_lands_with_the_wind_of_a_few_metres_up():
    # the plain integration again, under a fast drogue and a slow canopy in a strong wind near the ground
    gusty = wind_from_layers([2.0, 600.0], [7.0, 14.0], [1.0, 1.4])
    for area in (0.02, 0.5):
        setup = club_rocket(thrust=SHORT, wind=gusty, guide=Guide(1.5), devices=(Device("main", area, "apogee", 0.0),))
        reference = fly_plain(setup, "RK45", rtol=1e-8, atol=1e-8).landings["planned"]
        ours = simulate(setup, history=False).landings["planned"]
        assert [ours.east_m, ours.north_m] == pytest.approx(list(reference[:2]), abs=0.2)
        assert ours.across_mps == pytest.approx(reference[4], abs=0.1)
        assert ours.across_mps > 1.0
