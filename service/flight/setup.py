"""Everything one flight needs, as plain values, and its packing for the kernel."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from .constants import EARTH_RADIUS_US76_M, EARTH_RATE_RADPS, STANDARD_GRAVITY_MPS2
from .craft import AT_ALTITUDE, AT_APOGEE, AT_MOTOR_DELAY, Craft
from .errors import OutsideModel
from .tables import LEVEL_COUNT, MACH_COUNT, MASS_COUNT, Aerodynamics, Air, MassTable, Thrust, Wind

TRIGGERS = {"motor_delay": AT_MOTOR_DELAY, "apogee": AT_APOGEE, "altitude": AT_ALTITUDE}


@dataclass(frozen=True)
class Guide:
    """Rod, rail or tower. Tilt is from the vertical, azimuth clockwise from true north. [m, rad, rad, -]

    `length_m` is the travel until the last lug, button or slot that holds the attitude lets go. Where a second one
    stays on for another `pivot_travel_m`, the rocket tips about it, at `pivot_from_nose_m`. [m]
    """

    length_m: float
    tilt_rad: float = 0.0
    azimuth_rad: float = 0.0
    friction: float = 0.0
    pivot_from_nose_m: float = 0.0
    pivot_travel_m: float = 0.0


@dataclass(frozen=True)
class Device:
    """One recovery device.

    `trigger` is ``motor_delay`` (value: seconds after the end of thrust), ``apogee`` (seconds after it) or
    ``altitude`` (height above the field in metres, on the way down). `glide_ratio` above zero means it may come
    down anywhere within ratio times height of where it opened.
    """

    name: str
    drag_area_m2: float
    trigger: str
    value: float
    glide_ratio: float = 0.0


@dataclass(frozen=True)
class Setup:
    """One flight: vehicle, air and launcher. See `service.flight.simulate` for a worked example."""

    aerodynamics: Aerodynamics
    thrust: Thrust
    mass: MassTable
    air: Air
    wind: Wind
    guide: Guide
    devices: tuple[Device, ...] = ()
    body_drag_area_m2: float = 0.0
    gravity_mps2: float = STANDARD_GRAVITY_MPS2
    gravity_falls: bool = False  # with the square of the distance from the earth's centre
    latitude_rad: float | None = None  # given: the Coriolis acceleration is included
    thrust_offset_m: float = 0.0
    fin_cant_rad: float = 0.0
    step_scale: float = field(default=1.0)  # smaller for convergence checks

    def axis(self) -> tuple[float, float, float]:
        """Unit vector along the guide, east, north, up."""
        level = math.sin(self.guide.tilt_rad)
        return (
            level * math.sin(self.guide.azimuth_rad),
            level * math.cos(self.guide.azimuth_rad),
            math.cos(self.guide.tilt_rad),
        )


def _column_block(name: str, columns: list[np.ndarray], rows: int) -> np.ndarray:
    for number, column in enumerate(columns):
        if np.shape(column) != (rows,):
            raise OutsideModel(f"{name}: column {number} has shape {np.shape(column)}; ({rows},) is needed")
        if not np.all(np.isfinite(column)):
            raise OutsideModel(f"{name}: column {number} holds a value that is not finite")
    return np.ascontiguousarray(np.column_stack(columns), dtype=float)


def pack(setup: Setup) -> Craft:
    """Check a setup and lay it out for the kernel.

    Raises
    ------
    OutsideModel
        If a table has the wrong shape or a value that is not finite, the thrust curve does not start at zero or
        run forward, a mass is not positive, or the guide is not a positive length within 90° of the vertical.
    """
    aero, mass, thrust, guide = setup.aerodynamics, setup.mass, setup.thrust, setup.guide
    time_s, thrust_n = np.asarray(thrust.time_s, float), np.asarray(thrust.thrust_n, float)
    if time_s.ndim != 1 or time_s.shape != thrust_n.shape or time_s.size < 2:
        raise OutsideModel("thrust: times and thrusts need to be two lists of one length, two points or more")
    if not (np.all(np.isfinite(time_s)) and np.all(np.isfinite(thrust_n)) and np.all(thrust_n >= 0.0)):
        raise OutsideModel("thrust: every time and thrust needs to be finite, no thrust below zero")
    if time_s[0] != 0.0 or not np.all(np.diff(time_s) > 0.0):
        raise OutsideModel("thrust: times need to start at 0 s and increase")
    impulse_ns = np.concatenate([[0.0], np.cumsum(0.5 * (thrust_n[1:] + thrust_n[:-1]) * np.diff(time_s))])
    if not impulse_ns[-1] > 0.0:
        raise OutsideModel("thrust: the curve delivers no impulse")
    if not (guide.length_m > 0.0 and math.isfinite(guide.length_m) and abs(guide.tilt_rad) < math.pi / 2):
        raise OutsideModel(
            f"guide: length {guide.length_m:g} m needs to be above zero, tilt {guide.tilt_rad:g} rad within pi/2"
        )
    if not (math.isfinite(guide.pivot_from_nose_m) and 0.0 <= guide.pivot_travel_m < math.inf):
        raise OutsideModel("guide: the aft guide needs a finite station and a travel of 0 m or more")
    for number, device in enumerate(setup.devices):
        if not (device.drag_area_m2 > 0.0 and math.isfinite(device.drag_area_m2) and device.value >= 0.0):
            raise OutsideModel(f"devices[{number}]: drag area above 0 m² and a delay or height of 0 or more are needed")
        if device.trigger not in TRIGGERS:
            raise OutsideModel(f"devices[{number}]: trigger {device.trigger!r}; one of {', '.join(TRIGGERS)} is needed")
    levels = _column_block(
        "air and wind",
        [setup.air.density_kgm3, setup.air.sound_mps, setup.wind.east_mps, setup.wind.north_mps],
        LEVEL_COUNT,
    )
    if not np.all(levels[:, :2] > 0.0):
        raise OutsideModel("air: density and speed of sound need to be above zero at every height")
    coefficients = _column_block(
        "aerodynamics",
        [
            aero.cn_alpha_per_rad,
            aero.cn_alpha_x_m,
            aero.cn_alpha_x2_m2,
            aero.axial_coasting,
            aero.axial_burning,
            aero.roll_forcing_m3_per_rad,
            aero.roll_damping_m4,
        ],
        MACH_COUNT,
    )
    masses = _column_block(
        "mass", [mass.mass_kg, mass.cg_from_nose_m, mass.pitch_inertia_kgm2, mass.roll_inertia_kgm2], MASS_COUNT
    )
    if not (np.all(masses[:, [0, 2, 3]] > 0.0) and aero.diameter_m > 0.0):
        raise OutsideModel("mass: mass and inertias, and the reference diameter, need to be above zero")
    east, north, up = setup.axis()
    rate = (0.0, 0.0)
    if setup.latitude_rad is not None:
        rate = (EARTH_RATE_RADPS * math.cos(setup.latitude_rad), EARTH_RATE_RADPS * math.sin(setup.latitude_rad))
    return Craft(
        levels=levels,
        aero=coefficients,
        mass=masses,
        knot_s=np.ascontiguousarray(time_s),
        knot_n=np.ascontiguousarray(thrust_n),
        knot_ns=impulse_ns,
        diameter_m=float(aero.diameter_m),
        area_m2=0.25 * math.pi * float(aero.diameter_m) ** 2,
        body_lift_area_m2=float(aero.body_lift_area_m2),
        body_lift_from_nose_m=float(aero.body_lift_from_nose_m),
        stall_sine=math.sin(min(aero.stall_rad, math.pi / 2)),
        propellant_mass_kg=float(mass.propellant_mass_kg),
        dry_mass_kg=float(mass.dry_mass_kg),
        nozzle_from_nose_m=float(mass.nozzle_from_nose_m),
        gravity_mps2=float(setup.gravity_mps2),
        gravity_gradient_per_m=2.0 / EARTH_RADIUS_US76_M if setup.gravity_falls else 0.0,
        earth_north_radps=rate[0],
        earth_up_radps=rate[1],
        guide_length_m=float(guide.length_m),
        guide_friction=float(guide.friction),
        pivot_from_nose_m=float(guide.pivot_from_nose_m),
        pivot_travel_m=float(guide.pivot_travel_m),
        axis_east=east,
        axis_north=north,
        axis_up=up,
        drag_scale=1.0,
        mass_scale=1.0,
        cg_shift_m=0.0,
        cp_shift_m=0.0,
        thrust_pitch=0.0,
        thrust_yaw=0.0,
        thrust_offset_m=float(setup.thrust_offset_m),
        roll_start_rad=0.0,
        fin_cant_rad=float(setup.fin_cant_rad),
        step_scale=float(setup.step_scale),
    )


def pack_devices(setup: Setup) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Drag areas [m²], triggers and values of the devices, in their order."""
    return (
        np.array([device.drag_area_m2 for device in setup.devices], dtype=float),
        np.array([TRIGGERS[device.trigger] for device in setup.devices], dtype=np.int64),
        np.array([device.value for device in setup.devices], dtype=float),
    )


def flown_modes(setup: Setup) -> np.ndarray:
    """Which of planned, no_deployment, drogue_only, main_at_apogee this flight has. shape (4,) of bool"""
    return np.array([True, True, len(setup.devices) > 1, len(setup.devices) > 1])
