"""Six-degree-of-freedom rates of change, and one Runge-Kutta step. Compiled; no checks: the faces check.

Rigid body, flat earth, quaternion attitude, wind included. The body is alike all round its axis, so the axes used
turn with its nose but do not roll with it: how far it has rolled is a state of its own that only the thrust line asks
for, and a fast spin costs no short steps. Normal force CN_alpha sin(alpha) up to the stall at the
centre of pressure, cross-flow body lift K A sin²(alpha) at the centroid of the side area, axial force along the
body, pitch damping about the moving centre of gravity, jet damping, roll forcing and damping by the fins.

References
----------
J. S. Barrowman, The Practical Calculation of the Aerodynamic Characteristics of Slender Finned Vehicles, 1967.
B. Etkin, Dynamics of Atmospheric Flight, Wiley 1972, chapter 5 (rigid-body equations; from memory, not re-read).
"""

from __future__ import annotations

import math

from .compiled import helper, inlined
from .craft import (
    CA_BURN,
    CA_COAST,
    CG,
    CN,
    CNX,
    CNXX,
    DENSITY,
    EAST,
    MASS,
    NORTH,
    PITCH_INERTIA,
    ROLL_DAMPING,
    ROLL_FORCING,
    ROLL_INERTIA,
    SOUND,
)
from .tables import LEVEL_COUNT, LEVEL_SCALE_M, MACH_COUNT, MACH_STEP, MASS_COUNT

COS_30 = math.sqrt(0.75)
# At large incidence the cross-flow on a long body can outweigh its fins, and the rocket would slide back tail first at
# a fifth of the speed. Few do, and the return that does harm is the one nose down: fins that right the rocket at small
# incidence are taken to keep this much of their moment at any (for the sake of caution, not a measured figure).
LEAST_RIGHTING = 0.2

# what `rates` notes beside the rates: read by the stepper, the extremes and the history
AIRSPEED, MACH, SINE, THRUST, LIVE_MASS, MARGIN, PRESSURE, STIFFNESS, SPIN_DAMPING = range(9)


@inlined
def level_index(height_m):
    """Cell of the height grid and the fraction across it: z_i = scale i²."""
    if not height_m > 0.0:
        return 0, 0.0
    i = int(math.sqrt(height_m / LEVEL_SCALE_M))
    if i > LEVEL_COUNT - 2:
        return LEVEL_COUNT - 2, 1.0
    return i, (height_m - LEVEL_SCALE_M * i * i) / (LEVEL_SCALE_M * (2 * i + 1))


@inlined
def mach_index(mach):
    """Cell of the Mach grid and the fraction across it; held at the ends."""
    i = int(mach / MACH_STEP)
    if i > MACH_COUNT - 2:
        return MACH_COUNT - 2, 1.0
    return i, mach / MACH_STEP - i


@inlined
def thrust_and_fraction(craft, segment, time_s):
    """Thrust [N] and delivered fraction of impulse [-] inside one straight piece of the curve."""
    if segment >= craft.knot_s.shape[0] - 1:
        return 0.0, 1.0
    since_s = time_s - craft.knot_s[segment]
    start_n = craft.knot_n[segment]
    slope = (craft.knot_n[segment + 1] - start_n) / (craft.knot_s[segment + 1] - craft.knot_s[segment])
    impulse_ns = craft.knot_ns[segment] + since_s * (start_n + 0.5 * slope * since_s)
    return start_n + slope * since_s, impulse_ns / craft.knot_ns[-1]


@inlined
def mass_index(fraction):
    """Cell of the mass table and the fraction across it."""
    place = min(max(fraction, 0.0), 1.0) * (MASS_COUNT - 1)
    i = min(int(place), MASS_COUNT - 2)
    return i, place - i


@inlined
def is_uneven(craft):
    """Whether thrust leans or stands off the axis, so that it matters how far the body has rolled."""
    return craft.thrust_pitch != 0.0 or craft.thrust_yaw != 0.0 or craft.thrust_offset_m != 0.0


