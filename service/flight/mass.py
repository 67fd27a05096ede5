"""Mass, centre of gravity and inertia of rocket and motors while the propellant burns."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from .checks import not_negative, positive, series, within
from .errors import OutsideModel
from .tables import MASS_COUNT, MassTable

GRAIN_DENSITY_KGM3 = 1700.0  # composite and pressed black powder both, 1600 to 1850 (from memory, not re-read)
GRAIN_RADIUS_SHARE = 0.88  # of the motor's outer radius: casing and liner take the rest (engineering estimate)
GRAIN_LENGTH_SHARE = 0.85  # of the motor's length: nozzle and closure take the rest (engineering estimate)
NOZZLE_LENGTH_SHARE = 0.10
MOST_MOTORS = 16


@dataclass(frozen=True)
class MotorBody:
    """One motor as a thing with mass. Lengths [m], masses [kg]."""

    loaded_mass_kg: float
    propellant_mass_kg: float
    length_m: float
    diameter_m: float
    aft_from_nose_m: float  # station of its nozzle end
    end_burner: bool = False  # a solid grain eaten from the nozzle forward, as black powder motors do


def estimated_pitch_inertia_kgm2(mass_kg: float, length_m: float, diameter_m: float) -> float:
    """Pitch inertia of a rocket that nobody has swung: a thin tube of even weight, m (6 r² + L²) / 12.

    Closed form for the tube; taking it for a rocket is common practice and good to about 30 %,
    since nose weights and fins add at the ends what recovery gear adds in the middle. [kg m²]
    """
    radius_m = 0.5 * positive("diameter_m", diameter_m, "m")
    return positive("mass_kg", mass_kg, "kg") * (6.0 * radius_m**2 + positive("length_m", length_m, "m") ** 2) / 12.0


def estimated_roll_inertia_kgm2(mass_kg: float, diameter_m: float) -> float:
    """Roll inertia taken as a thin tube, m r²: what sits inside lowers it, fins raise it (common practice). [kg m²]"""
    return positive("mass_kg", mass_kg, "kg") * (0.5 * positive("diameter_m", diameter_m, "m")) ** 2


def mass_table(
    dry_mass_kg: float,
    dry_cg_from_nose_m: float,
    length_m: float,
    diameter_m: float,
    motor: MotorBody,
    motor_count: int = 1,
    unlit_count: int = 0,
    dry_pitch_inertia_kgm2: float | None = None,
    dry_roll_inertia_kgm2: float | None = None,
) -> MassTable:
    """Mass properties over the share of impulse delivered, at constant exhaust speed.

    Parameters
    ----------
    dry_mass_kg, dry_cg_from_nose_m : float
        Rocket without motors, and its centre of gravity from the nose tip. [kg], [m]
    length_m, diameter_m : float
        Of the airframe, for the inertia estimates. [m]
    motor : MotorBody
        One of the motors; all are alike and stand at one station.
    motor_count, unlit_count : int
        Motors carried, and how many of them do not light and stay full. [-]
    dry_pitch_inertia_kgm2, dry_roll_inertia_kgm2 : float, optional
        About the dry centre of gravity; estimated where left out. [kg m²]

    Returns
    -------
    MassTable
        Inertia about the instantaneous centre of gravity. `propellant_mass_kg` is what burns.

    Raises
    ------
    OutsideModel
        If a mass or size is not positive, the propellant is as heavy as its motor, the centre of gravity
        or the motor lies outside the airframe, or no motor lights.

    Notes
    -----
    The casing is a thin tube. The grain is a hollow cylinder whose bore grows, or for an end burner a solid
    one that shortens towards the nose. Motors of a cluster stand in a ring, touching.
    """
    _check(dry_mass_kg, dry_cg_from_nose_m, length_m, diameter_m, motor, motor_count, unlit_count)
    pitch_dry = dry_pitch_inertia_kgm2
    if pitch_dry is None:
        pitch_dry = estimated_pitch_inertia_kgm2(dry_mass_kg, length_m, diameter_m)
    roll_dry = dry_roll_inertia_kgm2
    if roll_dry is None:
        roll_dry = estimated_roll_inertia_kgm2(dry_mass_kg, diameter_m)
    positive("dry_pitch_inertia_kgm2", pitch_dry, "kg m²")
    positive("dry_roll_inertia_kgm2", roll_dry, "kg m²")

    left = 1.0 - np.linspace(0.0, 1.0, MASS_COUNT)
    burning = _grain(motor, left)
    full = tuple(column[:1] for column in burning)
    parts = [
        (np.full(MASS_COUNT, dry_mass_kg), dry_cg_from_nose_m, pitch_dry, roll_dry),
        _ring(_casing(motor), motor, motor_count),
        _ring(burning, motor, motor_count, motor_count - unlit_count),
        _ring(full, motor, motor_count, unlit_count),
    ]
    mass = sum(part[0] for part in parts)
    cg = sum(part[0] * part[1] for part in parts) / mass
    pitch = sum(part[2] + part[0] * (part[1] - cg) ** 2 for part in parts)
    roll = sum(part[3] for part in parts)
    return MassTable(
        mass_kg=mass,
        cg_from_nose_m=cg,
        pitch_inertia_kgm2=pitch,
        roll_inertia_kgm2=roll * np.ones(MASS_COUNT),
        propellant_mass_kg=(motor_count - unlit_count) * motor.propellant_mass_kg,
        dry_mass_kg=float(dry_mass_kg),
        nozzle_from_nose_m=float(motor.aft_from_nose_m),
    )


def given_mass(
    mass_kg,
    cg_from_nose_m,
    pitch_inertia_kgm2,
    roll_inertia_kgm2,
    propellant_mass_kg: float,
    nozzle_from_nose_m: float,
    dry_mass_kg: float | None = None,
) -> MassTable:
    """Mass properties measured or reckoned elsewhere.

    Parameters
    ----------
    mass_kg, cg_from_nose_m, pitch_inertia_kgm2, roll_inertia_kgm2 : number or sequence
        A number, or values at even steps of delivered impulse from none to all. A single mass is the one at
        ignition and falls by the propellant. Inertias about the instantaneous centre of gravity.
        [kg], [m], [kg m²], [kg m²]
    propellant_mass_kg : float
        What burns; 0 for closed forms of constant mass. [kg]
    nozzle_from_nose_m : float
        Station where the jet leaves. [m]
    dry_mass_kg : float, optional
        The part that a weighing error scales; without the propellant, if left out. [kg]
    """
    not_negative("propellant_mass_kg", propellant_mass_kg, "kg")
    not_negative("nozzle_from_nose_m", nozzle_from_nose_m, "m")
    mass = _stretched("mass_kg", mass_kg)
    if np.ndim(mass_kg) == 0:
        mass = mass - propellant_mass_kg * np.linspace(0.0, 1.0, MASS_COUNT)
    pitch = _stretched("pitch_inertia_kgm2", pitch_inertia_kgm2)
    roll = _stretched("roll_inertia_kgm2", roll_inertia_kgm2)
    for name, column in (("mass_kg", mass), ("pitch_inertia_kgm2", pitch), ("roll_inertia_kgm2", roll)):
        if not column.min() > 0.0:
            raise OutsideModel(f"{name} falls to {column.min():g}; it needs to stay above zero")
    dry = float(mass[-1]) if dry_mass_kg is None else positive("dry_mass_kg", dry_mass_kg, "kg")
    cg = _stretched("cg_from_nose_m", cg_from_nose_m)
    return MassTable(mass, cg, pitch, roll, float(propellant_mass_kg), dry, float(nozzle_from_nose_m))


def _stretched(name: str, values) -> np.ndarray:
    array = series(name, values)
    return np.interp(np.linspace(0.0, 1.0, MASS_COUNT), np.linspace(0.0, 1.0, array.size), array)


def _grain(motor: MotorBody, left: np.ndarray):
    """Mass, centre station, transverse and axial inertia of one grain with a share of it left."""
    mass = motor.propellant_mass_kg * left
    outer = GRAIN_RADIUS_SHARE * motor.diameter_m / 2.0
    volume = motor.propellant_mass_kg / GRAIN_DENSITY_KGM3
    longest = GRAIN_LENGTH_SHARE * motor.length_m
    aft = motor.aft_from_nose_m - NOZZLE_LENGTH_SHARE * motor.length_m
    if motor.end_burner:
        whole = min(volume / (math.pi * outer**2), longest)
        length = whole * left
        centre = aft - whole + length / 2.0
        inner2 = np.zeros_like(left)
    else:
        length = np.full_like(left, longest)
        centre = np.full_like(left, aft - longest / 2.0)
        bore2 = max(0.0, outer**2 - volume / (math.pi * longest))
        inner2 = outer**2 - (outer**2 - bore2) * left
    transverse = mass * (3.0 * (outer**2 + inner2) + length**2) / 12.0
    return mass, centre, transverse, mass * (outer**2 + inner2) / 2.0


def _casing(motor: MotorBody):
    mass = motor.loaded_mass_kg - motor.propellant_mass_kg
    radius, length = motor.diameter_m / 2.0, motor.length_m
    centre = motor.aft_from_nose_m - length / 2.0
    return mass, centre, mass * (6.0 * radius**2 + length**2) / 12.0, mass * radius**2


def _ring(part, motor: MotorBody, count: int, of_them: int | None = None):
    """The same part once in each motor; a cluster's motors touch in a ring about the axis."""
    mass, centre, transverse, axial = part
    radius = 0.0 if count == 1 else motor.diameter_m / 2.0 / math.sin(math.pi / count)
    n = count if of_them is None else of_them
    return n * mass, centre, n * (transverse + mass * radius**2 / 2.0), n * (axial + mass * radius**2)


