"""Turns an entry of the document into what the simulator flies: plain values, SI, radians."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from service.flight import recovery as device_physics
from service.flight.aerodynamics import aerodynamics, generic_aerodynamics, generic_airframe
from service.flight.airframe import Airframe as Shape
from service.flight.airframe import FinSet, Lugs, Nose, Transition
from service.flight.atmosphere import launch_day_air
from service.flight.bodies import side_area
from service.flight.errors import OutsideModel
from service.flight.gravity import normal_gravity_mps2
from service.flight.gusts import sigma_from_gust_mps
from service.flight.mass import MotorBody, mass_table
from service.flight.setup import Device, Guide, Setup
from service.flight.tables import Aerodynamics, Air, MassTable, Thrust, Wind
from service.flight.thrust import average_thrust_n, thrust_curve, total_impulse_ns
from service.flight.wind import TERRAIN, wind_from_layers
from service.models.conditions import SURFACE_HEIGHT_M, Conditions
from service.models.day import LaunchDay
from service.models.entry import Entry
from service.models.field import Pad
from service.models.motor import Motor
from service.models.rocket import Rocket

GUIDE_FRICTION = 0.1  # engineering estimate: lugs on a rod and buttons in a rail, 0.05 to 0.2
GENERIC_MARGIN_CAL = 2.0  # the middle of 1 to 3, which the dispersion draws from
LOWEST_READING_M = 0.5  # a wind given for the ground itself is taken as read at this height
KELVIN = 273.15
SOFT_KINDS = ("streamer", "helicopter", "glide", "tumble")  # their drag is less well known than a canopy's
LUG_LENGTH_SHARE = 0.08  # of the rocket: two lugs of this length in all (common practice)
HIGH_POWER_DIAMETER_M = 0.05  # from this diameter on, rail buttons rather than a lug


@dataclass(frozen=True)
class FlightInputs:
    """One entry, ready to fly, with what the dispersion needs beside it."""

    setup: Setup
    motor_thrust: Thrust
    impulse_ns: float
    average_thrust_n: float
    liftoff_mass_kg: float
    unknown_shape: bool
    lugs_taken: bool  # not stated: a usual place was taken for them
    soft_devices: tuple[bool, bool]
    gust_sigma_mps: float | None
    length_m: float
    diameter_m: float
    spreads: dict[str, float]


def shape_of(rocket: Rocket) -> Shape:
    """The airframe as the simulator knows it; lugs or buttons are added, since every rocket has them.

    Raises
    ------
    OutsideModel
        If the rocket has no airframe.
    """
    frame = rocket.airframe
    if frame is None:
        raise OutsideModel(f"{rocket.name} has no airframe to draw")
    return Shape(
        length_m=frame.length_m,
        diameter_m=frame.diameter_m,
        nose=Nose(frame.nose.shape, frame.nose.length_m, frame.nose.parameter),
        finish_um=frame.finish_um,
        transitions=tuple(
            Transition(t.from_nose_m, t.length_m, t.fore_diameter_m, t.aft_diameter_m) for t in frame.transitions
        ),
        fins=tuple(
            FinSet(
                f.count, f.root_chord_m, f.tip_chord_m, f.span_m, f.sweep_m, f.thickness_m, f.edge,
                f.leading_edge_from_nose_m,
            )
            for f in frame.fins
        ),
        lugs=_usual_lugs(frame.length_m, frame.diameter_m),
    )  # fmt: skip


def _usual_lugs(length_m: float, diameter_m: float) -> tuple[Lugs, ...]:
    """What holds the rocket to its guide, where nobody has said: common practice by size."""
    if diameter_m >= HIGH_POWER_DIAMETER_M:
        return (Lugs("button", 2, 0.010, 0.010),)
    return (Lugs("lug", 1, 0.1 * diameter_m + 0.003, LUG_LENGTH_SHARE * length_m),)


def air_of(conditions: Conditions, elevation_m: float) -> Air:
    """The day's air above the field."""
    return launch_day_air(
        elevation_m,
        conditions.temperature_c + KELVIN,
        conditions.pressure_hpa * 100.0,
        conditions.relative_humidity,
    )


def wind_of(conditions: Conditions, terrain: str) -> Wind:
    """The day's wind above the field."""
    return wind_from_layers(
        [max(level.height_m, LOWEST_READING_M) for level in conditions.wind],
        [level.speed_mps for level in conditions.wind],
        [math.radians(level.from_deg) for level in conditions.wind],
        TERRAIN[terrain],
        half_arc_rad=[math.radians(0.5 * (level.arc_deg or 0.0)) for level in conditions.wind],
    )


