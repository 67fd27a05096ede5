"""Fin sets: normal force, centre of pressure and roll over Mach, on one fin's plan and the body that carries it."""

from __future__ import annotations

import math

import numpy as np

from .airframe import FinSet
from .coefficients import bridged

TRANSONIC = (0.9, 1.2)  # between these Mach numbers neither theory holds

# Fins in each other's way, over N/2 times one fin: MIL-HDBK-762 style figures, from memory, not re-read.
CROWDING = {3: 1.0, 4: 1.0, 5: 0.95, 6: 0.91, 7: 0.85, 8: 0.81}


def fin_area_m2(fins: FinSet) -> float:
    """Area of one exposed fin. [m²]"""
    return fins.span_m * (fins.root_chord_m + fins.tip_chord_m) / 2.0


def mean_chord_m(fins: FinSet) -> float:
    """Mean aerodynamic chord. [m]"""
    cr, ct = fins.root_chord_m, fins.tip_chord_m
    return 2.0 / 3.0 * (cr + ct - cr * ct / (cr + ct))


def mean_chord_span_m(fins: FinSet) -> float:
    """Distance of the mean aerodynamic chord from the root. [m]"""
    cr, ct = fins.root_chord_m, fins.tip_chord_m
    return fins.span_m / 3.0 * (cr + 2.0 * ct) / (cr + ct)


def crowding(count: int) -> float:
    """Share of N/2 fins' force that N fins give together; past eight, more fins are taken to add nothing. [-]"""
    return CROWDING[count] if count <= 8 else CROWDING[8] * 8.0 / count


def panel_slope(fins: FinSet, reference_area_m2: float, mach) -> np.ndarray:
    """CN_alpha of one fin alone, over Mach. [1/rad]

    Subsonic by Diederich's semi-empirical formula, in which the Prandtl-Glauert factor enters once.
    Supersonic by linear theory of a rectangular panel, (4/beta)(1 - 1/(2 beta AR)) on its area, held at the
    slender-wing pi AR/2 that the subsonic formula reaches at Mach 1 until linear theory falls below
    it: from beta AR = 1.863 on. (Nearer to Mach 1 that formula rises past it, then turns negative.)
    Mach 0.9 to 1.2 is bridged smoothly and carries about 20 % either way.

    References
    ----------
    .. [1] Barrowman, 1967 thesis (subsonic). .. [2] NACA Report 1135 and slender-wing theory (closed forms).
    """
    return bridged(lambda at: _panel_slope(fins, at), mach, *TRANSONIC) / reference_area_m2


def _panel_slope(fins: FinSet, mach: np.ndarray) -> np.ndarray:
    beta = np.sqrt(np.abs(1.0 - mach**2))
    area, span2 = fin_area_m2(fins), fins.span_m**2
    cos_mid = fins.span_m / math.hypot(fins.span_m, fins.sweep_m + (fins.tip_chord_m - fins.root_chord_m) / 2.0)
    aspect = 2.0 * span2 / area
    subsonic = 2.0 * math.pi * span2 / (1.0 + np.sqrt(1.0 + (beta * span2 / (area * cos_mid)) ** 2))
    crossing = 4.0 / math.pi + math.sqrt(16.0 / math.pi**2 - 4.0 / math.pi)  # pi s² - 8 s + 4 = 0
    product = np.maximum(beta * aspect, crossing)
    supersonic = area * (4.0 * aspect / product) * (1.0 - 1.0 / (2.0 * product))
    return np.where(mach <= 1.0, subsonic, supersonic)


def body_interference(fins: FinSet, radius_m: float) -> float:
    """Gain of a fin in the presence of the body, 1 + r/(s + r). Barrowman, 1967 thesis. [-]"""
    return 1.0 + radius_m / (fins.span_m + radius_m)


def set_slope(fins: FinSet, radius_m: float, reference_area_m2: float, mach) -> np.ndarray:
    """CN_alpha of the whole set on its body, the same in every roll position, over Mach. [1/rad]"""
    factor = fins.count / 2.0 * crowding(fins.count) * body_interference(fins, radius_m)
    return factor * panel_slope(fins, reference_area_m2, mach)


def centre_of_pressure_m(fins: FinSet, mach) -> np.ndarray:
    """Station where the set's normal force acts, from the nose tip, over Mach. [m]

    A quarter of the mean chord up to Mach 1; supersonic (3 s - 2)/(6 s - 3) of it, s = beta AR, by linear theory
    of a rectangular panel, and from 1/4 in a straight line to the 1/3 that gives at s = 1. Mach 0.9 to 1.2 is
    bridged smoothly and carries about half a caliber either way.
    """
    share = bridged(lambda at: _pressure_share(fins, at), mach, *TRANSONIC)
    edge = fins.leading_edge_from_nose_m + fins.sweep_m * mean_chord_span_m(fins) / fins.span_m
    return edge + share * mean_chord_m(fins)


def _pressure_share(fins: FinSet, mach: np.ndarray) -> np.ndarray:
    aspect = 2.0 * fins.span_m**2 / fin_area_m2(fins)
    s = np.sqrt(np.maximum(mach**2 - 1.0, 0.0)) * aspect
    far = np.maximum(s, 1.0)
    return np.where(s < 1.0, 0.25 + s / 12.0, (3.0 * far - 2.0) / (6.0 * far - 3.0))


def roll_forcing_m3_per_rad(fins: FinSet, radius_m: float, reference_area_m2: float, mach) -> np.ndarray:
    """Roll moment per dynamic pressure and radian of cant of every fin, over Mach. [m³/rad]"""
    slope = crowding(fins.count) * panel_slope(fins, reference_area_m2, mach)
    return fins.count * slope * reference_area_m2 * (radius_m + mean_chord_span_m(fins))


def roll_damping_m4(fins: FinSet, radius_m: float, reference_area_m2: float, mach) -> np.ndarray:
    """Roll moment against the spin, per dynamic pressure and spin over speed, over Mach: strip theory. [m⁴]"""
    slope = crowding(fins.count) * panel_slope(fins, reference_area_m2, mach)
    return fins.count * slope * reference_area_m2 / fin_area_m2(fins) * chord_moment_m4(fins, radius_m)


def chord_moment_m4(fins: FinSet, radius_m: float) -> float:
    """Integral of chord times distance from the axis squared over one fin; closed form for a trapezoid. [m⁴]"""
    cr, ct, s, r = fins.root_chord_m, fins.tip_chord_m, fins.span_m, radius_m
    return (cr + ct) * r**2 * s / 2.0 + (cr + 2.0 * ct) * r * s**2 / 3.0 + (cr + 3.0 * ct) * s**3 / 12.0
