"""What the kernel reads during one flight, packed for compiled code, and the names of what it writes.

State, 14 numbers: east, north, up [m]; velocity east, north, up [m/s]; quaternion w, x, y, z of axes that turn with
the nose but do not roll; spin p about the axis and rates q, r about the other two of those axes [rad/s]; roll angle of
the body in them [rad]. The x axis points forward along the body.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

# columns of the packed tables
DENSITY, SOUND, EAST, NORTH = range(4)
CN, CNX, CNXX, CA_COAST, CA_BURN, ROLL_FORCING, ROLL_DAMPING = range(7)
MASS, CG, PITCH_INERTIA, ROLL_INERTIA = range(4)

# how a device is set off
AT_MOTOR_DELAY, AT_APOGEE, AT_ALTITUDE = range(3)

# how the flight ended
OK, NO_LIFTOFF, NOT_FINITE, TOO_FAST, TOO_HIGH, TOO_LONG = range(6)


class Craft(NamedTuple):
    """One flight's tables and numbers. Arrays are read only, except `levels` and the knots, which a sample perturbs."""

    levels: np.ndarray  # (801, 4) density, sound speed, wind east, wind north
    aero: np.ndarray  # (151, 7)
    mass: np.ndarray  # (65, 4)
    knot_s: np.ndarray  # (n,) times of the thrust curve
    knot_n: np.ndarray  # (n,) thrust there
    knot_ns: np.ndarray  # (n,) impulse delivered until there
    diameter_m: float
    area_m2: float  # pi d²/4
    body_lift_area_m2: float
    body_lift_from_nose_m: float
    stall_sine: float
    propellant_mass_kg: float
    dry_mass_kg: float
    nozzle_from_nose_m: float
    gravity_mps2: float
    gravity_gradient_per_m: float  # 2/R where gravity falls with height, else 0
    earth_north_radps: float  # earth rate along north and up; 0 switches Coriolis off
    earth_up_radps: float
    guide_length_m: float
    guide_friction: float
    pivot_from_nose_m: float  # the aft guide, about which the rocket turns once the forward one is off
    pivot_travel_m: float  # between the two letting go; 0 where there is but one
    axis_east: float
    axis_north: float
    axis_up: float
    # what a sample changes
    drag_scale: float
    mass_scale: float
    cg_shift_m: float
    cp_shift_m: float
    thrust_pitch: float  # direction of the thrust in body axes: small angles [rad]
    thrust_yaw: float
    thrust_offset_m: float  # sideways offset of the thrust line (an unlit motor of a cluster)
    roll_start_rad: float  # how the body stands round its axis on the guide
    fin_cant_rad: float
    step_scale: float  # 1 in production; smaller for convergence tests


FIGURES = (
    "liftoff_s",
    "guide_end_s",
    "exit_speed_mps",
    "exit_airspeed_mps",
    "exit_incidence_rad",
    "exit_margin_cal",
    "exit_thrust_to_weight",
    "least_margin_cal",
    "burnout_s",
    "burnout_height_m",
    "burnout_speed_mps",
    "apogee_s",
    "apogee_m",
    "apogee_east_m",
    "apogee_north_m",
    "apogee_speed_mps",
    "greatest_speed_mps",
    "greatest_mach",
    "greatest_acceleration_mps2",
    "greatest_pressure_pa",
    "greatest_incidence_rad",
    "deploy_s",
    "deploy_height_m",
    "deploy_airspeed_mps",
)
LANDING = ("east_m", "north_m", "time_s", "down_mps", "across_mps", "opened", "first_speed_mps", "second_open_mps")
HISTORY = (
    "time_s",
    "east_m",
    "north_m",
    "height_m",
    "east_mps",
    "north_mps",
    "up_mps",
    "axis_east",
    "axis_north",
    "axis_up",
    "airspeed_mps",
    "mach",
    "incidence_rad",
    "thrust_n",
    "mass_kg",
    "margin_cal",
    "acceleration_mps2",
)