@inlined
def rates(craft, segment, time_s, y):
    """Rates of change of the 14 states, and side results by the names above. States and rates are tuples."""
    east_mps, north_mps, up_mps = y[3], y[4], y[5]
    i, f = level_index(y[2])
    levels = craft.levels
    density = levels[i, DENSITY] + f * (levels[i + 1, DENSITY] - levels[i, DENSITY])
    sound = levels[i, SOUND] + f * (levels[i + 1, SOUND] - levels[i, SOUND])
    air_e = east_mps - (levels[i, EAST] + f * (levels[i + 1, EAST] - levels[i, EAST]))
    air_n = north_mps - (levels[i, NORTH] + f * (levels[i + 1, NORTH] - levels[i, NORTH]))

    w, a, b, c = y[6], y[7], y[8], y[9]
    r11, r12, r13 = 1.0 - 2.0 * (b * b + c * c), 2.0 * (a * b - w * c), 2.0 * (a * c + w * b)
    r21, r22, r23 = 2.0 * (a * b + w * c), 1.0 - 2.0 * (a * a + c * c), 2.0 * (b * c - w * a)
    r31, r32, r33 = 2.0 * (a * c - w * b), 2.0 * (b * c + w * a), 1.0 - 2.0 * (a * a + b * b)
    along = r11 * air_e + r21 * air_n + r31 * up_mps
    side_y = r12 * air_e + r22 * air_n + r32 * up_mps
    side_z = r13 * air_e + r23 * air_n + r33 * up_mps
    side_squared = side_y * side_y + side_z * side_z
    side = math.sqrt(side_squared)
    speed = math.sqrt(along * along + side_squared)
    per_speed = 1.0 / speed if speed > 1e-9 else 0.0
    sine, cosine = side * per_speed, along * per_speed
    pressure = 0.5 * density * speed * speed

    mach = speed / sound
    j, g = mach_index(mach)
    aero = craft.aero
    area = craft.area_m2
    cn = aero[j, CN] + g * (aero[j + 1, CN] - aero[j, CN])
    cnx = aero[j, CNX] + g * (aero[j + 1, CNX] - aero[j, CNX])
    cnxx = aero[j, CNXX] + g * (aero[j + 1, CNXX] - aero[j, CNXX])
    forcing = aero[j, ROLL_FORCING] + g * (aero[j + 1, ROLL_FORCING] - aero[j, ROLL_FORCING])
    roll_damping = aero[j, ROLL_DAMPING] + g * (aero[j + 1, ROLL_DAMPING] - aero[j, ROLL_DAMPING])

    table = craft.mass
    thrust, jet = 0.0, 0.0
    if segment < craft.knot_s.shape[0] - 1:
        ca = aero[j, CA_BURN] + g * (aero[j + 1, CA_BURN] - aero[j, CA_BURN])
        thrust, fraction = thrust_and_fraction(craft, segment, time_s)
        n, h = mass_index(fraction)
        listed_kg = table[n, MASS] + h * (table[n + 1, MASS] - table[n, MASS])
        inertia_step = table[n + 1, PITCH_INERTIA] - table[n, PITCH_INERTIA]
        inertia = table[n, PITCH_INERTIA] + h * inertia_step
        roll_inertia = table[n, ROLL_INERTIA] + h * (table[n + 1, ROLL_INERTIA] - table[n, ROLL_INERTIA])
        cg = table[n, CG] + h * (table[n + 1, CG] - table[n, CG]) + craft.cg_shift_m
        # jet damping: mdot l² and the fall of the inertia, both by impulse delivered
        lever = craft.nozzle_from_nose_m - cg
        jet = (craft.propellant_mass_kg * lever * lever + inertia_step * (MASS_COUNT - 1)) * thrust / craft.knot_ns[-1]
    else:
        ca = aero[j, CA_COAST] + g * (aero[j + 1, CA_COAST] - aero[j, CA_COAST])
        listed_kg, inertia = table[MASS_COUNT - 1, MASS], table[MASS_COUNT - 1, PITCH_INERTIA]
        roll_inertia = table[MASS_COUNT - 1, ROLL_INERTIA]
        cg = table[MASS_COUNT - 1, CG] + craft.cg_shift_m
        lever = craft.nozzle_from_nose_m - cg
    mass_kg = listed_kg + (craft.mass_scale - 1.0) * craft.dry_mass_kg
    heavier = mass_kg / listed_kg
    inertia, roll_inertia = inertia * heavier, roll_inertia * heavier
    aero_cg = cg - craft.cp_shift_m  # moving every centre of pressure aft is moving the cg forward, for the air

    # normal force and its moment about the centre of gravity
    lift = area * min(sine, craft.stall_sine)
    body_lift = craft.body_lift_area_m2 * sine * sine
    body_arm = craft.body_lift_from_nose_m - aero_cg
    arm = cnx - cn * aero_cg
    normal = pressure * (cn * lift + body_lift)
    righting = lift * arm
    moment_area = righting + body_lift * body_arm
    if righting > 0.0 and craft.stall_sine < 1.0:  # given tables without a stall are flown as given
        moment_area = max(moment_area, LEAST_RIGHTING * righting)
    turning = pressure * moment_area
    unit_y, unit_z = 0.0, 0.0
    if side > 1e-12:
        per_side = 1.0 / side
        unit_y, unit_z = side_y * per_side, side_z * per_side
    half_flow = 0.5 * density * speed
    damping = half_flow * area * (cnxx - aero_cg * (2.0 * cnx - aero_cg * cn)) + jet
    axial = -pressure * area * ca * craft.drag_scale * min(max(cosine / COS_30, -1.0), 1.0)

    # what is not the same all round the body turns with it
    thrust_y, thrust_z, offset_y, offset_z = 0.0, 0.0, 0.0, 0.0
    if thrust > 0.0 and is_uneven(craft):
        cos_roll, sin_roll = math.cos(y[13]), math.sin(y[13])
        thrust_y = thrust * (craft.thrust_yaw * cos_roll - craft.thrust_pitch * sin_roll)
        thrust_z = thrust * (craft.thrust_yaw * sin_roll + craft.thrust_pitch * cos_roll)
        offset_y, offset_z = -craft.thrust_offset_m * sin_roll, craft.thrust_offset_m * cos_roll
    per_kg = 1.0 / mass_kg
    force_x = (axial + thrust) * per_kg
    force_y = (thrust_y - normal * unit_y) * per_kg
    force_z = (thrust_z - normal * unit_z) * per_kg
    gravity = craft.gravity_mps2 * (1.0 - craft.gravity_gradient_per_m * y[2])
    north, up = craft.earth_north_radps, craft.earth_up_radps

    p, q, r = y[10], y[11], y[12]
    per_inertia, per_roll_inertia = 1.0 / inertia, 1.0 / roll_inertia
    spin_damping = half_flow * roll_damping
    roll = pressure * forcing * craft.fin_cant_rad - spin_damping * p + offset_y * thrust_z - offset_z * thrust_y
    pitch = offset_z * thrust + lever * thrust_z - turning * unit_z - damping * q
    yaw = turning * unit_y - lever * thrust_y - offset_y * thrust - damping * r
    gyro = roll_inertia * p
    change = (
        east_mps,
        north_mps,
        up_mps,
        r11 * force_x + r12 * force_y + r13 * force_z - 2.0 * (north * up_mps - up * north_mps),
        r21 * force_x + r22 * force_y + r23 * force_z - 2.0 * up * east_mps,
        r31 * force_x + r32 * force_y + r33 * force_z + 2.0 * north * east_mps - gravity,
        -0.5 * (b * q + c * r),
        0.5 * (b * r - c * q),
        0.5 * (w * q - a * r),
        0.5 * (w * r + a * q),
        roll * per_roll_inertia,
        (pitch - gyro * r) * per_inertia,
        (yaw + gyro * q) * per_inertia,
        p,
    )
    margin = (cnx / cn - aero_cg) / craft.diameter_m if cn > 0.0 else -math.inf
    nutation = gyro * per_inertia
    stiffness = pressure * (area * abs(arm) + craft.body_lift_area_m2 * abs(body_arm)) * per_inertia
    stiffness += nutation * nutation
    fading = max(spin_damping * per_roll_inertia, damping * per_inertia)
    return change, (speed, mach, sine, thrust, mass_kg, margin, pressure, stiffness, fading)


