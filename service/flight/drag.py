"""Drag by component build-up: each part by name, over Mach, on the reference area."""

from __future__ import annotations

import math

import numpy as np

from .airframe import Airframe, FinSet, Lugs
from .bodies import BodyPart, body_parts, wetted_area_m2
from .checks import not_negative, series
from .coefficients import base_pressure_drag, bridged, smooth_step, stagnation_ratio
from .errors import OutsideModel
from .fins import fin_area_m2, mean_chord_m
from .friction import mean_friction
from .nose import TRANSONIC, cone_wave_drag, nose_pressure_drag
from .tables import Air

ATTACHED_RAD = math.radians(8.0)  # a boattail this shallow keeps its flow (Hoerner; from memory, not re-read)
SEPARATED_RAD = math.radians(28.0)  # one this steep is all base
LUG_DRAG = 1.25  # on frontal area; handbook 1.2 to 1.3 (from memory, not re-read)
BUTTON_DRAG = 1.0  # on frontal area; handbook 0.5 to 1.2 (from memory, not re-read)
PARTS = (
    "body friction", "fin friction", "nose", "transitions", "base", "fin leading edges", "fin trailing edges",
    "fin waves", "lugs",
)  # fmt: skip


def drag_breakdown(
    airframe: Airframe,
    mach,
    air: Air,
    motor_diameter_m: float = 0.0,
    motor_count: int = 0,
    burning: bool = False,
    level: int = 0,
) -> dict[str, np.ndarray]:
    """Drag coefficient of each part over Mach; `sum(parts.values())` is the whole.

    Parameters
    ----------
    airframe : Airframe
    mach : float or array, shape (n,)
        Mach numbers, 0 to 3. [-]
    air : Air
        Its density, speed of sound and viscosity set the Reynolds numbers.
    motor_diameter_m, motor_count : float, int
        What the jets fill of the base while burning. [m], [-]
    burning : bool
        Whether the motors burn.
    level : int
        Which level of the air, 0 (the field) by default. A flight to 3 km has a fifth less Reynolds number
        at its top, worth 3 % of its friction.

    Returns
    -------
    dict of str to array, shape (n,)
        Keyed by `PARTS`, all on pi d² / 4. [-]

    Notes
    -----
    Zero incidence. No allowance is made for interference between the parts (5 to 10 % by handbooks): the
    spread of the drag coefficient in the dispersion covers it.

    References
    ----------
    .. [1] Barrowman, 1967 thesis. .. [2] Hoerner, S. F., Fluid-Dynamic Drag, 1965. .. [3] Fleeman, E. L.,
       Tactical Missile Design. Constants from memory, not re-read, unless the part says otherwise.
    """
    mach = series("mach", mach)
    if mach.min() < 0.0 or mach.max() > 3.0 + 1e-9:
        raise OutsideModel(f"mach runs from {mach.min():g} to {mach.max():g}; the build-up holds from 0 to 3")
    not_negative("motor_diameter_m", motor_diameter_m, "m")
    if motor_count < 0:
        raise OutsideModel(f"motor_count is {motor_count}; it may not be below zero")
    per_metre = mach * air.sound_mps[level] * air.density_kgm3[level] / air.viscosity_pas[level]
    roughness_m = airframe.finish_um * 1e-6
    reference = airframe.reference_area_m2
    bodies = body_parts(airframe)
    jet_m2 = motor_count * math.pi * motor_diameter_m**2 / 4.0 if burning else 0.0
    zero = np.zeros_like(mach)
    nose_area = math.pi * airframe.nose_base_diameter_m**2 / 4.0
    return {
        "body friction": _body_friction(airframe, bodies, per_metre, roughness_m, mach),
        "fin friction": zero + sum(_fin_friction(f, per_metre, roughness_m, mach) for f in airframe.fins) / reference,
        "nose": nose_pressure_drag(airframe.nose, airframe.nose_base_diameter_m, mach) * nose_area / reference,
        "transitions": zero + sum(_transition(part, mach) for part in bodies[1:]) / reference,
        "base": base_pressure_drag(mach) * max(0.0, math.pi * airframe.base_diameter_m**2 / 4.0 - jet_m2) / reference,
        "fin leading edges": zero + sum(_leading_edges(f, mach) for f in airframe.fins) / reference,
        "fin trailing edges": zero + sum(_trailing_edges(f, mach) for f in airframe.fins) / reference,
        "fin waves": zero + sum(_fin_waves(f, mach) for f in airframe.fins) / reference,
        "lugs": zero + sum(_lugs(lugs, per_metre, roughness_m, mach) for lugs in airframe.lugs) / reference,
    }


def drag_coefficient(
    airframe: Airframe, mach, air: Air, motor_diameter_m: float = 0.0, motor_count: int = 0, burning: bool = False
) -> np.ndarray:
    """The whole drag coefficient over Mach, shape (n,). [-]"""
    parts = drag_breakdown(airframe, mach, air, motor_diameter_m, motor_count, burning)
    return np.sum(list(parts.values()), axis=0)


