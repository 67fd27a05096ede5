"""The equations of motion in plain numpy, written apart from the kernel; see `plain`.

Forces act at their stations and turn the body by cross products, where the kernel has sums worked out by hand.
Tables are read along straight lines between their points.
"""

from __future__ import annotations

import math

import numpy as np

from .craft import Craft
from .dynamics import LEAST_RIGHTING
from .tables import MASS_COUNT, level_heights_m, mach_grid

HEIGHTS_M, MACHS, FRACTIONS = level_heights_m(), mach_grid(), np.linspace(0.0, 1.0, MASS_COUNT)
IDENTITY = np.eye(3)


def row_at(grid: np.ndarray, table: np.ndarray, x: float) -> np.ndarray:
    """A row of a table between its points; held at the ends."""
    x = min(max(x, grid[0]), grid[-1])
    i = min(int(np.searchsorted(grid, x, side="right")) - 1, grid.size - 2)
    return table[i] + (x - grid[i]) / (grid[i + 1] - grid[i]) * (table[i + 1] - table[i])


def cross_product(a, b) -> np.ndarray:
    """a x b of two plain triples; numpy's own takes ten times longer over shapes that are always (3,) here."""
    return np.array([a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]])


def delivered(craft: Craft, time_s: float) -> tuple[float, float]:
    """Thrust [N] and the fraction of the impulse delivered."""
    times, thrusts = craft.knot_s, craft.knot_n
    if time_s > times[-1]:
        return 0.0, 1.0
    thrust = float(np.interp(time_s, times, thrusts))
    i = min(int(np.searchsorted(times, time_s, side="right")) - 1, times.size - 2)
    impulse = craft.knot_ns[i] + 0.5 * (thrusts[i] + thrust) * (time_s - times[i])
    return thrust, float(impulse / craft.knot_ns[-1])


def mass_properties(craft: Craft, fraction: float):
    """Mass, centre of gravity, pitch and roll inertia."""
    mass, cg, pitch, roll = row_at(FRACTIONS, craft.mass, fraction)
    whole = mass + (craft.mass_scale - 1.0) * craft.dry_mass_kg
    return whole, cg + craft.cg_shift_m, pitch * whole / mass, roll * whole / mass


def body_rates(craft: Craft, burning: bool | None, time_s: float, y: np.ndarray) -> np.ndarray:
    """Rates of change of the 13 states. `burning` None: by the clock."""
    quaternion = y[6:10] / np.linalg.norm(y[6:10])
    w, vector = quaternion[0], quaternion[1:]
    turn = np.array([[0.0, -vector[2], vector[1]], [vector[2], 0.0, -vector[0]], [-vector[1], vector[0], 0.0]])
    to_world = IDENTITY + 2.0 * w * turn + 2.0 * turn @ turn
    density, sound, wind_e, wind_n = row_at(HEIGHTS_M, craft.levels, y[2])
    airflow = to_world.T @ (y[3:6] - np.array([wind_e, wind_n, 0.0]))
    speed = math.sqrt(airflow @ airflow)
    side = math.hypot(airflow[1], airflow[2])
    if burning is None:
        burning = time_s < craft.knot_s[-1]
    thrust, fraction = delivered(craft, time_s) if burning else (0.0, 1.0)
    mass, cg, inertia, roll_inertia = mass_properties(craft, fraction)
    cn, cn_x, cn_xx, coasting, powered, roll_force, roll_damping = row_at(MACHS, craft.aero, speed / sound)

    force, moment = np.zeros(3), np.zeros(3)
    q = 0.5 * density * speed**2
    if speed > 1e-9:
        sine, cosine = side / speed, airflow[0] / speed
        facing = min(max(cosine / math.cos(math.radians(30.0)), -1.0), 1.0)
        force[0] -= q * craft.area_m2 * (powered if burning else coasting) * craft.drag_scale * facing
        if side > 1e-12:
            against = np.array([0.0, -airflow[1], -airflow[2]]) / side
            fins = q * craft.area_m2 * cn * min(sine, craft.stall_sine) * against
            hull = q * craft.body_lift_area_m2 * sine**2 * against
            force += fins + hull
            ahead = cg - craft.cp_shift_m  # moving all of the lift aft
            righting = cross_product([ahead - cn_x / cn, 0.0, 0.0], fins) if cn != 0.0 else np.zeros(3)
            upset = cross_product([ahead - craft.body_lift_from_nose_m, 0.0, 0.0], hull)
            stable = cn != 0.0 and cn_x > cn * ahead and craft.stall_sine < 1.0
            if stable and (righting + upset) @ righting < LEAST_RIGHTING * righting @ righting:
                upset = (LEAST_RIGHTING - 1.0) * righting
            moment += righting + upset
    about = cg - craft.cp_shift_m
    spread = cn_xx - 2.0 * about * cn_x + about**2 * cn
    turning = 0.5 * density * speed * craft.area_m2 * spread
    if burning:
        i = min(int(fraction * (MASS_COUNT - 1)), MASS_COUNT - 2)
        inertia_slope = (craft.mass[i + 1, 2] - craft.mass[i, 2]) * (MASS_COUNT - 1)
        fraction_rate = thrust / craft.knot_ns[-1]
        lever = craft.nozzle_from_nose_m - cg
        turning += craft.propellant_mass_kg * fraction_rate * lever**2 + inertia_slope * fraction_rate
        push = thrust * np.array([1.0, craft.thrust_yaw, craft.thrust_pitch])
        force += push
        moment += cross_product([-lever, 0.0, craft.thrust_offset_m], push)
    rate = y[10:13]
    moment[0] += q * roll_force * craft.fin_cant_rad - 0.5 * density * speed * roll_damping * rate[0]
    moment[1:] -= turning * rate[1:]

    earth = np.array([0.0, craft.earth_north_radps, craft.earth_up_radps])
    gravity = craft.gravity_mps2 * (1.0 - craft.gravity_gradient_per_m * y[2])
    acceleration = to_world @ force / mass - np.array([0.0, 0.0, gravity]) - 2.0 * cross_product(earth, y[3:6])
    inertias = np.array([roll_inertia, inertia, inertia])
    spin = (moment - cross_product(rate, inertias * rate)) / inertias
    quaternion_rate = 0.5 * np.concatenate([[-vector @ rate], w * rate + cross_product(vector, rate)])
    return np.concatenate([y[3:6], acceleration, quaternion_rate, spin])