@inlined
def moved(y, h, k):
    """y + h k, state by state."""
    return (
        y[0] + h * k[0], y[1] + h * k[1], y[2] + h * k[2], y[3] + h * k[3], y[4] + h * k[4], y[5] + h * k[5],
        y[6] + h * k[6], y[7] + h * k[7], y[8] + h * k[8], y[9] + h * k[9],
        y[10] + h * k[10], y[11] + h * k[11], y[12] + h * k[12], y[13] + h * k[13],
    )  # fmt: skip


@inlined
def with_unit_quaternion(y):
    """The state with its quaternion brought back to length one."""
    n = 1.0 / math.sqrt(y[6] * y[6] + y[7] * y[7] + y[8] * y[8] + y[9] * y[9])
    return (
        y[0], y[1], y[2], y[3], y[4], y[5], n * y[6], n * y[7], n * y[8], n * y[9], y[10], y[11], y[12],
        y[13],
    )  # fmt: skip


@helper
def runge_kutta(craft, segment, time_s, h, y, k1):
    """The state one classical fourth-order step of length h after y, whose rates are k1."""
    k2, _note = rates(craft, segment, time_s + 0.5 * h, moved(y, 0.5 * h, k1))
    k3, _note = rates(craft, segment, time_s + 0.5 * h, moved(y, 0.5 * h, k2))
    k4, _note = rates(craft, segment, time_s + h, moved(y, h, k3))
    sixth = h / 6.0
    new = moved(moved(moved(moved(y, sixth, k1), 2.0 * sixth, k2), 2.0 * sixth, k3), sixth, k4)
    return with_unit_quaternion(new)
