"""Six-degree-of-freedom rates of change, and one Runge-Kutta step. Compiled; no checks: the faces check.

Rigid body, flat earth, quaternion attitude, wind included. Normal force CN_alpha sin(alpha) up to the stall at the
centre of pressure, cross-flow body lift K A sin²(alpha) at the centroid of the side area, axial force along the
body, pitch damping about the moving centre of gravity, jet damping, roll forcing and damping by the fins.

References
----------
J. S. Barrowman, The Practical Calculation of the Aerodynamic Characteristics of Slender Finned Vehicles, 1967.
B. Etkin, Dynamics of Atmospheric Flight, Wiley 1972, chapter 5 (rigid-body equations; from memory, not re-read).
"""

from __future__ import annotations

import math

from .compiled import inlined
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

# what `rates` notes beside the rates: read by the stepper, the extremes and the history
AIRSPEED, MACH, SINE, THRUST, LIVE_MASS, MARGIN, PRESSURE, STIFFNESS, COSINE, SPIN_DAMPING = range(10)
NOTE_COUNT = 10


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
def rates(craft, segment, time_s, y, dy, note):
    """Rates of change of the 13 states into `dy`, side results into `note`."""
    i, f = level_index(y[2])
    levels = craft.levels
    density = levels[i, DENSITY] + f * (levels[i + 1, DENSITY] - levels[i, DENSITY])
    sound = levels[i, SOUND] + f * (levels[i + 1, SOUND] - levels[i, SOUND])
    air_e = y[3] - (levels[i, EAST] + f * (levels[i + 1, EAST] - levels[i, EAST]))
    air_n = y[4] - (levels[i, NORTH] + f * (levels[i + 1, NORTH] - levels[i, NORTH]))
    air_u = y[5]

    w, a, b, c = y[6], y[7], y[8], y[9]
    r11, r12, r13 = 1.0 - 2.0 * (b * b + c * c), 2.0 * (a * b - w * c), 2.0 * (a * c + w * b)
    r21, r22, r23 = 2.0 * (a * b + w * c), 1.0 - 2.0 * (a * a + c * c), 2.0 * (b * c - w * a)
    r31, r32, r33 = 2.0 * (a * c - w * b), 2.0 * (b * c + w * a), 1.0 - 2.0 * (a * a + b * b)
    along = r11 * air_e + r21 * air_n + r31 * air_u
    side_y = r12 * air_e + r22 * air_n + r32 * air_u
    side_z = r13 * air_e + r23 * air_n + r33 * air_u
    side = math.sqrt(side_y * side_y + side_z * side_z)
    speed = math.sqrt(air_e * air_e + air_n * air_n + air_u * air_u)
    sine, cosine = 0.0, 1.0
    if speed > 1e-9:
        sine, cosine = side / speed, along / speed
    pressure = 0.5 * density * speed * speed

    mach = speed / sound
    j, g = mach_index(mach)
    aero = craft.aero
    area = 0.25 * math.pi * craft.diameter_m * craft.diameter_m
    cn = aero[j, CN] + g * (aero[j + 1, CN] - aero[j, CN])
    cnx = aero[j, CNX] + g * (aero[j + 1, CNX] - aero[j, CNX])
    cnxx = aero[j, CNXX] + g * (aero[j + 1, CNXX] - aero[j, CNXX])
    burning = segment < craft.knot_s.shape[0] - 1
    column = CA_BURN if burning else CA_COAST
    ca = aero[j, column] + g * (aero[j + 1, column] - aero[j, column])
    forcing = aero[j, ROLL_FORCING] + g * (aero[j + 1, ROLL_FORCING] - aero[j, ROLL_FORCING])
    roll_damping = aero[j, ROLL_DAMPING] + g * (aero[j + 1, ROLL_DAMPING] - aero[j, ROLL_DAMPING])

    thrust, fraction = thrust_and_fraction(craft, segment, time_s)
    n, h = mass_index(fraction)
    table = craft.mass
    listed_kg = table[n, MASS] + h * (table[n + 1, MASS] - table[n, MASS])
    mass_kg = listed_kg + (craft.mass_scale - 1.0) * craft.dry_mass_kg
    heavier = mass_kg / listed_kg
    inertia = (table[n, PITCH_INERTIA] + h * (table[n + 1, PITCH_INERTIA] - table[n, PITCH_INERTIA])) * heavier
    roll_inertia = (table[n, ROLL_INERTIA] + h * (table[n + 1, ROLL_INERTIA] - table[n, ROLL_INERTIA])) * heavier
    cg = table[n, CG] + h * (table[n + 1, CG] - table[n, CG]) + craft.cg_shift_m
    aero_cg = cg - craft.cp_shift_m  # moving every centre of pressure aft is moving the cg forward, for the air

    # normal force and its moment about the centre of gravity
    lift = min(sine, craft.stall_sine)
    body_lift = craft.body_lift_area_m2 * sine * sine
    normal = pressure * (area * cn * lift + body_lift)
    turning = pressure * (
        area * lift * (cnx - cn * aero_cg) + body_lift * (craft.body_lift_from_nose_m - aero_cg)
    )
    unit_y, unit_z = 0.0, 0.0
    if side > 1e-12:
        unit_y, unit_z = side_y / side, side_z / side
    damping = 0.5 * density * speed * area * (cnxx - 2.0 * aero_cg * cnx + aero_cg * aero_cg * cn)
    axial = -pressure * area * ca * craft.drag_scale * min(max(cosine / COS_30, -1.0), 1.0)

    # thrust along its own line, jet damping
    lever = craft.nozzle_from_nose_m - cg
    thrust_y, thrust_z = thrust * craft.thrust_yaw, thrust * craft.thrust_pitch
    jet = 0.0
    if thrust > 0.0:
        per_newton = 1.0 / craft.knot_ns[-1]
        inertia_slope = (table[n + 1, PITCH_INERTIA] - table[n, PITCH_INERTIA]) * (MASS_COUNT - 1)
        jet = thrust * per_newton * (craft.propellant_mass_kg * lever * lever + inertia_slope)

    force_x = axial + thrust
    force_y = -normal * unit_y + thrust_y
    force_z = -normal * unit_z + thrust_z
    gravity = craft.gravity_mps2 * (1.0 - craft.gravity_gradient_per_m * y[2])
    north, up = craft.earth_north_radps, craft.earth_up_radps
    dy[0], dy[1], dy[2] = y[3], y[4], y[5]
    dy[3] = (r11 * force_x + r12 * force_y + r13 * force_z) / mass_kg - 2.0 * (north * y[5] - up * y[4])
    dy[4] = (r21 * force_x + r22 * force_y + r23 * force_z) / mass_kg - 2.0 * up * y[3]
    dy[5] = (r31 * force_x + r32 * force_y + r33 * force_z) / mass_kg + 2.0 * north * y[3] - gravity

    p, q, r = y[10], y[11], y[12]
    dy[6] = 0.5 * (-a * p - b * q - c * r)
    dy[7] = 0.5 * (w * p + b * r - c * q)
    dy[8] = 0.5 * (w * q + c * p - a * r)
    dy[9] = 0.5 * (w * r + a * q - b * p)
    spin_damping = 0.5 * density * speed * roll_damping
    roll = pressure * forcing * craft.fin_cant_rad - spin_damping * p - craft.thrust_offset_m * thrust_y
    pitch = -turning * unit_z - (damping + jet) * q + craft.thrust_offset_m * thrust + lever * thrust_z
    yaw = turning * unit_y - (damping + jet) * r - lever * thrust_y
    dy[10] = roll / roll_inertia
    dy[11] = (pitch - (roll_inertia - inertia) * p * r) / inertia
    dy[12] = (yaw - (inertia - roll_inertia) * p * q) / inertia

    note[AIRSPEED], note[MACH], note[SINE], note[COSINE] = speed, mach, sine, cosine
    note[THRUST], note[LIVE_MASS], note[PRESSURE] = thrust, mass_kg, pressure
    note[MARGIN] = (cnx / cn - aero_cg) / craft.diameter_m if cn > 0.0 else -math.inf
    arm = abs(area * (cnx - cn * aero_cg)) + craft.body_lift_area_m2 * abs(craft.body_lift_from_nose_m - aero_cg)
    note[STIFFNESS] = pressure * arm / inertia
    note[SPIN_DAMPING] = max(spin_damping / roll_inertia, (damping + jet) / inertia)


@inlined
def runge_kutta(craft, segment, time_s, h, y, k1, new, mid, k, note):
    """One classical fourth-order step of length h from y, whose rates are k1, into `new`. The quaternion is renormed."""
    for i in range(13):
        mid[i] = y[i] + 0.5 * h * k1[i]
        new[i] = k1[i]
    for stage in range(3):
        rates(craft, segment, time_s + (0.5 * h if stage < 2 else h), mid, k, note)
        weight = 2.0 if stage < 2 else 1.0
        reach = 0.5 * h if stage < 1 else h
        for i in range(13):
            new[i] += weight * k[i]
            mid[i] = y[i] + reach * k[i]
    for i in range(13):
        new[i] = y[i] + h / 6.0 * new[i]
    norm = 1.0 / math.sqrt(new[6] * new[6] + new[7] * new[7] + new[8] * new[8] + new[9] * new[9])
    for i in range(6, 10):
        new[i] *= norm
