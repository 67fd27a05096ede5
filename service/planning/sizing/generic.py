"""A rocket that stands for an impulse class where nobody has said more: sized by common practice to its motor."""

from __future__ import annotations

from service.models.day import LaunchDay
from service.models.designation import class_bounds_ns
from service.models.entry import Entry, Flyer
from service.models.field import Pad
from service.models.motor import AdjustableDelay, Motor
from service.models.recovery import AtAltitude, AtApogee, Recovery
from service.models.rocket import Mount, Rocket

# Common practice throughout; the same sizes that the simulator's own trial flights use.
STANDARD_GRAVITY_MPS2 = 9.80665  # exact, 3rd CGPM 1901
THRUST_TO_WEIGHT = 8.0  # between 5, asked for in rules, and 14
LEAST_OVER_MOTOR = 1.6  # lift-off mass over that of the loaded motor
DIAMETER_M = 0.05  # of a rocket of one kilogram, growing with the cube root
SLENDERNESS = 16.0
MOUNT_WALL_M = 0.003
DESCENT_MPS = 5.0  # under a model's canopy or a main; 15 to 20 ft/s is 4.6 to 6.1 m/s
DROGUE_MPS = 22.0  # 50 to 100 ft/s is 15 to 30 m/s
MAIN_AT_M = 180.0  # 300 to 1,000 ft is 91 to 305 m
TWO_EVENTS_FROM_NS = class_bounds_ns("I")[0]  # from the I class on a drogue and a main
BURN_S = (0.3, 0.28)  # burn time over impulse: 0.3 s times impulse to this power
SPECIFIC_IMPULSE_S = 190.0  # of composite propellant
BLACK_POWDER_S = 80.0
BLACK_POWDER_UP_TO_NS = 20.0


def class_motor(day: LaunchDay, letter: str) -> tuple[Motor, str]:
    """The strongest single motor on offer in a class, else one made up; and which it is, in words."""
    offered = [motor for motor in day.motors if motor.letter == letter]
    if offered:
        motor = max(offered, key=lambda each: (each.impulse_ns, each.id))
        return motor, f"the strongest {letter} motor on offer, {motor.maker} {motor.designation}"
    return _made_up(letter), f"no {letter} motor is on offer: one of the class's middle impulse, made up"


def _made_up(letter: str) -> Motor:
    low_ns, high_ns = class_bounds_ns(letter)
    impulse_ns = 0.75 * high_ns if low_ns else 0.7 * high_ns
    burn_s = round(BURN_S[0] * impulse_ns ** BURN_S[1] * 2.0, 2)
    thrust_n = impulse_ns / (0.95 * burn_s)
    black = impulse_ns <= BLACK_POWDER_UP_TO_NS
    propellant_kg = impulse_ns / ((BLACK_POWDER_S if black else SPECIFIC_IMPULSE_S) * STANDARD_GRAVITY_MPS2)
    diameter_m = max(0.013, 0.0085 * impulse_ns**0.25)
    return Motor.model_construct(
        id=f"class-{letter.replace('/', '-')}", maker="made up", designation=f"{letter}{max(1, round(thrust_n))}",
        case="single_use", casing=None, propellant="black_powder" if black else "composite", diameter_m=diameter_m,
        length_m=max(0.045, 6.0 * diameter_m), loaded_mass_kg=1.9 * propellant_kg, propellant_mass_kg=propellant_kg,
        thrust_curve=((0.0, 0.0), (0.05 * burn_s, thrust_n), (0.95 * burn_s, thrust_n), (burn_s, 0.0)),
        delays=AdjustableDelay(kind="adjustable", longest_s=10.0, shortest_s=2.0, step_s=1.0), effect=None, price=None,
        stock=None,
    )  # fmt: skip


def generic_entry(
    motor: Motor,
    pad: Pad,
    name: str,
    *,
    mass_kg: float | None = None,
    diameter_m: float | None = None,
    length_m: float | None = None,
    canopy_diameter_m: float | None = None,
) -> tuple[Entry, str]:
    """An entry for a motor; what is not stated is sized by common practice. And what it rests on, in words.

    `mass_kg` is the mass without the motor.
    """
    liftoff_kg = max(
        motor.average_thrust_n / (THRUST_TO_WEIGHT * STANDARD_GRAVITY_MPS2), LEAST_OVER_MOTOR * motor.loaded_mass_kg
    )
    dry_kg = mass_kg if mass_kg is not None else liftoff_kg - motor.loaded_mass_kg
    whole_kg = dry_kg + motor.loaded_mass_kg
    across_m = diameter_m or max(DIAMETER_M * whole_kg ** (1.0 / 3.0), motor.diameter_m + MOUNT_WALL_M)
    long_m = length_m or max(SLENDERNESS * across_m, 1.8 * motor.length_m)
    rocket = Rocket(
        name=name, length_m=long_m, diameter_m=across_m, mass_kg=dry_kg,
        mount=Mount(diameter_m=min(motor.diameter_m, across_m), length_m=min(max(motor.length_m, 0.01), long_m)),
    )  # fmt: skip
    two = motor.impulse_ns > TWO_EVENTS_FROM_NS
    flyer = Flyer(name="any flyer", adult=True, certification=3)
    entry = Entry(
        id="class", flyer=flyer, rocket=rocket, motor=motor.id, pad=pad.name, recovery=_recovery(two, canopy_diameter_m)
    )
    said = [
        f"{whole_kg:.3g} kg at lift-off" + ("" if mass_kg is not None else f" (thrust to weight {THRUST_TO_WEIGHT:g})"),
        f"{1000.0 * across_m:.0f} mm across", f"{long_m:.2g} m long",
        f"canopy of {canopy_diameter_m:g} m" if canopy_diameter_m else f"landing at {DESCENT_MPS:g} m/s",
        f"drogue at {DROGUE_MPS:g} m/s from the apogee, main at {MAIN_AT_M:g} m" if two else "opening at the apogee",
    ]  # fmt: skip
    return entry, ", ".join(said)


def _recovery(two: bool, canopy_m: float | None) -> tuple[Recovery, ...]:
    at_apogee = AtApogee(at="apogee")
    size = {"diameter_m": canopy_m} if canopy_m else {"descent_speed_mps": DESCENT_MPS}
    if not two:
        return (Recovery(name="canopy", kind="parachute", deploy=at_apogee, **size),)
    return (
        Recovery(name="drogue", kind="parachute", deploy=at_apogee, descent_speed_mps=DROGUE_MPS),
        Recovery(name="main", kind="parachute", deploy=AtAltitude(at="altitude", altitude_m=MAIN_AT_M), **size),
    )
