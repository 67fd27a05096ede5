"""Fly one nominal flight and keep its history."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from . import kernel
from .craft import FIGURES, HISTORY, LANDING, NO_LIFTOFF, NOT_FINITE, OK, TOO_FAST, TOO_HIGH, TOO_LONG
from .errors import IntegrationStopped, OutsideModel
from .setup import Setup, flown_modes, pack, pack_devices

HISTORY_ROWS = 60_000


class NeverLeftGuide(IntegrationStopped):
    """Thrust never lifted the rocket off, or not to the end of the guide."""


@dataclass(frozen=True)
class Landing:
    """Where and how one mode comes down; positions from the pad, east and north. [m, m, s, m/s, m/s]"""

    east_m: float
    north_m: float
    time_s: float
    down_mps: float
    across_mps: float
    opened: int
    first_speed_mps: float  # steady fall under what opened first
    second_open_mps: float  # airspeed when the second device opened; NaN without one


@dataclass(frozen=True)
class Simulation:
    """A nominal flight.

    `figures` maps the names of `craft.FIGURES` to floats (SI, angles in rad); a figure that does not exist, such as
    a deployment that never came, is NaN. `history` has one row per step of the planned mode, columns
    `history_columns`.
    """

    figures: dict[str, float]
    landings: dict[str, Landing]
    history: np.ndarray
    history_columns: tuple[str, ...] = HISTORY


def ending_sentence(ending: int, figures: np.ndarray) -> str:
    """What an ending other than OK means, in words."""
    return {
        NO_LIFTOFF: "the thrust never carries the rocket to the guide's end: look at thrust, mass and guide length",
        NOT_FINITE: "a state stopped being a finite number: look at the masses, sizes and fins",
        TOO_FAST: "the flight reaches Mach 3, past what the aerodynamic model holds for",
        TOO_HIGH: "the flight rises past the top of the air and wind tables, 32 km above the field",
        TOO_LONG: "the flight takes more steps than it may: look at the inertia and the fins",
    }[ending]


def simulate(setup: Setup, history: bool = True) -> Simulation:
    """Fly a rocket once, from ignition to the ground, in every ending mode.

    The tables in `setup` may be computed (`service.flight.aerodynamics`, `mass`, `atmosphere`, `wind`) or given:
    see `aerodynamics.given_aerodynamics`, `mass.given_mass`, `wind.wind_from_function`, `atmosphere.constant_air`.

    Parameters
    ----------
    setup : Setup
        Vehicle, air, launcher and devices, SI units, angles in radians.
    history : bool
        Keep the time history of the planned mode.

    Returns
    -------
    Simulation

    Raises
    ------
    OutsideModel
        If a table or number cannot be flown, or the flight leaves Mach 3 or 32 km.
    NeverLeftGuide
        If thrust does not carry the rocket off the guide.
    IntegrationStopped
        If the integration fails for another reason.

    Notes
    -----
    Fourth-order Runge-Kutta whose steps land on every knot of the thrust curve. Against an eighth-order integration
    of the same equations at a relative tolerance of 1e-9 the ascent errs by less than 5 mm rms and the landing point
    by less than 1 m; `rangehand bench` measures it.

    Examples
    --------
    A rocket with given coefficients, a given thrust curve and a canopy of 0.28 m² drag area, in 5 m/s from the west:

    >>> from math import radians
    >>> from service.flight.aerodynamics import given_aerodynamics
    >>> from service.flight.atmosphere import standard_air
    >>> from service.flight.mass import given_mass
    >>> from service.flight.setup import Device, Guide, Setup
    >>> from service.flight.thrust import thrust_curve
    >>> from service.flight.wind import constant_wind
    >>> flight = simulate(
    ...     Setup(
    ...         aerodynamics=given_aerodynamics(
    ...             diameter_m=0.041, cn_alpha_per_rad=11.0, cp_from_nose_m=0.55,
    ...             axial_coasting=([0.0, 0.9, 1.1], [0.55, 0.6, 0.9]), damping_sum_m2=0.8, damping_about_m=0.42,
    ...         ),
    ...         thrust=thrust_curve([0.0, 0.05, 0.2, 0.5, 1.2, 1.6, 1.75], [0.0, 30.0, 45.0, 35.0, 28.0, 24.0, 0.0]),
    ...         mass=given_mass(
    ...             mass_kg=(0.53, 0.50), cg_from_nose_m=(0.42, 0.40), pitch_inertia_kgm2=(0.02, 0.019),
    ...             roll_inertia_kgm2=1e-4, propellant_mass_kg=0.03, nozzle_from_nose_m=0.75,
    ...         ),
    ...         air=standard_air(),
    ...         wind=constant_wind(5.0, radians(270.0)),
    ...         guide=Guide(1.5),
    ...         devices=(Device("main", 0.28, "apogee", 0.0),),
    ...     )
    ... )
    >>> round(flight.figures["apogee_m"]), round(flight.landings["planned"].east_m)
    (328, 204)
    """
    craft = pack(setup)
    areas, triggers, values = pack_devices(setup)
    figures, landings = np.empty(len(FIGURES)), np.empty((4, len(LANDING)))
    rows = np.empty((HISTORY_ROWS if history else 0, len(HISTORY)))
    ending, count = kernel.fly(
        craft, areas, triggers, values, float(setup.body_drag_area_m2), figures, landings, flown_modes(setup), rows
    )
    if ending != OK:
        kind = {NO_LIFTOFF: NeverLeftGuide, TOO_FAST: OutsideModel, TOO_HIGH: OutsideModel}.get(
            ending, IntegrationStopped
        )
        raise kind(ending_sentence(ending, figures))
    named = {name: float(value) for name, value in zip(FIGURES, figures)}
    by_mode = {}
    for mode, row, flown in zip(kernel.MODES, landings, flown_modes(setup)):
        if flown and np.isfinite(row[0]):
            east, north, time_s, down, across, opened, first, second = (float(value) for value in row)
            by_mode[mode] = Landing(east, north, time_s, down, across, int(opened), first, second)
    return Simulation(named, by_mode, _from_liftoff(setup, named, rows[:count]))


def _from_liftoff(setup: Setup, figures: dict[str, float], rows: np.ndarray) -> np.ndarray:
    """The history with the moment of lift-off, at rest on the pad, put before the end of the guide."""
    if rows.shape[0] == 0 or not np.isfinite(figures["liftoff_s"]):
        return rows.copy()
    first = np.zeros(rows.shape[1])
    first[HISTORY.index("time_s")] = figures["liftoff_s"]
    first[7:10] = setup.axis()
    first[HISTORY.index("thrust_n")] = np.interp(figures["liftoff_s"], setup.thrust.time_s, setup.thrust.thrust_n)
    first[HISTORY.index("mass_kg")] = setup.mass.mass_kg[0]
    first[HISTORY.index("margin_cal")] = np.nan  # in still air there is none
    return np.vstack([first, rows])
