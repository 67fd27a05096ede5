"""Aerodynamic tables: computed from a shape, given by a tunnel or a flight, or guessed for an unseen rocket."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from . import drag
from .airframe import Airframe, FinSet, Nose
from .atmosphere import standard_air
from .bodies import body_parts, normal_force, radius_at_m, side_area
from .checks import increasing, not_negative, positive, series, within
from .errors import OutsideModel
from .fins import centre_of_pressure_m, roll_damping_m4, roll_forcing_m3_per_rad, set_slope
from .tables import MACH_COUNT, Aerodynamics, Air, mach_grid

BODY_LIFT_FACTOR = 1.1  # K of K (A_plan/A_ref) sin²; 1.0 to 1.5 after Galejs, hobby literature (from memory)
# Low-aspect fins let go at 15 to 25 degrees but keep a normal force coefficient near 1.2, as a plate across the flow
# does (Hoerner, Fluid-Dynamic Drag; from memory, not re-read): what their slope of about 2.4 reaches at 30 degrees.
STALL_RAD = math.radians(30.0)
KNOWN_AT_MACH = 0.3  # a single known figure is taken to hold here
GENERIC_FIN_SLOPE = 30.0  # the most normal force generic fins are given before they move aft instead [1/rad]
FORWARD_SHARE = 0.10  # of the normal force; more on forward fins and their downwash is no longer small

Curve = float | tuple  # a number, or (mach, value) arrays


@dataclass(frozen=True)
class NormalForce:
    """One part's normal force over the Mach grid. [1/rad], [m]; arrays of shape (151,)."""

    name: str
    slope_per_rad: np.ndarray
    station_m: np.ndarray


def normal_forces(airframe: Airframe, mach=None) -> list[NormalForce]:
    """Normal force of each part of the body and each fin set, over Mach (the shared grid if left out)."""
    mach = mach_grid() if mach is None else series("mach", mach)
    parts = []
    for part in body_parts(airframe):
        steady, station_m = normal_force(part, airframe.reference_area_m2)
        if steady != 0.0:
            parts.append(NormalForce(part.name, np.full(mach.shape, steady), np.full(mach.shape, station_m)))
    for i, fins in enumerate(airframe.fins):
        slope = set_slope(fins, _fin_radius_m(airframe, fins), airframe.reference_area_m2, mach)
        parts.append(NormalForce(f"fins[{i}]", slope, centre_of_pressure_m(fins, mach)))
    return parts


