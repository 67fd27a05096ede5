"""Recovery devices: drag area, descent speed, inflation and the load of opening."""

from __future__ import annotations

import math
from dataclasses import dataclass

from .atmosphere import standard_state
from .checks import not_negative, positive, within
from .constants import STANDARD_GRAVITY_MPS2
from .errors import OutsideModel

STANDARD_DENSITY_KGM3 = 1.225  # U.S. Standard Atmosphere, 1976, sea level
KNACKE = "Knacke, Parachute Recovery Systems Design Manual, NWC TP 6575, 1991 (from memory, not re-read)"
ESTIMATE = "engineering estimate; the spread of the dispersion is widened for it"
BODY_SHARE = 0.35  # drag area of a body under its canopy over its side area: it swings and hangs (engineering)
TUMBLE_DRAG = 0.7  # on side area; a cylinder in cross flow, 1.1 to 1.2, averaged over attitudes (from memory)
INFLATION_STEPS = 400


@dataclass(frozen=True)
class DragRange:
    """A default drag coefficient, the range it is taken from, its area and its source."""

    low: float
    default: float
    high: float
    area: str
    source: str


@dataclass(frozen=True)
class Canopy:
    """A canopy type: drag coefficient on the nominal area, opening force coefficient, fill constant."""

    low: float
    high: float
    opening: float
    fill: float
    source: str = KNACKE


DRAG = {
    "parachute": DragRange(0.60, 0.75, 0.90, "nominal cloth area, pi D0² / 4, vent included", KNACKE),
    "streamer": DragRange(0.10, 0.20, 0.30, "one side of the strip", ESTIMATE),
    "helicopter": DragRange(0.80, 1.00, 1.20, "the disc the blades sweep", ESTIMATE),
    "tumble": DragRange(0.60, TUMBLE_DRAG, 0.80, "side projection of body and fins", ESTIMATE),
}
CANOPIES = {
    "flat_circular": Canopy(0.75, 0.80, 1.75, 8.0),
    "conical": Canopy(0.75, 0.90, 1.8, 8.0),
    "hemispherical": Canopy(0.62, 0.77, 1.6, 8.0),
    "annular": Canopy(0.85, 0.95, 1.4, 9.0),
    "cruciform": Canopy(0.60, 0.85, 1.15, 10.0),
    "ribbon": Canopy(0.45, 0.65, 1.05, 14.0),
    "parasheet": Canopy(0.70, 0.80, 1.8, 7.0),
}


@dataclass(frozen=True)
class OpeningLoad:
    """Opening of a canopy on a finite mass: greatest drag [N], when [s], and speed at full inflation [m/s]."""

    peak_n: float
    peak_time_s: float
    end_speed_mps: float


def drag_area_m2(
    kind: str,
    *,
    diameter_m: float | None = None,
    length_m: float | None = None,
    width_m: float | None = None,
    side_area_m2: float | None = None,
    drag_coefficient: float | None = None,
    descent_speed_mps: float | None = None,
    mass_kg: float | None = None,
) -> float:
    """Drag area Cd S of a device from what is known of it.

    Parameters
    ----------
    kind : str
        parachute, streamer, helicopter, tumble, glide or none.
    diameter_m : float, optional
        Nominal diameter of a parachute; swept diameter of a helicopter. [m]
    length_m, width_m : float, optional
        Of a streamer. [m]
    side_area_m2 : float, optional
        Side projection of a tumbling body with its fins. [m²]
    drag_coefficient : float, optional
        On the area named in `DRAG`; its default if left out. [-]
    descent_speed_mps, mass_kg : float, optional
        A stated speed at standard density, and all that comes down at it; goes before sizes. [m/s], [kg]

    Returns
    -------
    float
        0 for ``none``. [m²]

    Raises
    ------
    OutsideModel
        If the kind is not known, or what it needs is missing or not positive.
    """
    if kind == "none":
        return 0.0
    if kind not in DRAG and kind != "glide":
        raise OutsideModel(f"recovery kind is '{kind}'; one of {', '.join(DRAG)}, glide, none is wanted")
    if descent_speed_mps is not None:
        return drag_area_for_speed_m2(_need(kind, "mass_kg", mass_kg, "kg"), descent_speed_mps)
    if kind == "glide":
        raise OutsideModel("a glide needs its descent_speed_mps")
    coefficient = DRAG[kind].default if drag_coefficient is None else drag_coefficient
    within("drag_coefficient", coefficient, 0.01, 3.0, "")
    if kind == "streamer":
        area = _need(kind, "length_m", length_m, "m") * _need(kind, "width_m", width_m, "m")
    elif kind == "tumble":
        area = _need(kind, "side_area_m2", side_area_m2, "m²")
    else:
        area = math.pi * _need(kind, "diameter_m", diameter_m, "m") ** 2 / 4.0
    return coefficient * area


def drag_area_for_speed_m2(mass_kg: float, speed_mps: float, density_kgm3: float = STANDARD_DENSITY_KGM3) -> float:
    """Drag area that lets a mass down at a speed: 2 m g / (rho v²). [kg], [m/s], [kg/m³] -> [m²]"""
    positive("mass_kg", mass_kg, "kg")
    within("speed_mps", speed_mps, 0.1, 340.0, "m/s")
    positive("density_kgm3", density_kgm3, "kg/m³")
    return 2.0 * mass_kg * STANDARD_GRAVITY_MPS2 / (density_kgm3 * speed_mps**2)


