"""Turning motions against the linearised formulas and against torque-free closed forms.

The linear system: theta'' = -(C1 alpha + C2 theta')/I, gamma' = La alpha, with C1 = q A CN (Xcp - Xcg),
C2 = rho V A sum(CN dx²)/2, La = q A CN/(m V). Coefficients after S. Mandell and others, Topics in Advanced Model
Rocketry, MIT Press 1973 (from memory, not re-read); the figures are worked by hand from the closed forms.
"""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest

from service.flight import kernel, simulate
from service.flight.atmosphere import constant_air
from service.flight.dynamics import MARGIN, STIFFNESS
from service.flight.setup import Guide, pack
from service.flight.tables import MASS_COUNT, MassTable
from service.flight.wind import constant_wind
from tests.flight.vehicles import VACUUM, axis_of, bare_setup, even_mass, fly_on, plain_body, state_of, steady_thrust

# 1.2 kg, I 0.12 kg m², d 66 mm, CN 10 at 0.132 m behind the centre of gravity, 100 m/s, 1.225 kg/m³, damping sum 2.2 m²
C1, C2, INERTIA, ROLL_INERTIA = 27.6604, 0.461006, 0.12, 0.0012
HEAVY_KG = 1e12  # as good as pinned at its centre of gravity


def level_flight(mass_kg: float = 1.2, damping_m2: float = 2.2, step_scale: float = 0.2):
    body = plain_body(0.0, 0.066, slope=10.0, behind_m=0.132, damping_m2=damping_m2)
    mass = even_mass(mass_kg, mass_kg, INERTIA, ROLL_INERTIA)
    return pack(bare_setup(body, mass, gravity_mps2=0.0, step_scale=step_scale))


def pitched_state(incidence_deg: float, spin_radps: float = 0.0):
    angle = math.radians(incidence_deg)
    return state_of(
        (0.0, 0.0, 1000.0), (100.0, 0.0, 0.0), (math.cos(angle), 0.0, math.sin(angle)), (spin_radps, 0.0, 0.0)
    )


def incidence_after(craft, state, seconds: float) -> float:
    later, _ = fly_on(craft, state, seconds)
    nose = axis_of(later)
    return math.atan2(nose[2], nose[0]) - math.atan2(later[5], later[3])


def frequency_and_damping(craft) -> tuple[float, float]:
    """From the zero crossings and the shrinking of the swings of the released body."""
    times = np.linspace(0.0, 1.0, 2001)
    swing = np.array([incidence_after(craft, pitched_state(0.5), t) if t else math.radians(0.5) for t in times])
    i = np.flatnonzero(np.sign(swing[1:]) != np.sign(swing[:-1]))
    crossings = times[i] - swing[i] * (times[i + 1] - times[i]) / (swing[i + 1] - swing[i])
    period = 2.0 * (crossings[2] - crossings[1])
    turns = [t for t in range(1, len(swing) - 1) if (swing[t] - swing[t - 1]) * (swing[t + 1] - swing[t]) < 0.0]
    decrement = math.log(abs(swing[turns[0]] / swing[turns[1]]))
    damped = 2.0 * math.pi / period
    decay = decrement / (0.5 * period)
    natural = math.hypot(damped, decay)
    return natural, decay / natural


def test_moment_coefficients_at_one_degree():
    _rates, note = kernel.state_rates(level_flight(), 1, 1000.0, pitched_state(1.0))
    assert note[STIFFNESS] * INERTIA == pytest.approx(C1, rel=1e-5)
    assert note[MARGIN] == pytest.approx(2.0, rel=1e-9)
    rates, _note = kernel.state_rates(
        level_flight(), 1, 1000.0, state_of((0, 0, 1000.0), (100.0, 0, 0), None, (0, 1.0, 0))
    )
    assert -rates[11] * INERTIA == pytest.approx(C2, rel=1e-5)


# fine steps hold the equations to the formula, the production's own step the kernel
@pytest.mark.parametrize("step_scale, within", [(0.2, 2e-4), (1.0, 2e-3)])
def test_pinned_oscillation(step_scale, within):
    natural, damping = frequency_and_damping(level_flight(HEAVY_KG, step_scale=step_scale))
    assert natural == pytest.approx(15.18232, rel=within)  # sqrt(C1/I)
    assert damping == pytest.approx(0.126519, rel=10.0 * within)  # C2 / (2 sqrt(C1 I))


@pytest.mark.parametrize("step_scale, within", [(0.2, 2e-4), (1.0, 2e-3)])
def test_free_oscillation(step_scale, within):
    natural, damping = frequency_and_damping(level_flight(step_scale=step_scale))
    assert natural == pytest.approx(15.40167, rel=within)  # sqrt(C1/I + C2 La/I)
    assert damping == pytest.approx(0.181407, rel=10.0 * within)  # (C2/I + La) / (2 w)