def aerodynamics(
    airframe: Airframe,
    air: Air,
    motor_diameter_m: float = 0.0,
    motor_count: int = 1,
    known_cn_alpha_per_rad: Curve | None = None,
    known_cp_from_nose_m: Curve | None = None,
    known_drag_coefficient: Curve | None = None,
) -> Aerodynamics:
    """The tables of a shape, by the Barrowman method and a drag build-up.

    Parameters
    ----------
    airframe : Airframe
    air : Air
        The day's; its lowest level sets the Reynolds numbers.
    motor_diameter_m, motor_count : float, int
        What the jets fill of the base. [m], [-]
    known_cn_alpha_per_rad, known_cp_from_nose_m : number or (mach, value), optional
        Override the computed. A number holds at Mach 0.3 and the computed change with Mach is kept about it.
    known_drag_coefficient : number or (mach, value), optional
        Overrides the build-up, burning or not, since that is what a flight-derived figure fits.

    Returns
    -------
    Aerodynamics

    Notes
    -----
    Small incidence, attached flow; downwash of a forward fin set on the aft one is left out, see
    `forward_fin_share`. Body lift K = 1.1 on the side area; normal force held past 30 degrees.

    References
    ----------
    .. [1] Barrowman, J. S., The Practical Calculation of the Aerodynamic Characteristics of Slender Finned
       Vehicles, M.S. thesis, Catholic University of America, 1967.
    """
    mach = mach_grid()
    parts = normal_forces(airframe)
    slope = np.sum([part.slope_per_rad for part in parts], axis=0)
    if not slope.min() > 0.0:
        raise OutsideModel("the normal force of the whole airframe is not above zero; the boattail outweighs the rest")
    first = np.sum([part.slope_per_rad * part.station_m for part in parts], axis=0)
    second = np.sum([part.slope_per_rad * part.station_m**2 for part in parts], axis=0)
    slope, first, second = _with_known(slope, first, second, known_cn_alpha_per_rad, known_cp_from_nose_m)
    if known_drag_coefficient is None:
        coasting = drag.drag_coefficient(airframe, mach, air, motor_diameter_m, motor_count, burning=False)
        burning = drag.drag_coefficient(airframe, mach, air, motor_diameter_m, motor_count, burning=True)
    else:
        coasting = _on_grid("drag_coefficient", known_drag_coefficient)
        burning = coasting.copy()
    area = airframe.reference_area_m2
    radii = [_fin_radius_m(airframe, fins) for fins in airframe.fins]
    sets = list(zip(airframe.fins, radii, strict=True))
    side, centroid = side_area(airframe)
    return Aerodynamics(
        diameter_m=airframe.diameter_m,
        cn_alpha_per_rad=slope,
        cn_alpha_x_m=first,
        cn_alpha_x2_m2=second,
        axial_coasting=coasting,
        axial_burning=burning,
        roll_forcing_m3_per_rad=sum((roll_forcing_m3_per_rad(f, r, area, mach) for f, r in sets), np.zeros(MACH_COUNT)),
        roll_damping_m4=sum((roll_damping_m4(f, r, area, mach) for f, r in sets), np.zeros(MACH_COUNT)),
        body_lift_area_m2=BODY_LIFT_FACTOR * side,
        body_lift_from_nose_m=centroid,
        stall_rad=STALL_RAD,
    )


def given_aerodynamics(
    diameter_m: float,
    cn_alpha_per_rad: Curve,
    cp_from_nose_m: Curve,
    axial_coasting: Curve,
    axial_burning: Curve | None = None,
    damping_sum_m2: Curve | None = None,
    damping_about_m: float = 0.0,
    body_lift_area_m2: float = 0.0,
    body_lift_from_nose_m: float = 0.0,
    roll_forcing_m3_per_rad: Curve = 0.0,
    roll_damping_m4: Curve = 0.0,
    stall_rad: float = math.pi / 2,
) -> Aerodynamics:
    """The tables from given coefficients: a wind tunnel's, a flight's, another calculation's.

    Parameters
    ----------
    diameter_m : float
        Reference diameter of all coefficients. [m]
    cn_alpha_per_rad, cp_from_nose_m, axial_coasting, axial_burning : number or (mach, value)
        Values between are on straight lines, outside held. Burning is as coasting where left out.
    damping_sum_m2 : number or (mach, value), optional
        Sum of CN_alpha,i (X_i - c)² about the station c = `damping_about_m`. Left out, all the normal
        force acts at the centre of pressure, the least damping it can have. [m²]
    body_lift_area_m2, body_lift_from_nose_m : float
        K times the side area, and its centroid; 0 leaves body lift out. [m²], [m]
    """
    positive("diameter_m", diameter_m, "m")
    not_negative("body_lift_area_m2", body_lift_area_m2, "m²")
    within("stall_rad", stall_rad, 1e-3, math.pi / 2, "rad")
    slope = _on_grid("cn_alpha_per_rad", cn_alpha_per_rad)
    cp = _on_grid("cp_from_nose_m", cp_from_nose_m)
    coasting = _on_grid("axial_coasting", axial_coasting)
    burning = coasting.copy() if axial_burning is None else _on_grid("axial_burning", axial_burning)
    first = slope * cp
    if damping_sum_m2 is None:
        second = slope * cp**2
    else:
        c = damping_about_m
        second = _on_grid("damping_sum_m2", damping_sum_m2) + 2.0 * c * first - c**2 * slope
    return Aerodynamics(
        diameter_m=float(diameter_m),
        cn_alpha_per_rad=slope,
        cn_alpha_x_m=first,
        cn_alpha_x2_m2=second,
        axial_coasting=coasting,
        axial_burning=burning,
        roll_forcing_m3_per_rad=_on_grid("roll_forcing_m3_per_rad", roll_forcing_m3_per_rad),
        roll_damping_m4=_on_grid("roll_damping_m4", roll_damping_m4),
        body_lift_area_m2=float(body_lift_area_m2),
        body_lift_from_nose_m=float(body_lift_from_nose_m),
        stall_rad=float(stall_rad),
    )