def guide_acceleration(craft: Craft, burning: bool | None, time_s: float, travel_m: float, speed_mps: float) -> float:
    """Acceleration along the guide, friction against forward motion. [m/s²]"""
    axis = np.array([craft.axis_east, craft.axis_north, craft.axis_up])
    density, sound, wind_e, wind_n = row_at(HEIGHTS_M, craft.levels, travel_m * axis[2])
    airflow = speed_mps * axis - np.array([wind_e, wind_n, 0.0])
    along = float(airflow @ axis)
    across = float(np.linalg.norm(airflow - along * axis))
    speed = math.hypot(along, across)
    if burning is None:
        burning = time_s < craft.knot_s[-1]
    thrust, fraction = delivered(craft, time_s) if burning else (0.0, 1.0)
    mass = mass_properties(craft, fraction)[0]
    aero = row_at(MACHS, craft.aero, speed / sound)
    drag = 0.5 * density * along * abs(along) * craft.area_m2 * (aero[4] if burning else aero[3]) * craft.drag_scale
    sine = across / speed if speed > 0.0 else 0.0
    lift = craft.area_m2 * aero[0] * min(sine, craft.stall_sine) + craft.body_lift_area_m2 * sine**2
    level = math.hypot(axis[0], axis[1])
    pressing = craft.gravity_mps2 * level + 0.5 * density * speed**2 * lift / mass
    return (thrust - drag) / mass - craft.gravity_mps2 * axis[2] - craft.guide_friction * pressing


def canopy_rates(craft: Craft, area_per_mass: float, y: np.ndarray) -> np.ndarray:
    """Rates of the six states of a point mass under its canopies."""
    density, _sound, wind_e, wind_n = row_at(HEIGHTS_M, craft.levels, y[2])
    airflow = y[3:6] - np.array([wind_e, wind_n, 0.0])
    earth = np.array([0.0, craft.earth_north_radps, craft.earth_up_radps])
    gravity = craft.gravity_mps2 * (1.0 - craft.gravity_gradient_per_m * y[2])
    drag = 0.5 * density * area_per_mass * math.sqrt(airflow @ airflow)
    return np.concatenate([y[3:6], -drag * airflow - [0.0, 0.0, gravity] - 2.0 * cross_product(earth, y[3:6])])


def tip_off_rates(craft: Craft, time_s: float, speed_mps: float, axis, quaternion) -> np.ndarray:
    """Rates of turn in body axes once the aft guide has followed the forward one off. (3,) [rad/s]"""
    if craft.pivot_travel_m <= 0.0:
        return np.zeros(3)
    mass, cg, inertia, _roll = mass_properties(craft, delivered(craft, time_s)[1])
    behind = craft.pivot_from_nose_m - cg
    torque = cross_product(behind * axis, np.array([0.0, 0.0, -mass * craft.gravity_mps2]))
    turn = torque / (inertia + mass * behind**2) * craft.pivot_travel_m / speed_mps
    w, vector = quaternion[0], -quaternion[1:]  # the other way round: world to body
    return turn + 2.0 * cross_product(vector, cross_product(vector, turn) + w * turn)