def test_incidence_a_fifth_of_a_second_after_release():
    # matrix exponential of the linear system, released at one degree: -0.56386°
    after = math.degrees(incidence_after(level_flight(), pitched_state(1.0), 0.2))
    assert after == pytest.approx(-0.56386, abs=0.001)


def test_spin_splits_the_frequency():
    # closed form, undamped: p Ix/2I ± sqrt((p Ix/2I)² + C1/I) = 15.28265 and -15.08265 rad/s at 20 rad/s of spin
    fast, slow = 15.28265, -15.08265
    craft, start = level_flight(HEAVY_KG, damping_m2=0.0), pitched_state(0.1, 20.0)
    for seconds in (0.37, 1.0, 2.9):
        nose = axis_of(fly_on(craft, start, seconds)[0])
        expected = math.radians(0.1) * (
            -slow * cmath.exp(1j * fast * seconds) + fast * cmath.exp(1j * slow * seconds)
        ) / (fast - slow)  # fmt: skip
        # spin about east turns north towards up; the fast mode turns with it
        assert nose[2] == pytest.approx(expected.real, abs=2e-6)
        assert abs(nose[1]) == pytest.approx(abs(expected.imag), abs=2e-6)


def test_torque_free_symmetric_body():
    # Euler's equations: q = q0 cos(st), r = -q0 sin(st) in body axes, s = p (It - Ix)/It; p 30, q0 0.5, 0.05 s
    craft = pack(bare_setup(plain_body(0.0), even_mass(1.0, 1.0, INERTIA, ROLL_INERTIA), air=VACUUM))
    state, _ = fly_on(craft, state_of((0, 0, 1000.0), nose=(1.0, 0.0, 0.0), rates=(30.0, 0.5, 0.0)), 0.05)
    p, q, r, rolled = state[10:14]
    assert rolled == pytest.approx(1.5, rel=1e-9)
    assert p == pytest.approx(30.0, rel=1e-12)
    assert q * math.cos(rolled) + r * math.sin(rolled) == pytest.approx(0.0428456, abs=1e-6)
    assert r * math.cos(rolled) - q * math.sin(rolled) == pytest.approx(-0.4981609, abs=1e-6)


def test_torque_free_body_keeps_angular_momentum():
    # closed form: nothing turns it, so its angular momentum stays put in space
    craft = pack(bare_setup(plain_body(0.0), even_mass(1.0, 1.0, 0.12, 0.03), air=VACUUM))

    def momentum(state):
        w, vector = state[6], np.array(state[7:10])
        spin = np.array([0.03 * state[10], 0.12 * state[11], 0.12 * state[12]])
        return spin + 2.0 * np.cross(vector, np.cross(vector, spin) + w * spin)

    start = state_of((0, 0, 5000.0), nose=(0.3, -0.4, 0.8), rates=(8.0, 1.5, -2.0))
    assert momentum(fly_on(craft, start, 5.0)[0]) == pytest.approx(momentum(start), abs=1e-5)


def test_quaternion_after_a_steady_turn():
    # closed form: one radian about z from rest attitude: (cos 0.5, 0, 0, sin 0.5)
    craft = pack(bare_setup(plain_body(0.0), even_mass(1.0, 1.0), air=VACUUM))
    state, _ = fly_on(craft, state_of((0, 0, 1000.0), nose=(1.0, 0.0, 0.0), rates=(0.0, 0.0, 1.0)), 1.0)
    assert state[6:10] == pytest.approx([0.877582562, 0.0, 0.0, 0.479425539], abs=1e-8)


def test_quaternion_stands_the_nose_up():
    # closed form: cos 45°, 0, -sin 45°, 0 carries the x axis straight up
    half = math.sqrt(0.5)
    assert axis_of((0,) * 6 + (half, 0.0, -half, 0.0)) == pytest.approx([0.0, 0.0, 1.0], abs=1e-12)
    assert state_of(nose=(0.0, 0.0, 1.0))[6:10] == pytest.approx([half, 0.0, -half, 0.0], abs=1e-12)


def test_launch_axis():
    # definition: (cos E sin A, cos E cos A, sin E) for azimuth 225°, elevation 80°
    guide = Guide(1.0, math.radians(10.0), math.radians(225.0))
    axis = bare_setup(plain_body(0.0), even_mass(1.0, 1.0), guide=guide).axis()
    assert axis == pytest.approx([-0.122787804, -0.122787804, 0.984807753], abs=1e-9)