def generic_airframe(length_m: float, diameter_m: float) -> Airframe:
    """A finned airframe such as one of this length and diameter mostly is: ogive nose of 3 calibers, four fins
    of one caliber span and 1.5 root at the tail, ordinary paint, rounded edges (common practice). A stubby one has
    its nose and fins no longer than 0.3 and 0.25 of it."""
    positive("diameter_m", diameter_m, "m")
    if not positive("length_m", length_m, "m") >= diameter_m:
        raise OutsideModel(f"length_m is {length_m:g} m, less than the diameter, {diameter_m:g} m")
    d = diameter_m
    root = min(1.5 * d, 0.25 * length_m)
    fins = FinSet(4, root, root / 2.0, d, root / 2.0, min(0.06 * d, 0.005), "rounded", length_m - root)
    return Airframe(length_m, d, Nose("ogive", min(3.0 * d, 0.3 * length_m)), 60.0, (), (fins,), ())


def generic_aerodynamics(
    length_m: float,
    diameter_m: float,
    static_margin_cal: float,
    cg_from_nose_m: float,
    drag_coefficient: Curve | None = None,
    air: Air | None = None,
    motor_diameter_m: float = 0.0,
    motor_count: int = 1,
) -> Aerodynamics:
    """The tables of a rocket nobody has described: `generic_airframe` with its fins made to fit a static margin.

    The fins' force is scaled until the centre of pressure at Mach 0.3 lies `static_margin_cal` diameters behind
    `cg_from_nose_m`; where that would take more than 30 per radian the fins move aft, as swept ones reach.
    The air, standard at sea level if left out, only sets the Reynolds numbers.

    Raises
    ------
    OutsideModel
        If the centre of pressure asked for lies ahead of what a nose alone has, or more than a diameter past the tail.
    """
    airframe = generic_airframe(length_m, diameter_m)
    within("cg_from_nose_m", cg_from_nose_m, 0.0, length_m, "m")
    within("static_margin_cal", static_margin_cal, -2.0, 10.0, "calibers")
    greatest = generic_margin_limit_cal(length_m, diameter_m, cg_from_nose_m)
    if static_margin_cal > greatest:
        raise OutsideModel(
            f"a static margin of {static_margin_cal:g} calibers behind {cg_from_nose_m:g} m is more than fins on a "
            f"rocket {length_m:g} m long reach, {greatest:.2f}; the margin or the centre of gravity is too far aft"
        )
    target = cg_from_nose_m + static_margin_cal * diameter_m
    body, fins = normal_forces(airframe, [KNOWN_AT_MACH])
    nose_slope, nose_m = float(body.slope_per_rad[0]), float(body.station_m[0])
    if not target > nose_m:
        raise OutsideModel(
            f"a centre of pressure {target:g} m from the nose tip is ahead of the nose's own, {nose_m:g} m; "
            "no fins at the tail do that"
        )
    fin_m = float(fins.station_m[0])
    shift = max(0.0, target + nose_slope * (target - nose_m) / GENERIC_FIN_SLOPE - fin_m)
    scale = nose_slope * (target - nose_m) / (fin_m + shift - target) / float(fins.slope_per_rad[0])
    air = standard_air() if air is None else air
    base = aerodynamics(airframe, air, motor_diameter_m, motor_count, known_drag_coefficient=drag_coefficient)
    body, fins = normal_forces(airframe)
    slope, station = scale * fins.slope_per_rad, fins.station_m + shift
    return replace(
        base,
        cn_alpha_per_rad=body.slope_per_rad + slope,
        cn_alpha_x_m=body.slope_per_rad * body.station_m + slope * station,
        cn_alpha_x2_m2=body.slope_per_rad * body.station_m**2 + slope * station**2,
        roll_forcing_m3_per_rad=scale * base.roll_forcing_m3_per_rad,
        roll_damping_m4=scale * base.roll_damping_m4,
    )


