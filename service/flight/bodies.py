"""The body of revolution: its outline, its normal force by slender-body theory, its areas."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from .airframe import Airframe
from .nose import nose_outline


@dataclass(frozen=True)
class BodyPart:
    """A stretch of the body: `name`, outline (stations and radii from the nose tip, arrays of one shape)."""

    name: str
    station_m: np.ndarray
    radius_m: np.ndarray


def body_parts(airframe: Airframe) -> list[BodyPart]:
    """Nose, tubes and transitions in order from the tip."""
    x, r = nose_outline(airframe.nose, airframe.nose_base_diameter_m)
    parts = [BodyPart("nose", x, r)]
    at, radius = airframe.nose.length_m, airframe.nose_base_diameter_m / 2.0
    for part in airframe.transitions:
        if part.from_nose_m > at:
            parts.append(_stretch("tube", at, part.from_nose_m, radius, radius))
        end, aft = part.from_nose_m + part.length_m, part.aft_diameter_m / 2.0
        name = "shoulder" if part.aft_diameter_m >= part.fore_diameter_m else "boattail"
        parts.append(_stretch(name, part.from_nose_m, end, part.fore_diameter_m / 2.0, aft))
        at, radius = end, aft
    if airframe.length_m > at:
        parts.append(_stretch("tube", at, airframe.length_m, radius, radius))
    return parts


def volume_m3(part: BodyPart) -> float:
    """Volume of a part, conical between the points of its outline. [m³]"""
    r0, r1 = part.radius_m[:-1], part.radius_m[1:]
    return float(np.sum(math.pi / 3.0 * (r0**2 + r0 * r1 + r1**2) * np.diff(part.station_m)))


def wetted_area_m2(part: BodyPart) -> float:
    """Outside surface of a part. [m²]"""
    slant = np.hypot(np.diff(part.station_m), np.diff(part.radius_m))
    return float(np.sum(math.pi * (part.radius_m[:-1] + part.radius_m[1:]) * slant))


def normal_force(part: BodyPart, reference_area_m2: float) -> tuple[float, float]:
    """CN_alpha of a part and the station where it acts. [1/rad], [m]

    Slender-body theory: CN_alpha = 2 (A1 - A0) / A_ref at x0 + (l A1 - Vol) / (A1 - A0); nothing where the
    area does not change.

    References
    ----------
    .. [1] Barrowman, J. S., The Practical Calculation of the Aerodynamic Characteristics of Slender Finned
       Vehicles, M.S. thesis, Catholic University of America, 1967.
    """
    fore, aft = math.pi * part.radius_m[0] ** 2, math.pi * part.radius_m[-1] ** 2
    length = part.station_m[-1] - part.station_m[0]
    if abs(aft - fore) < 1e-9 * reference_area_m2:
        return 0.0, float(part.station_m[0] + length / 2.0)
    station = part.station_m[0] + (length * aft - volume_m3(part)) / (aft - fore)
    return float(2.0 * (aft - fore) / reference_area_m2), float(station)


def side_area(airframe: Airframe) -> tuple[float, float]:
    """Side projection of the body without fins, and the station of its centroid. [m²], [m]"""
    area = moment = 0.0
    for part in body_parts(airframe):
        x0, x1 = part.station_m[:-1], part.station_m[1:]
        r0, r1 = part.radius_m[:-1], part.radius_m[1:]
        step = (r0 + r1) * (x1 - x0)
        centre = x0 + (x1 - x0) * (r0 + 2.0 * r1) / np.maximum(3.0 * (r0 + r1), 1e-300)
        area += float(np.sum(step))
        moment += float(np.sum(step * centre))
    return area, moment / area


def radius_at_m(airframe: Airframe, station_m: float) -> float:
    """Body radius at a station. [m]"""
    parts = body_parts(airframe)
    return float(
        np.interp(
            station_m,
            np.concatenate([part.station_m for part in parts]),
            np.concatenate([part.radius_m for part in parts]),
        )
    )


def _stretch(name: str, start_m: float, end_m: float, fore_m: float, aft_m: float) -> BodyPart:
    return BodyPart(name, np.array([start_m, end_m]), np.array([fore_m, aft_m]))