def test_speed_off_a_guide_with_friction():
    # closed form v = sqrt(2 s a), a = F/m - g (sin E + mu cos E): 60 N, 1.2 kg, 1 m, 85°, mu 0.1
    setup = bare_setup(
        plain_body(0.0), even_mass(1.2, 1.2), steady_thrust(60.0, 2.0), air=VACUUM,
        guide=Guide(1.0, math.radians(5.0), 0.7, 0.1),
    )  # fmt: skip
    assert simulate(setup).figures["exit_speed_mps"] == pytest.approx(8.96049, abs=1e-5)


def test_the_stop_holds_until_thrust_lifts_the_weight():
    # thrust rising 100 N/s lifts 1 kg when it passes m g, at 0.0980665 s (closed form)
    setup = bare_setup(plain_body(0.0), even_mass(1.0, 1.0), air=VACUUM, guide=Guide(1.0))
    ramp = type(setup.thrust)(np.array([0.0, 1.0, 2.0]), np.array([0.0, 100.0, 100.0]))
    figures = simulate(bare_setup(setup.aerodynamics, setup.mass, ramp, air=VACUUM, guide=Guide(1.0))).figures
    assert figures["liftoff_s"] == pytest.approx(0.0980665, abs=1e-9)
    # then s = 100 (t - t0)³ / 6 = 1 m
    assert figures["guide_end_s"] == pytest.approx(0.0980665 + 0.06 ** (1.0 / 3.0), abs=1e-7)


def test_incidence_off_an_upright_guide_in_wind():
    # closed form atan(wind / exit speed); 18.43495° for 5 m/s across 15 m/s
    length_m = 15.0**2 / (2.0 * (60.0 - 9.80665))
    setup = bare_setup(
        plain_body(0.0), even_mass(1.0, 1.0), steady_thrust(60.0, 2.0), air=constant_air(1e-9, 340.0),
        guide=Guide(length_m), wind=constant_wind(5.0, 1.0),
    )  # fmt: skip
    figures = simulate(setup).figures
    assert figures["exit_speed_mps"] == pytest.approx(15.0, rel=1e-6)
    assert math.degrees(figures["exit_incidence_rad"]) == pytest.approx(18.43495, abs=1e-4)


def test_jet_damping():
    # closed form mdot l² + dI/dt = 0.15 * 0.45² - 0.004 = 0.026375 N m s
    one = np.ones(MASS_COUNT)
    mass = MassTable(
        np.linspace(2.0, 1.85, MASS_COUNT),
        0.5 * one,
        np.linspace(0.122, 0.118, MASS_COUNT),
        0.001 * one,
        0.15,
        1.8,
        0.95,
    )
    craft = pack(bare_setup(plain_body(0.0), mass, steady_thrust(100.0, 1.0), air=VACUUM))
    rates, _note = kernel.state_rates(craft, 0, 0.5, state_of((0, 0, 500.0), nose=(0, 0, 1.0), rates=(0, 1.0, 0)))
    assert -rates[11] * 0.120 == pytest.approx(0.026375, abs=1e-9)


def test_roll_settles_where_forcing_meets_damping():
    # closed form: spin = V forcing cant / damping, the steady roll of canted fins
    body = plain_body(0.0, 0.066, slope=10.0, behind_m=0.132)
    body = type(body)(
        **{**body.__dict__, "roll_forcing_m3_per_rad": 4e-3 * np.ones(151), "roll_damping_m4": 2e-3 * np.ones(151)}
    )
    setup = bare_setup(body, even_mass(HEAVY_KG, HEAVY_KG, INERTIA, ROLL_INERTIA), gravity_mps2=0.0, fin_cant_rad=0.01)
    state, _ = fly_on(pack(setup), pitched_state(0.0), 2.0)
    assert state[10] == pytest.approx(100.0 * 4e-3 * 0.01 / 2e-3, rel=1e-6)


@pytest.mark.parametrize("wind_mps", [3.0, 11.0])
def test_uniform_wind_is_a_moving_frame(wind_mps):
    # exact: in a uniform wind w everything goes as in still air from v - w, carried along by w t
    body = plain_body(0.5, 0.066, slope=10.0, behind_m=0.132, damping_m2=0.4)
    mass = even_mass(1.2, 1.2, INERTIA, ROLL_INERTIA)
    windy = pack(bare_setup(body, mass, wind=constant_wind(wind_mps, 1.5 * math.pi)))
    still = pack(bare_setup(body, mass))
    nose, seconds = (0.1, 0.2, 1.0), 4.0
    found, _ = fly_on(windy, state_of((0, 0, 300.0), (5.0, 7.0, 60.0), nose), seconds)
    moved, _ = fly_on(still, state_of((0, 0, 300.0), (5.0 - wind_mps, 7.0, 60.0), nose), seconds)
    moved[0] += wind_mps * seconds
    moved[3] += wind_mps
    assert found == pytest.approx(moved, abs=1e-7)