def gust_sigma_of(conditions: Conditions) -> float | None:
    """Turbulence that a gust reading near the ground speaks of; None without one. [m/s]"""
    for level in conditions.wind:
        if level.gust_mps is not None and level.height_m <= SURFACE_HEIGHT_M:
            return sigma_from_gust_mps(level.speed_mps, level.gust_mps)
    return None


def motor_thrust(motor: Motor) -> Thrust:
    """One motor's curve."""
    times, thrusts = zip(*motor.thrust_curve, strict=True)
    return thrust_curve(np.array(times), np.array(thrusts))


def masses_of(rocket: Rocket, motor: Motor, count: int, unlit: int = 0) -> MassTable:
    """Mass, balance and inertia as the motors burn. The nozzle stands flush with the tail."""
    length_m = rocket.overall_length_m
    cg_m = rocket.cg_from_nose_m if rocket.cg_from_nose_m is not None else 0.5 * length_m
    return mass_table(
        rocket.mass_kg,
        cg_m,
        length_m,
        rocket.overall_diameter_m,
        MotorBody(
            motor.loaded_mass_kg,
            motor.propellant_mass_kg,
            motor.length_m,
            motor.diameter_m,
            length_m,
            end_burner=motor.propellant == "black_powder",
        ),
        motor_count=count,
        unlit_count=unlit,
        dry_pitch_inertia_kgm2=rocket.pitch_inertia_kgm2,
    )


def _known_drag(rocket: Rocket) -> float | tuple[np.ndarray, np.ndarray] | None:
    drag = rocket.known.drag_coefficient
    if isinstance(drag, tuple):
        machs, values = zip(*drag, strict=True)
        return np.array(machs), np.array(values)
    return drag


def _devices(entry: Entry, side_m2: float, body_m2: float, spent_kg: float, density_kgm3: float) -> tuple[Device, ...]:
    """Recovery devices by drag area, in the order of their events."""
    devices: list[Device] = []
    already_m2 = body_m2
    for item in entry.recovery:
        if item.kind == "none" or item.deploy is None:
            continue
        if item.descent_speed_mps is not None:
            whole_m2 = device_physics.drag_area_for_speed_m2(spent_kg, item.descent_speed_mps, density_kgm3)
            area_m2 = max(whole_m2 - already_m2, 0.02 * whole_m2)
        else:
            area_m2 = device_physics.drag_area_m2(
                item.kind,
                diameter_m=item.diameter_m,
                length_m=item.length_m,
                width_m=item.width_m,
                side_area_m2=side_m2,
                drag_coefficient=item.effective_drag_coefficient,
            )
            if item.kind == "tumble":
                area_m2 = max(area_m2 - body_m2, 0.5 * area_m2)  # the body is what tumbles: not counted twice
        already_m2 += area_m2
        at = item.deploy
        if at.at == "motor_delay":
            value = float(entry.delay_s or 0.0)
        else:
            value = at.delay_s if at.at == "apogee" else at.altitude_m
        devices.append(Device(item.name, area_m2, at.at, value, item.glide_ratio or 0.0))
    return tuple(devices)


