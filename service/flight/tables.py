"""The plain values the kernel flies on: air, wind, aerodynamics, mass. Computed, or given.

Air and wind share one grid of heights above the field, ``z_i = LEVEL_SCALE_M i²``: 5 cm apart at the
ground where the wind bends most, 80 m apart at the top, and found with one square root instead of a search.
Aerodynamic columns share one uniform grid of Mach numbers. All arrays are float64.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

LEVEL_SCALE_M = 0.05
LEVEL_COUNT = 801
MACH_STEP = 0.02
MACH_COUNT = 151
MASS_COUNT = 65


def level_heights_m() -> np.ndarray:
    """Heights above the field of the shared grid. shape (801,) [m]"""
    return LEVEL_SCALE_M * np.arange(LEVEL_COUNT, dtype=float) ** 2


def mach_grid() -> np.ndarray:
    """Mach numbers of the shared grid, 0 to 3. shape (151,) [-]"""
    return MACH_STEP * np.arange(MACH_COUNT, dtype=float)


@dataclass(frozen=True)
class Air:
    """Still properties of the air, on `level_heights_m`; arrays of shape (801,)."""

    density_kgm3: np.ndarray
    sound_mps: np.ndarray
    viscosity_pas: np.ndarray


@dataclass(frozen=True)
class Wind:
    """Velocity of the air (where it blows TO), on `level_heights_m`; arrays of shape (801,). [m/s]

    `half_arc_rad` is how far to either side the direction ranges, every bearing of the arc equally likely: pi for a
    direction that is anything, None where nothing is told of it. [rad]
    """

    east_mps: np.ndarray
    north_mps: np.ndarray
    half_arc_rad: np.ndarray | None = None


@dataclass(frozen=True)
class Aerodynamics:
    """Coefficients by Mach number on `mach_grid`, arrays of shape (151,), on the area pi d²/4.

    The moments are about the nose tip, so that they hold whatever the centre of gravity does:
    the centre of pressure is ``cn_alpha_x / cn_alpha`` and the damping sum about a station c is
    ``cn_alpha_x2 - 2 c cn_alpha_x + c² cn_alpha``.
    """

    diameter_m: float
    cn_alpha_per_rad: np.ndarray
    cn_alpha_x_m: np.ndarray  # sum of CN_alpha,i X_i
    cn_alpha_x2_m2: np.ndarray  # sum of CN_alpha,i X_i²
    axial_coasting: np.ndarray  # CA, motor not burning
    axial_burning: np.ndarray  # CA, motor burning
    roll_forcing_m3_per_rad: np.ndarray  # moment per dynamic pressure and radian of fin cant
    roll_damping_m4: np.ndarray  # moment per dynamic pressure and (spin / speed)
    body_lift_area_m2: float = 0.0  # K times the side area of the body; 0 switches body lift off
    body_lift_from_nose_m: float = 0.0  # centroid of that side area
    stall_rad: float = float(np.pi / 2)  # incidence past which CN_alpha sin(alpha) grows no more


@dataclass(frozen=True)
class Thrust:
    """A thrust curve: straight lines between points, nothing outside them. Arrays of shape (n,)."""

    time_s: np.ndarray
    thrust_n: np.ndarray


@dataclass(frozen=True)
class MassTable:
    """Mass properties against the fraction of impulse delivered, 0 to 1 in 65 even steps; arrays of shape (65,).

    `dry_mass_kg` is the part of the mass that a weighing error scales (everything but the motors).
    """

    mass_kg: np.ndarray
    cg_from_nose_m: np.ndarray
    pitch_inertia_kgm2: np.ndarray  # about the instantaneous centre of gravity
    roll_inertia_kgm2: np.ndarray
    propellant_mass_kg: float
    dry_mass_kg: float
    nozzle_from_nose_m: float
