"""Flights against closed forms, other integrations, and the check-cases of NASA/TM-2015-218675.

"Computed: DOP853" means integrated outside this project with scipy's eighth-order method at the tolerance given.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from service.flight import simulate
from service.flight.atmosphere import standard_air
from service.flight.gravity import normal_gravity_mps2
from service.flight.setup import Device, Guide, pack
from service.flight.tables import Air, Thrust, level_heights_m
from service.flight.wind import constant_wind, power_law_wind, wind_from_function
from tests.flight.vehicles import (
    SEA_LEVEL,
    VACUUM,
    bare_setup,
    even_mass,
    fly_on,
    hang_on,
    plain_body,
    state_of,
    steady_thrust,
)

G = 9.80665
FOOT, SLUG = 0.3048, 14.593903
CURVE = Thrust(np.array([0, 0.05, 0.2, 0.5, 1.2, 1.6, 1.75]), np.array([0.0, 30.0, 45.0, 35.0, 28.0, 24.0, 0.0]))


def drag_area_m2(mass_kg: float, speed_mps: float, density_kgm3: float = 1.225) -> float:
    """The drag area that lets a mass fall at a speed."""
    return 2.0 * mass_kg * G / (density_kgm3 * speed_mps**2)


def test_constant_thrust_and_mass_against_quadratic_drag():
    # closed form: v = a tanh(bt), h = m/k ln cosh(bt); coast m/2k ln(1 + k v²/mg); fall vt sqrt(1 - exp(-2gh/vt²))
    setup = bare_setup(plain_body(0.6), even_mass(1.0, 1.0), steady_thrust(50.0, 2.0))
    flight = simulate(setup)
    figures, landing = flight.figures, flight.landings["no_deployment"]
    assert figures["burnout_speed_mps"] == pytest.approx(77.41589, rel=2e-6)
    assert figures["burnout_height_m"] == pytest.approx(78.87885, rel=2e-6)
    assert figures["apogee_m"] == pytest.approx(332.02242, rel=2e-6)
    assert figures["apogee_s"] == pytest.approx(8.96857, abs=5e-5)
    assert landing.down_mps == pytest.approx(71.92963, rel=2e-6)
    assert landing.time_s - figures["apogee_s"] == pytest.approx(8.56101, abs=5e-5)


def test_burning_away_mass_without_drag():
    # closed form (Tsiolkovsky with gravity): v = c ln(m0/m1) - g t, h = c t (1 - ln(r)/(r - 1)) - g t²/2
    setup = bare_setup(plain_body(0.0), even_mass(2.0, 1.7), steady_thrust(100.0, 2.0), air=VACUUM)
    figures = simulate(setup).figures
    assert figures["burnout_speed_mps"] == pytest.approx(88.73265, rel=1e-6)
    assert figures["burnout_height_m"] == pytest.approx(85.79923, rel=1e-6)


def test_throw_in_a_vacuum():
    # closed form: range v² sin(2E)/g, time 2 v sin(E)/g
    craft = pack(bare_setup(plain_body(0.0), even_mass(1.0, 1.0), air=VACUUM))
    velocity = (0.0, 50.0, 50.0 * math.sqrt(3.0))
    state, seconds = fly_on(craft, state_of((0.0, 0.0, 1e-9), velocity), 60.0)
    assert state[1] == pytest.approx(100.0**2 * math.sin(math.radians(120.0)) / G, rel=1e-7)
    assert seconds == pytest.approx(200.0 * math.sin(math.radians(60.0)) / G, rel=1e-7)


@pytest.mark.parametrize(
    "wind_mps, east_m, north_m, time_s", [(0.0, 0.0, 305.0029, 12.38049), (8.0, 50.2992, 304.0002, 12.3674)]
)
def test_throw_against_quadratic_drag(wind_mps, east_m, north_m, time_s):
    # 100 m/s northward at 60°, steady fall 60 m/s, wind from the west. computed: DOP853, 1e-12
    setup = bare_setup(plain_body(0.6), even_mass(1.0, 1.0), wind=constant_wind(wind_mps, 1.5 * math.pi))
    start = (0.0, 0.0, 1e-9, 0.0, 50.0, 50.0 * math.sqrt(3.0))
    landing = hang_on(pack(setup), 1.0, start, body_area_m2=drag_area_m2(1.0, 60.0))
    assert landing["east_m"] == pytest.approx(east_m, abs=0.03)
    assert landing["north_m"] == pytest.approx(north_m, abs=0.05)
    assert landing["time_s"] == pytest.approx(time_s, abs=0.003)


def test_textbook_baseball():
    # J. R. Taylor, Classical Mechanics, chapter 2: 0.15 kg, 7 cm, drag 0.25 D² v², 30 m/s at 50°, read off a plot there
    # as a little under 60 m (from memory, not re-read). computed: DOP853, 1e-12: 58.119 m
    setup = bare_setup(plain_body(0.6), even_mass(0.15, 0.15), gravity_mps2=9.8)
    angle = math.radians(50.0)
    start = (0.0, 0.0, 1e-9, 30.0 * math.cos(angle), 0.0, 30.0 * math.sin(angle))
    landing = hang_on(pack(setup), 0.15, start, body_area_m2=2.0 * 0.25 * 0.07**2 / 1.225)
    assert landing["east_m"] == pytest.approx(58.119, abs=0.01)


def test_steady_fall_under_a_canopy():
    # closed form sqrt(2 m g / (rho Cd S)): 1.5 kg under 0.914 m with Cd 0.75: 6.98604 m/s
    craft = pack(bare_setup(plain_body(0.6), even_mass(1.5, 1.5)))
    area = 0.75 * math.pi * 0.914**2 / 4.0
    landing = hang_on(craft, 1.5, (0.0, 0.0, 300.0, 0.0, 0.0, 0.0), [(area, "apogee", 0.0)])
    assert landing["down_mps"] == pytest.approx(6.98604, rel=1e-5)
    assert landing["first_speed_mps"] == pytest.approx(6.98604, rel=1e-5)
    # from rest: t = vt/g acosh(exp(g h / vt²))
    assert landing["time_s"] == pytest.approx(6.98604 / G * math.acosh(math.exp(G * 300.0 / 6.98604**2)), rel=1e-4)


def _thinning(scale_m: float | None) -> Air:
    density = 1.225 * np.exp(-level_heights_m() / scale_m) if scale_m else np.full_like(level_heights_m(), 1.225)
    return replace(SEA_LEVEL, density_kgm3=density)


@pytest.mark.parametrize(
    "law, scale_m, drift_m",
    [
        ("power", None, 1407.8004),  # closed form w_r z_r^-p h^(p+1) / (v (p+1))
        ("power", 10_000.0, 1370.891),  # closed form with the lower incomplete gamma function
        ("linear", None, 833.3333),  # closed form (w0 h + s h²/2) / v
        ("linear", 10_000.0, 810.1336),  # closed form, exponentials
    ],
)
def test_drift_through_a_sheared_wind(law, scale_m, drift_m):
    # 1000 m at 6 m/s (at the ground); 5 m/s at 10 m to the power 1/7, or 3 m/s + 0.004 z
    wind = {
        "power": power_law_wind(5.0, 10.0, 1.0 / 7.0, 1.5 * math.pi, top_m=2000.0),
        "linear": wind_from_function(lambda z: (3.0 + 0.004 * min(z, 2000.0), 0.0)),
    }[law]
    craft = pack(bare_setup(plain_body(0.6), even_mass(1.0, 1.0), wind=wind, air=_thinning(scale_m)))
    start_mps = 5.0 * 100.0 ** (1.0 / 7.0) if law == "power" else 7.0
    fall_mps = 6.0 * math.exp(0.5 * 1000.0 / scale_m) if scale_m else 6.0
    start = (0.0, 0.0, 1000.0, start_mps, 0.0, -fall_mps)
    landing = hang_on(craft, 1.0, start, body_area_m2=drag_area_m2(1.0, 6.0))
    lag_m = 6.0 / G * (start_mps - landing["across_mps"])  # the integral takes the body to have no inertia
    assert landing["east_m"] == pytest.approx(drift_m + lag_m, rel=5e-4)
    assert landing["east_m"] == pytest.approx(drift_m, rel=0.004)
    if law == "power" and scale_m:
        assert landing["time_s"] == pytest.approx(162.5686, abs=0.05)


def test_drift_under_a_drogue_then_a_main():
    # quadrature with the standard atmosphere: 1265.607 m + 352.879 m in 174.226 s; inertia added in closed form
    wind = power_law_wind(5.0, 10.0, 1.0 / 7.0, 1.5 * math.pi, top_m=4000.0)
    air = standard_air()
    craft = pack(bare_setup(plain_body(0.6), even_mass(1.0, 1.0), wind=wind, air=air))
    drogue, both = drag_area_m2(1.0, 20.0), drag_area_m2(1.0, 6.0)
    thin = math.sqrt(1.225 / np.interp(3000.0, level_heights_m(), air.density_kgm3))
    start = (0.0, 0.0, 3000.0, 5.0 * 300.0 ** (1.0 / 7.0), 0.0, -20.0 * thin)
    landing = hang_on(craft, 1.0, start, [(drogue, "apogee", 0.0), (both - drogue, "altitude", 300.0)])
    drop = 5.0 * (300.0 ** (1.0 / 7.0) - 30.0 ** (1.0 / 7.0))  # wind lost under the drogue
    lag_m = 21.6 / G * drop + 6.0 / G * (5.0 * 30.0 ** (1.0 / 7.0) - landing["across_mps"])
    overshoot_m = (
        6.0**2 / G * math.log(20.3 / 6.0)
    )  # fallen before the main has slowed it, so much less time in the wind
    shorter_s = overshoot_m / 6.0
    assert landing["time_s"] == pytest.approx(174.226 - shorter_s, abs=0.3)
    assert landing["east_m"] == pytest.approx(1265.607 + 352.879 + lag_m - 7.9 * shorter_s, rel=0.002)
    assert landing["opened"] == 2
    assert landing["second_open_mps"] == pytest.approx(20.0 * math.sqrt(1.225 / 1.190), rel=0.005)


def test_shot_over_the_turning_earth_lands_west():
    # closed form, first order: 4/3 omega cos(lat) v³/g² = 6.2042 m for 200 m/s at 40°
    craft = pack(
        bare_setup(plain_body(0.0), even_mass(1.0, 1.0), air=VACUUM, gravity_mps2=9.8, latitude_rad=math.radians(40.0))
    )
    state, _ = fly_on(craft, state_of((0.0, 0.0, 1e-9), (0.0, 0.0, 200.0)), 100.0)
    assert state[0] == pytest.approx(-6.2042, abs=0.02)
    assert abs(state[1]) < 0.02


def test_classical_runge_kutta_step_by_step():
    # v' = g (1 - (v/50)²) from rest for 5 s in steps of 0.5 s: 37.66761592 by the method, 37.667681687 exactly;
    # halving the step divides the error by 16.571 (classical fourth order, by hand)
    found = {}
    for scale in (10.0, 5.0):  # of the 50 ms coasting step
        area = drag_area_m2(1.0, 50.0)
        body = plain_body(1.0, diameter_m=math.sqrt(4.0 * area / math.pi))
        craft = pack(bare_setup(body, even_mass(1.0, 1.0), step_scale=scale))
        state, _ = fly_on(craft, state_of((0.0, 0.0, 5000.0), nose=(0.0, 0.0, -1.0)), 5.0)
        found[scale] = -state[5]
    assert found[10.0] == pytest.approx(37.66761592, abs=2e-8)
    assert (found[10.0] - 37.667681687) / (found[5.0] - 37.667681687) == pytest.approx(16.571, abs=0.05)


def reference_body(stiff: bool = False):
    """41 mm, Cd 0.55; stiff: kept along the airflow, damped, with next to no inertia, to stand for a point mass."""
    mass = even_mass(0.53, 0.5, inertia_kgm2=1e-7 if stiff else 0.1, roll_kgm2=1e-8)
    aero = plain_body(0.55, 0.041, *((10.0, 1.0, 0.047) if stiff else ()))
    return bare_setup(aero, mass, CURVE, air=standard_air())


def test_upright_flight_with_a_real_curve():
    # point mass in still standard air. computed: DOP853, 1e-11
    flight = simulate(replace(reference_body(), guide=Guide(0.05)))
    figures, landing = flight.figures, flight.landings["no_deployment"]
    assert figures["apogee_m"] == pytest.approx(344.041, abs=0.01)
    assert figures["apogee_s"] == pytest.approx(8.7888, abs=2e-4)
    assert figures["greatest_speed_mps"] == pytest.approx(81.1696, abs=0.01)
    assert figures["burnout_speed_mps"] == pytest.approx(80.7891, abs=0.001)
    assert figures["burnout_height_m"] == pytest.approx(81.796, abs=0.002)
    assert landing.time_s == pytest.approx(17.59, abs=0.01)
    assert landing.down_mps == pytest.approx(71.142, abs=0.002)


def test_flight_into_the_wind_and_back():
    # point mass that always heads into the airflow, rod 1.5 m leaning 5° west into 5 m/s at 10 m (power 1/7), canopy of
    # 0.28 m² at apogee. computed: DOP853
    wind = power_law_wind(5.0, 10.0, 1.0 / 7.0, 1.5 * math.pi, top_m=2000.0)
    setup = replace(
        reference_body(stiff=True), guide=Guide(1.5, math.radians(5.0), 1.5 * math.pi), wind=wind,
        devices=(Device("canopy", 0.28, "apogee", 0.0),),
    )  # fmt: skip
    flight = simulate(setup, history=False)
    figures, canopy, ballistic = flight.figures, flight.landings["planned"], flight.landings["no_deployment"]
    assert figures["exit_speed_mps"] == pytest.approx(14.3991, abs=0.02)
    assert figures["apogee_m"] == pytest.approx(280.82, abs=0.6)
    assert figures["apogee_s"] == pytest.approx(7.931, abs=0.02)
    assert figures["apogee_east_m"] == pytest.approx(-220.73, abs=0.6)
    assert figures["apogee_speed_mps"] == pytest.approx(26.177, abs=0.05)
    assert canopy.east_m == pytest.approx(144.95, abs=1.5)
    assert canopy.time_s == pytest.approx(60.67, abs=0.3)
    assert canopy.down_mps == pytest.approx(5.3158, abs=0.02)
    assert ballistic.east_m == pytest.approx(-394.22, abs=1.0)
    assert ballistic.time_s == pytest.approx(15.919, abs=0.05)


def _sphere(
    gravity_mps2: float, gradient_per_m: float, wind=None, latitude_rad: float | None = None, drag: float = 0.1,
    up_m: float = 30_000.0 * FOOT, velocity_mps=(0.0, 0.0, 0.0), nose=(0.0, 0.0, -1.0),
):  # fmt: skip
    """NASA/TM-2015-218675: 1 slug, 0.1963495 ft², CD 0.1, 30 s in the standard atmosphere. [ft, ft/s]

    Drag acts along the body here, so the sphere is given a tail light enough to point it into the air at once.
    """
    diameter = math.sqrt(4.0 * 0.1963495 * FOOT**2 / math.pi)
    setup = bare_setup(
        plain_body(drag, diameter, slope=drag, behind_m=0.5, damping_m2=2.0), even_mass(SLUG, SLUG, 0.01, 0.01),
        air=standard_air() if drag else VACUUM, gravity_mps2=gravity_mps2, latitude_rad=latitude_rad,
        **({"wind": wind} if wind else {}),
    )  # fmt: skip
    craft = pack(setup)._replace(gravity_gradient_per_m=gradient_per_m)
    state, _ = fly_on(craft, state_of((0.0, 0.0, up_m), velocity_mps, nose=nose), 30.0)
    return state / FOOT


def test_nasa_sphere_over_a_round_still_earth():
    # NASA/TM-2015-218675 volume II, check-case 4 (simulation 5), read through a public extract of its data
    radius_ft, mu_ft3ps2 = 20_902_254.5305, 1.407644175720511e16
    state = _sphere(mu_ft3ps2 / radius_ft**2 * FOOT, 2.0 / (radius_ft * FOOT))
    assert state[2] == pytest.approx(16_231.30691, abs=0.3)
    assert -state[5] == pytest.approx(867.1047769, abs=0.05)


def _equator(over_m: float) -> tuple[float, float]:
    """Gravity felt at the equator, and how fast it falls with height. [m/s², 1/m]"""
    gravity, above = normal_gravity_mps2(0.0), normal_gravity_mps2(0.0, over_m)
    return gravity, (1.0 - above / gravity) / over_m


@pytest.mark.parametrize(
    "drag, wind, up_ft, east_fps, down_fps",
    [
        (0.0, None, 15_598.90435, 2.101011, 960.2930645),  # check-case 1: nothing but gravity and the turning earth
        (0.1, None, 16_284.44475, 1.842930477, 864.0107594),  # 6
        (0.1, lambda z: (20.0 * FOOT, 0.0), 16_285.16222, 4.708379684, 863.9668306),  # 7: steady wind from the west
        (0.1, lambda z: (0.003 * z - 20.0 * FOOT, 0.0), 16_290.99886, 8.731009259, 863.6941069),  # 8: grows with height
    ],
)
def test_nasa_sphere_over_the_turning_earth(drag, wind, up_ft, east_fps, down_fps):
    # NASA/TM-2015-218675 volume II, read through a public extract of its data; it turns over an ellipsoid, at the
    # equator, this stays flat with the gravity felt there: a foot in 13 716 and 0.02 ft/s are left for that
    state = _sphere(*_equator(9144.0), wind and wind_from_function(wind), latitude_rad=0.0, drag=drag)
    assert state[2] == pytest.approx(up_ft, abs=1.0)
    assert state[3] == pytest.approx(east_fps, abs=0.02)
    assert -state[5] == pytest.approx(down_fps, abs=0.02)


def test_nasa_sphere_launched_eastward():
    # check-case 9 of the same: 1000 ft/s up and east from the sea. The ground falls away under 22 500 ft of range by
    # 12 ft, and gravity there leans back by what a flat earth lacks: 0.5 ft/s of 611 in 30 s
    speed = 1000.0 * FOOT
    state = _sphere(
        *_equator(3000.0), latitude_rad=0.0, up_m=0.01, velocity_mps=(speed, 0.0, speed), nose=(1.0, 0.0, 1.0)
    )
    radius_ft = 6_378_137.0 / FOOT
    round_the_earth_rad = math.atan2(state[0], radius_ft + state[2])
    assert math.hypot(radius_ft + state[2], state[0]) - radius_ft == pytest.approx(10_160.97931, abs=0.5)
    assert math.degrees(round_the_earth_rad) == pytest.approx(0.06164781332, abs=2e-5)
    assert state[3] == pytest.approx(610.7459749, abs=0.5)