def slenderness_factor(length_m: float, diameter_m: float) -> float:
    """Body friction over that of a plate: 1 + d/(2 L). Barrowman, 1967 thesis.

    (Hoerner's 1 + 1.5 (d/L)^1.5 + 7 (d/L)³ is within 1 % of it from L/d 10 on.) [-]
    """
    return 1.0 + diameter_m / (2.0 * length_m)


def _body_friction(airframe: Airframe, bodies: list[BodyPart], per_metre, roughness_m: float, mach) -> np.ndarray:
    wetted = sum(wetted_area_m2(part) for part in bodies)
    friction = mean_friction(per_metre * airframe.length_m, roughness_m, airframe.length_m, mach)
    factor = slenderness_factor(airframe.length_m, airframe.diameter_m)
    return friction * factor * wetted / airframe.reference_area_m2


def _fin_friction(fins: FinSet, per_metre, roughness_m: float, mach) -> np.ndarray:
    chord = mean_chord_m(fins)
    friction = mean_friction(per_metre * chord, roughness_m, chord, mach)
    return friction * (1.0 + 2.0 * fins.thickness_m / chord) * 2.0 * fins.count * fin_area_m2(fins)


def _transition(part: BodyPart, mach: np.ndarray) -> np.ndarray:
    """A shoulder as a cone of its slope; a boattail as so much base as its slope lets the flow part from it."""
    fore, aft = part.radius_m[0], part.radius_m[-1]
    if fore == aft:
        return np.zeros_like(mach)
    area = math.pi * abs(aft**2 - fore**2)
    slope = abs(aft - fore) / (part.station_m[-1] - part.station_m[0])
    angle = math.atan(slope)
    rise = smooth_step(mach, *TRANSONIC)
    fast = np.maximum(mach, TRANSONIC[1])
    if aft > fore:
        slow = 0.8 * math.sin(angle) ** 2
        return area * (slow + rise * (np.maximum(cone_wave_drag(fast, 0.5 / slope), slow) - slow))
    parted = float(smooth_step(angle, ATTACHED_RAD, SEPARATED_RAD))
    # supersonic: the expansion round the corner pulls with 2 slope / beta (linear theory), at most like a base
    pull = np.minimum(1.0, 2.0 * slope / np.sqrt(fast**2 - 1.0) / base_pressure_drag(fast))
    return area * base_pressure_drag(mach) * (parted + rise * (np.maximum(pull, parted) - parted))


def _sweep_cosine2(fins: FinSet) -> float:
    return fins.span_m**2 / (fins.span_m**2 + fins.sweep_m**2)


def _frontal_m2(fins: FinSet) -> float:
    return fins.count * fins.span_m * fins.thickness_m


def rounded_edge_drag(mach):
    """Drag of a round leading edge on its frontal area, unswept. Barrowman, 1967 thesis. [-]"""
    mach = np.asarray(mach, dtype=float)
    slow = (1.0 - np.minimum(mach, 0.9) ** 2) ** -0.417 - 1.0
    m2 = np.maximum(mach, 1.0) ** 2
    fast = 1.214 - 0.502 / m2 + 0.1095 / m2**2
    return np.where(mach < 0.9, slow, np.where(mach < 1.0, 1.0 - 1.785 * (mach - 0.9), fast))


def _leading_edges(fins: FinSet, mach: np.ndarray) -> np.ndarray:
    if fins.edge == "square":
        return 0.85 * stagnation_ratio(mach) * _sweep_cosine2(fins) * _frontal_m2(fins)
    if fins.edge == "rounded":
        # the formulas turn from a steep rise to a fall at Mach 0.9; the air does so less sharply
        return bridged(rounded_edge_drag, mach, 0.8, 1.05) * _sweep_cosine2(fins) * _frontal_m2(fins)
    return np.zeros_like(mach)


def _trailing_edges(fins: FinSet, mach: np.ndarray) -> np.ndarray:
    share = {"square": 1.0, "rounded": 0.5}.get(fins.edge, 0.0)
    return share * base_pressure_drag(mach) * _frontal_m2(fins)


def _fin_waves(fins: FinSet, mach: np.ndarray) -> np.ndarray:
    """Wave drag of thin sections: 4 (t/c)² / beta on the fin's area (linear theory, double wedge), held from
    Mach 1.2 down and faded out to 0.8. Flat plates have theirs in their edges."""
    if fins.edge in ("square", "rounded"):
        return np.zeros_like(mach)
    beta = np.sqrt(np.maximum(mach, TRANSONIC[1]) ** 2 - 1.0)
    thickness = fins.thickness_m / mean_chord_m(fins)
    return smooth_step(mach, *TRANSONIC) * 4.0 * thickness**2 / beta * fins.count * fin_area_m2(fins)


def _lugs(lugs: Lugs, per_metre, roughness_m: float, mach: np.ndarray) -> np.ndarray:
    pressure = stagnation_ratio(mach)
    if lugs.kind == "button":
        return lugs.count * BUTTON_DRAG * pressure * lugs.diameter_m * lugs.length_m
    frontal = math.pi * lugs.diameter_m**2 / 4.0
    friction = mean_friction(per_metre * lugs.length_m, roughness_m, lugs.length_m, mach)
    return lugs.count * (LUG_DRAG * pressure * frontal + friction * math.pi * lugs.diameter_m * lugs.length_m)