def _check(dry_mass_kg, cg_m, length_m, diameter_m, motor: MotorBody, motor_count: int, unlit_count: int) -> None:
    positive("dry_mass_kg", dry_mass_kg, "kg")
    positive("length_m", length_m, "m")
    positive("diameter_m", diameter_m, "m")
    within("dry_cg_from_nose_m", cg_m, 0.0, length_m, "m")
    for name, unit in (("loaded_mass_kg", "kg"), ("length_m", "m"), ("diameter_m", "m"), ("aft_from_nose_m", "m")):
        positive(f"motor {name}", getattr(motor, name), unit)
    not_negative("motor propellant_mass_kg", motor.propellant_mass_kg, "kg")
    if not motor.propellant_mass_kg < motor.loaded_mass_kg:
        raise OutsideModel(
            f"motor propellant {motor.propellant_mass_kg:g} kg is not lighter than the loaded motor, "
            f"{motor.loaded_mass_kg:g} kg"
        )
    if motor.length_m > motor.aft_from_nose_m:
        raise OutsideModel(f"the motor, {motor.length_m:g} m long, reaches ahead of the nose tip")
    if motor_count < 1 or motor_count > MOST_MOTORS:
        raise OutsideModel(f"motor_count is {motor_count}; 1 to {MOST_MOTORS} is wanted")
    if not 0 <= unlit_count < motor_count:
        raise OutsideModel(f"{unlit_count} of {motor_count} motors do not light; at least one has to")