def generic_margin_limit_cal(length_m: float, diameter_m: float, cg_from_nose_m: float) -> float:
    """The greatest static margin `generic_aerodynamics` can give: fins of 30 per radian acting a diameter past the
    tail. [calibers]"""
    nose = normal_forces(generic_airframe(length_m, diameter_m), [KNOWN_AT_MACH])[0]
    share = float(nose.slope_per_rad[0]) / GENERIC_FIN_SLOPE
    farthest = (length_m + diameter_m + share * float(nose.station_m[0])) / (1.0 + share)
    return (farthest - cg_from_nose_m) / diameter_m


def centre_of_pressure(tables: Aerodynamics, mach: float = KNOWN_AT_MACH) -> float:
    """Centre of pressure from the nose tip at a Mach number, body lift left out. [m]"""
    grid = mach_grid()
    first = np.interp(mach, grid, tables.cn_alpha_x_m)
    return float(first / np.interp(mach, grid, tables.cn_alpha_per_rad))


def static_margin_cal(tables: Aerodynamics, cg_from_nose_m: float, mach: float = KNOWN_AT_MACH) -> float:
    """Centre of pressure behind the centre of gravity, in reference diameters. [-]"""
    return (centre_of_pressure(tables, mach) - cg_from_nose_m) / tables.diameter_m


def forward_fin_share(airframe: Airframe) -> float:
    """Share of the normal force that fin sets ahead of the last one carry; above 0.10 the computed centre of
    pressure is too far aft, since their downwash on the last set is left out. [-]"""
    parts = normal_forces(airframe, [KNOWN_AT_MACH])
    whole = sum(float(part.slope_per_rad[0]) for part in parts)
    sets = sorted((p for p in parts if p.name.startswith("fins")), key=lambda p: float(p.station_m[0]))
    return sum(float(part.slope_per_rad[0]) for part in sets[:-1]) / whole


def _fin_radius_m(airframe: Airframe, fins: FinSet) -> float:
    return radius_at_m(airframe, fins.leading_edge_from_nose_m + fins.root_chord_m / 2.0)


def _on_grid(name: str, value: Curve) -> np.ndarray:
    """A number or (mach, value) on the shared grid, values held outside."""
    if isinstance(value, tuple | list):
        if len(value) != 2:
            raise OutsideModel(f"{name} has {len(value)} parts; a number, or Mach numbers and values, is wanted")
        machs, values = increasing(f"{name} mach", value[0]), series(name, value[1])
        if machs.size != values.size:
            raise OutsideModel(f"{name} has {machs.size} Mach numbers and {values.size} values; as many of each")
        return np.interp(mach_grid(), machs, values)
    array = series(name, value)
    if array.size == MACH_COUNT:
        return array.copy()
    if array.size != 1:
        raise OutsideModel(f"{name} has {array.size} values; one, or {MACH_COUNT} on the Mach grid, is wanted")
    return np.full(MACH_COUNT, array[0])


def _with_known(slope, first, second, known_slope: Curve | None, known_cp: Curve | None):
    """Put known figures in place, keeping the shape over Mach and the spread of the force along the body."""
    if known_slope is None and known_cp is None:
        return slope, first, second
    cp = first / slope
    spread = second / slope - cp**2
    if known_slope is not None:
        wanted = _on_grid("cn_alpha_per_rad", known_slope)
        if not wanted.min() > 0.0:
            raise OutsideModel(f"cn_alpha_per_rad reaches {wanted.min():g}; it needs to be above zero")
        here = np.interp(KNOWN_AT_MACH, mach_grid(), slope)
        slope = slope * wanted[0] / here if np.ndim(known_slope) == 0 else wanted
    if known_cp is not None:
        wanted = _on_grid("cp_from_nose_m", known_cp)
        here = np.interp(KNOWN_AT_MACH, mach_grid(), cp)
        cp = cp + (wanted[0] - here) if np.ndim(known_cp) == 0 else wanted
    return slope, slope * cp, slope * (spread + cp**2)