def descent_speed_mps(mass_kg: float, drag_area_m2: float, height_msl_m: float = 0.0) -> float:
    """Steady descent speed in the standard atmosphere: drag balances weight, v = sqrt(2 m g / (rho Cd S)).

    Parameters
    ----------
    mass_kg : float
        Everything that comes down together, propellant gone. [kg]
    drag_area_m2 : float
        Of everything that is open, the body's own included. [m²]
    height_msl_m : float
        Above mean sea level. [m]

    Raises
    ------
    OutsideModel
        If mass or drag area is not positive, or the height is outside the atmosphere.

    Examples
    --------
    >>> round(descent_speed_mps(10.0, 4.0, 0.0), 2)
    6.33
    """
    if not (mass_kg > 0.0 and drag_area_m2 > 0.0):
        raise OutsideModel(f"mass {mass_kg:g} kg and drag area {drag_area_m2:g} m² both need to be above zero")
    density = standard_state(height_msl_m).density_kgm3
    return math.sqrt(2.0 * mass_kg * STANDARD_GRAVITY_MPS2 / (density * drag_area_m2))


def canopy_diameter_m(
    mass_kg: float, speed_mps: float, drag_coefficient: float = 0.75, density_kgm3: float = STANDARD_DENSITY_KGM3
) -> float:
    """Nominal diameter of the canopy that lets a mass down at a speed. [m]"""
    positive("drag_coefficient", drag_coefficient, "")
    area = drag_area_for_speed_m2(mass_kg, speed_mps, density_kgm3)
    return math.sqrt(4.0 * area / (math.pi * drag_coefficient))


def body_drag_area_m2(side_area_m2: float) -> float:
    """Drag area the body adds under a canopy: 0.35 of its side area (engineering estimate). [m²]"""
    return BODY_SHARE * not_negative("side_area_m2", side_area_m2, "m²")


def inflation_time_s(diameter_m: float, speed_mps: float, fill_constant: float = 8.0) -> float:
    """Filling time, n D0 / v, v the speed when the lines draw taut. [m], [m/s], [-] -> [s]

    References
    ----------
    .. [1] Knacke, NWC TP 6575, 1991, section 5 (from memory, not re-read).
    """
    positive("diameter_m", diameter_m, "m")
    positive("fill_constant", fill_constant, "")
    return fill_constant * diameter_m / positive("speed_mps", speed_mps, "m/s")


def opening_load_bound_n(
    drag_area_m2: float, speed_mps: float, density_kgm3: float = STANDARD_DENSITY_KGM3, opening_coefficient: float = 1.8
) -> float:
    """Opening force if the canopy did not slow the load while filling (infinite mass), q Cd S Cx: the upper bound.

    References
    ----------
    .. [1] Knacke, NWC TP 6575, 1991, section 5 (from memory, not re-read).
    """
    positive("drag_area_m2", drag_area_m2, "m²")
    not_negative("speed_mps", speed_mps, "m/s")
    positive("density_kgm3", density_kgm3, "kg/m³")
    positive("opening_coefficient", opening_coefficient, "")
    return 0.5 * density_kgm3 * speed_mps**2 * drag_area_m2 * opening_coefficient


def ballistic_parameter(
    mass_kg: float, drag_area_m2: float, speed_mps: float, inflation_s: float, density_kgm3: float
) -> float:
    """2 m / (Cd S rho v t_f): far above 100 the infinite-mass bound is the load, near 1 well under half of it. [-]"""
    return 2.0 * mass_kg / (drag_area_m2 * density_kgm3 * speed_mps * inflation_s)


def opening_load(
    mass_kg: float,
    drag_area_m2: float,
    speed_mps: float,
    inflation_s: float,
    density_kgm3: float = STANDARD_DENSITY_KGM3,
    growth: float = 2.0,
) -> OpeningLoad:
    """Opening of a canopy that slows its load as it fills, falling straight down.

    Drag area grows with (t/t_f)^growth: 2 for solid cloth, 1 for ribbons (Knacke; from memory, not re-read).
    m dv/dt = m g - rho v² Cd S (t/t_f)^growth / 2, by fourth-order Runge-Kutta in 400 steps.
    """
    positive("mass_kg", mass_kg, "kg")
    positive("drag_area_m2", drag_area_m2, "m²")
    positive("inflation_s", inflation_s, "s")
    positive("density_kgm3", density_kgm3, "kg/m³")
    within("growth", growth, 0.5, 4.0, "")
    speed = not_negative("speed_mps", speed_mps, "m/s")

    def drag_n(time_s: float, v: float) -> float:
        return 0.5 * density_kgm3 * drag_area_m2 * (time_s / inflation_s) ** growth * v * v

    def slowing(time_s: float, v: float) -> float:
        return STANDARD_GRAVITY_MPS2 - drag_n(time_s, v) / mass_kg

    step = inflation_s / INFLATION_STEPS
    peak, peak_time = 0.0, 0.0
    for i in range(INFLATION_STEPS):
        t = i * step
        k1 = slowing(t, speed)
        k2 = slowing(t + step / 2.0, speed + step / 2.0 * k1)
        k3 = slowing(t + step / 2.0, speed + step / 2.0 * k2)
        k4 = slowing(t + step, speed + step * k3)
        speed += step / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4)
        if not 0.0 <= speed < 1e4:
            raise OutsideModel(
                "the canopy is too large for its load to follow the opening; a longer filling time is wanted"
            )
        force = drag_n(t + step, speed)
        if force > peak:
            peak, peak_time = force, t + step
    return OpeningLoad(peak, peak_time, speed)


def _need(kind: str, name: str, value: float | None, unit: str) -> float:
    if value is None:
        raise OutsideModel(f"a {kind} needs its {name}")
    return positive(name, value, unit)
