"""Rockets for the checks: as simple as the closed form they are held against, or as plain as a club's own."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from service.flight import kernel
from service.flight.aerodynamics import generic_aerodynamics, given_aerodynamics
from service.flight.atmosphere import constant_air, standard_air
from service.flight.craft import HISTORY, LANDING, Craft
from service.flight.dispersion import DIMENSIONS, _normals, draws, merged_spreads, wind_spread
from service.flight.gusts import gust_length_m
from service.flight.mass import MotorBody, mass_table
from service.flight.setup import TRIGGERS, Device, Guide, Setup
from service.flight.tables import LEVEL_COUNT, MASS_COUNT, MassTable, Thrust, Wind
from service.flight.wind import wind_from_layers

STILL = Wind(np.zeros(LEVEL_COUNT), np.zeros(LEVEL_COUNT))
SEA_LEVEL = constant_air(1.225, 340.294)
VACUUM = constant_air(1e-15, 340.294)


def even_mass(
    full_kg: float, spent_kg: float, inertia_kgm2: float = 0.1, roll_kgm2: float = 0.001, cg_m: float = 0.5,
    nozzle_m: float = 0.5,
) -> MassTable:  # fmt: skip
    """Mass falling evenly with the impulse; everything else stays."""
    one = np.ones(MASS_COUNT)
    return MassTable(
        np.linspace(full_kg, spent_kg, MASS_COUNT), cg_m * one, inertia_kgm2 * one, roll_kgm2 * one,
        full_kg - spent_kg, spent_kg, nozzle_m,
    )  # fmt: skip


def plain_body(
    drag_coefficient: float,
    diameter_m: float = 0.05,
    slope: float = 0.0,
    behind_m: float = 0.0,
    damping_m2: float = 0.0,
):
    """A body with its centre of gravity at 0.5 m, a lift slope some way behind it and a damping sum about it."""
    return given_aerodynamics(
        diameter_m, slope, 0.5 + behind_m, drag_coefficient, damping_sum_m2=damping_m2, damping_about_m=0.5
    )


def steady_thrust(thrust_n: float, burn_s: float) -> Thrust:
    return Thrust(np.array([0.0, burn_s]), np.array([thrust_n, thrust_n]))


def bare_setup(aero, mass: MassTable, thrust: Thrust | None = None, **changes) -> Setup:
    """Sea-level air, no wind, a short upright guide."""
    values = dict(air=SEA_LEVEL, wind=STILL, guide=Guide(0.01)) | changes
    return Setup(aero, thrust or steady_thrust(50.0, 0.01), mass, **values)


def pointing(east: float, north: float, up: float) -> tuple[float, float, float, float]:
    """The quaternion whose x axis is this direction."""
    length = math.sqrt(east**2 + north**2 + up**2)
    w, x, y, z = 1.0 + east / length, 0.0, -up / length, north / length
    norm = math.sqrt(w * w + y * y + z * z)
    return (w / norm, x, y / norm, z / norm) if norm > 1e-6 else (0.0, 0.0, 0.0, 1.0)


def axis_of(state) -> np.ndarray:
    """Where the nose points."""
    w, a, b, c = state[6:10]
    return np.array([1.0 - 2.0 * (b * b + c * c), 2.0 * (a * b + w * c), 2.0 * (a * c - w * b)])


def state_of(position=(0.0, 0.0, 1000.0), velocity=(0.0, 0.0, 0.0), nose=None, rates=(0.0, 0.0, 0.0)):
    """A state of the kernel; the nose goes first unless told otherwise."""
    return tuple(float(x) for x in (*position, *velocity, *pointing(*(nose or velocity)), *rates, 0.0))


def fly_on(craft: Craft, state, seconds: float, since_s: float = 1000.0):
    """The state some seconds later, coasting (or the ground, if that comes first), and the time then."""
    _why, later, time_s, _rows = kernel.fly_on(craft, state, since_s, since_s + seconds, np.zeros((0, len(HISTORY))))
    return np.array(later), time_s - since_s


def hang_on(craft: Craft, mass_kg: float, start, devices=(), body_area_m2: float = 0.0) -> dict[str, float]:
    """Landing of a point mass from six states; `devices` are (drag area, trigger, value), the apogee at 0 s."""
    landing = np.empty(len(LANDING))
    kernel.hang_on(
        craft, np.array(start, float), mass_kg, np.array([d[0] for d in devices], float),
        np.array([TRIGGERS[d[1]] for d in devices], np.int64), np.array([d[2] for d in devices], float), body_area_m2,
        landing,
    )  # fmt: skip
    return dict(zip(LANDING, landing.tolist(), strict=True))


def club_rocket(**changes) -> Setup:
    """A 41 mm rocket of 0.6 kg on 90 N s in a westerly that grows and veers with height, one canopy near apogee."""
    mass = mass_table(0.5, 0.5, 0.9, 0.041, MotorBody(0.1, 0.05, 0.1, 0.029, 0.9))
    aero = generic_aerodynamics(0.9, 0.041, 2.0, float(mass.cg_from_nose_m[0]), motor_diameter_m=0.029)
    thrust = Thrust(np.array([0.0, 0.05, 0.2, 0.5, 1.2, 1.6, 1.75]), np.array([0.0, 45.0, 68.0, 53.0, 42.0, 36.0, 0.0]))
    setup = Setup(
        aero, thrust, mass, standard_air(300.0), wind_from_layers([2.0, 600.0], [3.0, 7.0], [4.5, 5.0]),
        Guide(1.5, math.radians(4.0), 1.0, 0.05), (Device("main", 0.3, "motor_delay", 8.0),), 0.01,
    )  # fmt: skip
    return replace(setup, **changes)


DUAL = (Device("drogue", 0.02, "apogee", 0.0), Device("main", 0.3, "altitude", 120.0))


def drawn(setup: Setup, dimensions: int = DIMENSIONS) -> tuple[np.ndarray, np.ndarray]:
    """What `disperse(setup, samples=16, seed=3, gust_sigma_mps=0.8)` draws: the table of errors, and the spreads."""
    spreads = merged_spreads(None)
    even, normal, _ = _normals(16, 3, 0, dimensions)
    table = draws(
        setup, spreads, even, normal, delay_s=0.0, gust_sigma_mps=spreads["gust_fraction"] * 0.8, transonic=False,
        unknown_shape=False, soft_first=False, soft_other=False,
    )  # fmt: skip
    return table, wind_spread(setup, spreads, gust_length_m(2.0))