def flight_inputs(
    day: LaunchDay, entry: Entry, conditions: Conditions, *, unlit: int = 0, motor: Motor | None = None,
    pad: Pad | None = None,
) -> FlightInputs:  # fmt: skip
    """Everything the simulator needs for one entry.

    Parameters
    ----------
    day, entry, conditions
        The document's.
    unlit : int
        Motors of a cluster that stay unlit.
    motor, pad : optional
        To try in place of the entry's own.

    Raises
    ------
    OutsideModel
        If a value lies outside what the model holds for; the text names it.
    """
    motor = motor or day.motor_by_id(entry.motor)
    pad = pad or day.pad_by_name(entry.pad)
    rocket, count = entry.rocket, entry.motor_count
    air = air_of(conditions, day.field.elevation_m)
    mass = masses_of(rocket, motor, count, unlit)
    curve = motor_thrust(motor)
    length_m, diameter_m = rocket.overall_length_m, rocket.overall_diameter_m
    unknown_shape = rocket.airframe is None
    if unknown_shape:
        shape = generic_airframe(length_m, diameter_m)
        tables = generic_aerodynamics(
            length_m, diameter_m, GENERIC_MARGIN_CAL, float(mass.cg_from_nose_m[0]), _known_drag(rocket), air,
            motor.diameter_m, count,
        )  # fmt: skip
    else:
        shape = shape_of(rocket)
        known = rocket.known
        tables = aerodynamics(
            shape, air, motor.diameter_m, count, known.cn_alpha_per_rad, known.cp_from_nose_m, _known_drag(rocket)
        )
    correction = day.correction_of(rocket.name)
    if correction is not None:
        tables = scaled_drag(tables, correction.drag_factor)
    side_m2, _centroid_m = side_area(shape)
    body_m2 = device_physics.body_drag_area_m2(side_m2)
    spent_kg = float(mass.mass_kg[-1])
    devices = _devices(entry, side_m2, body_m2, spent_kg, float(air.density_kgm3[0]))
    lat_rad = math.radians(pad.position[1])
    cant_deg = sum(f.cant_deg for f in rocket.airframe.fins) if rocket.airframe else 0.0
    setup = Setup(
        aerodynamics=tables,
        thrust=Thrust(curve.time_s, curve.thrust_n * (count - unlit)),
        mass=mass,
        air=air,
        wind=wind_of(conditions, day.field.terrain),
        guide=guide_of(pad, rocket, float(mass.cg_from_nose_m[0])),
        devices=devices,
        body_drag_area_m2=body_m2,
        gravity_mps2=normal_gravity_mps2(lat_rad, day.field.elevation_m),
        gravity_falls=True,
        latitude_rad=lat_rad,
        thrust_offset_m=_unlit_offset_m(motor, count, unlit),
        fin_cant_rad=math.radians(cant_deg),
    )  # fmt: skip
    kinds = [item.kind for item in entry.recovery if item.kind != "none"]
    return FlightInputs(
        setup=setup,
        motor_thrust=curve,
        impulse_ns=count * total_impulse_ns(curve),
        average_thrust_n=count * average_thrust_n(curve),
        liftoff_mass_kg=float(mass.mass_kg[0]),
        unknown_shape=unknown_shape,
        lugs_taken=rocket.airframe is None or rocket.airframe.lugs_from_nose_m is None,
        soft_devices=(kinds[:1] != [] and kinds[0] in SOFT_KINDS, any(kind in SOFT_KINDS for kind in kinds[1:])),
        gust_sigma_mps=gust_sigma_of(conditions),
        length_m=length_m,
        diameter_m=diameter_m,
        spreads=dict(day.policy.spreads),
    )


def guide_of(pad: Pad, rocket: Rocket, cg_from_nose_m: float) -> Guide:
    """The guide as this rocket leaves it, standing with its aft end at the foot.

    Its attitude is held until the forward lug is off; with more than one it then tips about the last. Where the lugs
    are not stated, one at the loaded centre of gravity is taken (common practice: that is where a lone lug goes).

    Raises
    ------
    OutsideModel
        If the forward lug stands above the guide's end from the start.
    """
    lugs = rocket.airframe.lugs_from_nose_m if rocket.airframe else None
    first_m, last_m = (lugs[0], lugs[-1]) if lugs else (cg_from_nose_m, cg_from_nose_m)
    travel_m = pad.guide_length_m - (rocket.overall_length_m - first_m)
    if travel_m <= 0.0:
        where = "its forward lug" if lugs else "a lug at its centre of gravity"
        raise OutsideModel(
            f"the guide of {pad.name} is {pad.guide_length_m:g} m long and {where} stands "
            f"{rocket.overall_length_m - first_m:.2f} m above its foot: nothing holds the rocket"
        )
    return Guide(
        travel_m, math.radians(pad.tilt_deg), math.radians(pad.azimuth_deg), GUIDE_FRICTION,
        pivot_from_nose_m=last_m, pivot_travel_m=last_m - first_m,
    )  # fmt: skip


def scaled_drag(tables: Aerodynamics, factor: float) -> Aerodynamics:
    """The same rocket with its drag along the axis, burning and coasting, times a factor."""
    return replace(tables, axial_coasting=factor * tables.axial_coasting, axial_burning=factor * tables.axial_burning)


def _unlit_offset_m(motor: Motor, count: int, unlit: int) -> float:
    """How far the thrust line of the lit motors lies from the axis: they stand in a ring, touching. [m]"""
    if unlit == 0 or count < 2:
        return 0.0
    ring_m = 0.5 * motor.diameter_m / math.sin(math.pi / count)
    return ring_m / (count - 1)


def with_guide(inputs: FlightInputs, guide: Guide) -> FlightInputs:
    """The same flight from another guide."""
    return replace(inputs, setup=replace(inputs.setup, guide=guide))
