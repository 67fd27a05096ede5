"""Nose shapes: the outline that volume, area and centre of pressure are taken from, and its wave drag."""

from __future__ import annotations

import math

import numpy as np

from .airframe import Nose, nose_parameter
from .coefficients import smooth_step, stagnation_ratio

OUTLINE_PANELS = 400
TRANSONIC = (0.8, 1.2)  # wave drag rises between these Mach numbers
# Wave drag of a slender tangent ogive over that of the von Karman nose, slender-body theory;
# 7/6 exactly for the tangent parabola, which a slender ogive is
OGIVE_SLENDER_RATIO = 7.0 / 6.0


def nose_outline(nose: Nose, base_diameter_m: float) -> tuple[np.ndarray, np.ndarray]:
    """Stations and radii from tip to base, closer together at both ends; two arrays of shape (401,). [m], [m]

    Shapes in xi = x/L and base radius R: cone R xi; tangent ogive, an arc of radius (R²+L²)/2R; ellipsoid
    R sqrt(1-(1-xi)²); parabolic R (2 xi - K xi²)/(2-K); power R xi^n; Haack
    R sqrt((th - sin(2 th)/2 + C sin³ th)/pi), th = acos(1 - 2 xi). All closed forms.
    """
    radius_m = base_diameter_m / 2.0
    theta = np.linspace(0.0, math.pi, OUTLINE_PANELS + 1)
    xi = 0.5 * (1.0 - np.cos(theta))
    value = nose_parameter(nose)
    if nose.shape == "cone":
        share = xi
    elif nose.shape == "ogive":
        arc = (radius_m**2 + nose.length_m**2) / (2.0 * radius_m)
        run = nose.length_m * (1.0 - xi)
        share = (np.sqrt(arc**2 - run**2) + radius_m - arc) / radius_m
    elif nose.shape == "ellipsoid":
        share = np.sqrt(np.maximum(0.0, 1.0 - (1.0 - xi) ** 2))
    elif nose.shape == "parabolic":
        share = (2.0 * xi - value * xi**2) / (2.0 - value)
    elif nose.shape == "power":
        share = xi**value
    else:
        share = np.sqrt(np.maximum(0.0, theta - np.sin(2.0 * theta) / 2.0 + value * np.sin(theta) ** 3) / math.pi)
    share = np.clip(share, 0.0, None)
    share[0], share[-1] = 0.0, 1.0
    return nose.length_m * xi, radius_m * share


def joint_angle_rad(nose: Nose, base_diameter_m: float) -> float:
    """Half angle of the nose where it meets the body; zero for shapes that run in smoothly. [rad]"""
    slope = base_diameter_m / (2.0 * nose.length_m)
    value = nose_parameter(nose)
    if nose.shape == "power":
        return math.atan(value * slope)
    if nose.shape == "parabolic":
        return math.atan(slope * (2.0 - 2.0 * value) / (2.0 - value))
    return math.atan(slope) if nose.shape == "cone" else 0.0


def cone_wave_drag(mach, length_over_diameter):
    """Wave drag of a cone on its base area, supersonic: (1.59 + 1.83/M²) atan(0.5/(L/d))^1.69. [-]

    Within -4 to +8 % of exact conical flow for half angles of 5 to 20 degrees and Mach 1.2 to 3, and kept
    below what stagnation pressure over the whole base would give.

    References
    ----------
    .. [1] Fleeman, E. L., Tactical Missile Design, body wave drag (from memory, not re-read); after Bonney.
    """
    angle = np.arctan(0.5 / np.asarray(length_over_diameter, dtype=float))
    return np.minimum((1.59 + 1.83 / np.asarray(mach, dtype=float) ** 2) * angle**1.69, stagnation_ratio(mach))


def slender_wave_drag(nose: Nose, base_diameter_m: float) -> float | None:
    """Slender-body wave drag on base area, the same at every Mach number; None for shapes it does not hold for.

    von Karman's least is (d/L)²; a Haack nose of parameter C has 1 + 9 C²/8 times as much, a tangent
    ogive 7/6 times. The theory wants a pointed tip and no corner at the joint.
    """
    ratio2 = (base_diameter_m / nose.length_m) ** 2
    value = nose_parameter(nose)
    if nose.shape == "haack":
        return (1.0 + 1.125 * value**2) * ratio2
    if nose.shape in ("ogive", "parabolic"):
        return OGIVE_SLENDER_RATIO * ratio2
    return None


def nose_pressure_drag(nose: Nose, base_diameter_m: float, mach: np.ndarray) -> np.ndarray:
    """Pressure drag of the nose on its base area over Mach; array of the shape of mach. [-]

    Subsonic: 0.8 sin² of the joint angle (Hoerner, Fluid-Dynamic Drag, 1965; from memory, not re-read).
    Supersonic: the cone fit, no more than slender-body theory where that holds, no less than Newtonian
    impact on blunt tips. Between Mach 0.8 and 1.2 a smooth rise. An engineering estimate, good to about
    30 % off the cone and the von Karman shape.
    """
    mach = np.asarray(mach, dtype=float)
    subsonic = 0.8 * math.sin(joint_angle_rad(nose, base_diameter_m)) ** 2
    fast = np.maximum(mach, TRANSONIC[1])
    rise = smooth_step(mach, *TRANSONIC)
    return subsonic + rise * (np.maximum(_supersonic(nose, base_diameter_m, fast), subsonic) - subsonic)


def _supersonic(nose: Nose, base_diameter_m: float, mach: np.ndarray) -> np.ndarray:
    cone = cone_wave_drag(mach, nose.length_m / base_diameter_m)
    value = nose_parameter(nose)
    slender = slender_wave_drag(nose, base_diameter_m)
    if nose.shape == "cone":
        return cone
    if slender is not None:
        # a parabola of K' below 1 keeps a corner at the joint: part cone
        smooth = value if nose.shape == "parabolic" else 1.0
        return (1.0 - smooth) * cone + smooth * np.minimum(cone, slender)
    impact = stagnation_ratio(mach) * _impact_share(nose, base_diameter_m)
    if nose.shape == "ellipsoid":
        return impact
    # power series: least near n = 3/4 (engineering reading of supersonic nose tests, from memory)
    return np.maximum(impact, cone * float(np.interp(value, [0.5, 0.75, 1.0], [1.0, 0.85, 1.0])))


def _impact_share(nose: Nose, base_diameter_m: float) -> float:
    """Mean of sin² of the surface slope over the base area: modified Newtonian pressure drag per stagnation Cp."""
    x, r = nose_outline(nose, base_diameter_m)
    rise, run = np.diff(r), np.diff(x)
    area = np.diff(r**2) / r[-1] ** 2
    return float(np.sum(rise**2 / (rise**2 + run**2) * area))
