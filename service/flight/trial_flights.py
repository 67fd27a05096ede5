"""Invented flights, A to L, for measuring the kernel against other integrators: `rangehand bench` and the tests.

Sizes follow the motor: thrust-to-weight 5 to 14, body diameter with the cube root of the mass (common practice).
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from .aerodynamics import generic_aerodynamics
from .atmosphere import standard_air
from .constants import STANDARD_GRAVITY_MPS2
from .errors import FlightError
from .mass import MotorBody, mass_table
from .nominal import simulate
from .recovery import drag_area_for_speed_m2
from .setup import Device, Guide, Setup
from .tables import Thrust
from .wind import wind_from_layers

CLASSES = "ABCDEFGHIJKL"


def trial_thrust(rng: np.random.Generator, impulse_ns: float, burn_s: float) -> Thrust:
    """A thrust curve with a sharp rise, an uneven plateau and a tail; four in ten start or stop abruptly."""
    knots = int(rng.integers(4, 14))
    middle = np.sort(rng.uniform(0.06, 0.94, knots))
    times = np.concatenate([[0.0, 0.03], middle[np.diff(middle, prepend=0.03) > 0.01], [1.0]]) * burn_s
    thrusts = rng.uniform(0.6, 1.4) + np.linspace(0.5, -0.4, times.size) * rng.uniform(-1.0, 1.0, times.size)
    thrusts = np.maximum(thrusts, 0.2)
    if rng.random() > 0.4:
        thrusts[0], thrusts[-1] = 0.0, 0.0
    delivered = float(np.sum(0.5 * (thrusts[1:] + thrusts[:-1]) * np.diff(times)))
    return Thrust(times, thrusts * impulse_ns / delivered)


def _draw(rng: np.random.Generator) -> Setup:
    impulse_ns = 1.25 * 2.0 ** rng.uniform(0.0, len(CLASSES))
    burn_s = 0.3 * impulse_ns**0.28 * rng.uniform(0.6, 1.6)
    loaded_kg = impulse_ns / burn_s / (STANDARD_GRAVITY_MPS2 * rng.uniform(5.0, 14.0))
    propellant_kg = min(impulse_ns / (STANDARD_GRAVITY_MPS2 * (80.0 if impulse_ns < 20.0 else 190.0)), 0.3 * loaded_kg)
    motor_kg = 1.9 * propellant_kg
    diameter_m = 0.05 * loaded_kg ** (1.0 / 3.0) * rng.uniform(0.7, 1.3)
    length_m = diameter_m * rng.uniform(12.0, 22.0)
    motor = MotorBody(motor_kg, propellant_kg, 0.25 * length_m, 0.6 * diameter_m, length_m)
    mass = mass_table(loaded_kg - motor_kg, rng.uniform(0.45, 0.55) * length_m, length_m, diameter_m, motor)
    air = standard_air(rng.uniform(0.0, 1800.0))
    aero = generic_aerodynamics(
        length_m, diameter_m, rng.uniform(0.8, 3.0), float(mass.cg_from_nose_m[0]), air=air,
        motor_diameter_m=motor.diameter_m,
    )  # fmt: skip
    ground_mps, origin = rng.uniform(0.0, 7.0), rng.uniform(0.0, 2.0 * math.pi)
    wind = wind_from_layers(
        [2.0, 300.0, 1500.0, 5000.0],
        [ground_mps * grown for grown in (1.0, rng.uniform(1.2, 1.8), rng.uniform(1.2, 2.5), rng.uniform(1.0, 4.0))],
        [origin + float(turn) for turn in np.cumsum([0.0, *rng.uniform(-0.2, 0.6, 3)])],
        float(rng.choice([0.005, 0.03, 0.1])),
    )
    guide = Guide(
        rng.uniform(0.8, 1.2) * max(0.9, 8.0 * diameter_m + 0.9), math.radians(rng.uniform(0.0, 8.0)),
        rng.uniform(0.0, 2.0 * math.pi), rng.uniform(0.0, 0.1),
        pivot_from_nose_m=rng.uniform(0.8, 0.98) * length_m,
        pivot_travel_m=float(rng.choice([0.0, 0.3])) * length_m,
    )  # fmt: skip
    return Setup(
        aero, trial_thrust(rng, impulse_ns, burn_s), mass, air, wind, guide,
        body_drag_area_m2=0.35 * length_m * diameter_m,
        latitude_rad=rng.uniform(-1.0, 1.0) if rng.random() < 0.5 else None,
        gravity_falls=bool(rng.random() < 0.5),
        fin_cant_rad=math.radians(rng.normal(0.0, 0.25)),
    )  # fmt: skip


def _with_recovery(rng: np.random.Generator, setup: Setup) -> Setup:
    """A canopy by the motor's delay, one at apogee, or a drogue and a main, as the motor would have it."""
    figures = simulate(setup, history=False).figures
    spent_kg = float(setup.mass.mass_kg[-1])
    main_m2 = drag_area_for_speed_m2(spent_kg, rng.uniform(3.5, 8.0))
    if rng.random() < 0.4:
        delay_s = max(figures["apogee_s"] - figures["burnout_s"] + rng.uniform(-2.0, 2.0), 0.5)
        return replace(setup, devices=(Device("main", main_m2, "motor_delay", delay_s),))
    if rng.random() < 0.3:
        return replace(setup, devices=(Device("main", main_m2, "apogee", rng.uniform(0.0, 2.0)),))
    drogue_m2 = drag_area_for_speed_m2(spent_kg, rng.uniform(14.0, 28.0))
    height_m = float(rng.uniform(0.1, 0.5) * figures["apogee_m"])
    devices = (
        Device("drogue", drogue_m2, "apogee", rng.uniform(0.0, 1.0)),
        Device("main", main_m2, "altitude", height_m),
    )
    return replace(setup, devices=devices)


def trial_setup(seed: int) -> Setup:
    """An invented flight, the same for the same seed; draws again where one cannot be flown."""
    rng = np.random.default_rng([seed, 20])
    while True:
        try:
            return _with_recovery(rng, _draw(rng))
        except FlightError:
            continue
