"""The launch guide: one degree of freedom along a rod, rail or tower. Compiled.

Until thrust exceeds the weight along the guide and the friction, nothing moves (the stop holds the rocket). Then
``s'' = (F - D)/m - g (sin E + mu cos E) - mu N/m`` with N the side force of the wind, in 2 ms steps that land on
the knots of the thrust curve, until the travel equals the guide length.
"""

from __future__ import annotations

import math

from .compiled import helper, inlined
from .craft import CA_BURN, CA_COAST, CG, CN, DENSITY, EAST, MASS, NO_LIFTOFF, NORTH, OK, PITCH_INERTIA, SOUND
from .dynamics import level_index, mach_index, mass_index, thrust_and_fraction

GUIDE_STEP_S = 0.002


@inlined
def push_mps2(craft, segment, time_s, travel_m, speed_mps):
    """Acceleration along the guide, friction opposing forward motion. [m/s²]"""
    i, f = level_index(travel_m * craft.axis_up)
    levels = craft.levels
    density = levels[i, DENSITY] + f * (levels[i + 1, DENSITY] - levels[i, DENSITY])
    sound = levels[i, SOUND] + f * (levels[i + 1, SOUND] - levels[i, SOUND])
    wind_e = levels[i, EAST] + f * (levels[i + 1, EAST] - levels[i, EAST])
    wind_n = levels[i, NORTH] + f * (levels[i + 1, NORTH] - levels[i, NORTH])
    along = speed_mps - (wind_e * craft.axis_east + wind_n * craft.axis_north)
    wind_along = wind_e * craft.axis_east + wind_n * craft.axis_north
    side_squared = max(wind_e * wind_e + wind_n * wind_n - wind_along * wind_along, 0.0)
    total_squared = along * along + side_squared
    j, g = mach_index(math.sqrt(total_squared) / sound)
    burning = segment < craft.knot_s.shape[0] - 1
    column = CA_BURN if burning else CA_COAST
    aero = craft.aero
    ca = (aero[j, column] + g * (aero[j + 1, column] - aero[j, column])) * craft.drag_scale
    area = craft.area_m2
    drag = 0.5 * density * along * abs(along) * area * ca
    thrust, fraction = thrust_and_fraction(craft, segment, time_s)
    n, h = mass_index(fraction)
    mass_kg = craft.mass[n, MASS] + h * (craft.mass[n + 1, MASS] - craft.mass[n, MASS])
    mass_kg += (craft.mass_scale - 1.0) * craft.dry_mass_kg
    side_force = 0.0
    if craft.guide_friction > 0.0 and total_squared > 0.0:
        sine = math.sqrt(side_squared / total_squared)
        cn = aero[j, CN] + g * (aero[j + 1, CN] - aero[j, CN])
        side_force = 0.5 * density * total_squared * (
            area * cn * min(sine, craft.stall_sine) + craft.body_lift_area_m2 * sine * sine
        )
    level = math.sqrt(max(1.0 - craft.axis_up * craft.axis_up, 0.0))
    friction = craft.guide_friction * (craft.gravity_mps2 * level + side_force / mass_kg)
    return (thrust - drag) / mass_kg - craft.gravity_mps2 * craft.axis_up - friction


@helper
def guide_step(craft, segment, time_s, h, s, v):
    """One fourth-order step of the travel and speed along the guide."""
    a1 = push_mps2(craft, segment, time_s, s, v)
    a2 = push_mps2(craft, segment, time_s + 0.5 * h, s + 0.5 * h * v, v + 0.5 * h * a1)
    v2 = v + 0.5 * h * a1
    v3 = v + 0.5 * h * a2
    a3 = push_mps2(craft, segment, time_s + 0.5 * h, s + 0.5 * h * v2, v3)
    v4 = v + h * a3
    a4 = push_mps2(craft, segment, time_s + h, s + h * v3, v4)
    return s + h / 6.0 * (v + 2.0 * v2 + 2.0 * v3 + v4), v + h / 6.0 * (a1 + 2.0 * a2 + 2.0 * a3 + a4)


@helper
def tip_off(craft, segment, time_s, speed_mps):
    """Rate of turn at which a rocket on its aft guide alone falls towards the lean, per unit of lean's sine. [rad/s]

    The nose drops about the aft guide, l behind the centre of mass, at g sin(tilt) l / (k² + l²), k the radius of
    gyration, for as long as it takes that guide to follow the forward one off.
    """
    _thrust, fraction = thrust_and_fraction(craft, segment, time_s)
    n, h = mass_index(fraction)
    table = craft.mass
    mass_kg = table[n, MASS] + h * (table[n + 1, MASS] - table[n, MASS])
    cg_m = table[n, CG] + h * (table[n + 1, CG] - table[n, CG]) + craft.cg_shift_m
    inertia = table[n, PITCH_INERTIA] + h * (table[n + 1, PITCH_INERTIA] - table[n, PITCH_INERTIA])
    behind_m = craft.pivot_from_nose_m - cg_m
    return craft.gravity_mps2 * behind_m / (inertia / mass_kg + behind_m * behind_m) * craft.pivot_travel_m / speed_mps


@helper
def leave_guide(craft):
    """Fly up the guide. Returns (ending, segment, liftoff_s, time_s, speed_mps)."""
    last = craft.knot_s.shape[0] - 1
    segment = 0
    time_s = craft.knot_s[0]
    s, v = 0.0, 0.0
    liftoff_s = math.nan
    step_s = GUIDE_STEP_S * craft.step_scale
    while segment < last or v > 0.0:
        h = step_s
        to_knot = math.inf
        if segment < last:
            to_knot = craft.knot_s[segment + 1] - time_s
            h = min(h, to_knot)
        if v <= 0.0 and push_mps2(craft, segment, time_s, s, 0.0) <= 0.0:
            if push_mps2(craft, segment, time_s + h, s, 0.0) > 0.0:
                low, high = 0.0, h  # thrust overcomes weight inside this step: find the moment
                for _ in range(40):
                    half = 0.5 * (low + high)
                    if push_mps2(craft, segment, time_s + half, s, 0.0) > 0.0:
                        high = half
                    else:
                        low = half
                h = high
            s_new, v_new = s, 0.0
        else:
            if math.isnan(liftoff_s):
                liftoff_s = time_s
            s_new, v_new = guide_step(craft, segment, time_s, h, s, v)
            if v_new < 0.0:
                s_new, v_new = max(s_new, 0.0), 0.0
            if s_new >= craft.guide_length_m:
                low, high = 0.0, h
                for _ in range(50):
                    half = 0.5 * (low + high)
                    s_half, v_new = guide_step(craft, segment, time_s, half, s, v)
                    if s_half >= craft.guide_length_m:
                        high = half
                    else:
                        low = half
                time_s += high
                if high >= to_knot:
                    time_s = craft.knot_s[segment + 1]
                    segment += 1
                return OK, segment, liftoff_s, time_s, v_new
        s, v = s_new, v_new
        if h >= to_knot:
            segment += 1
            time_s = craft.knot_s[segment]
        else:
            time_s += h
    return NO_LIFTOFF, segment, liftoff_s, time_s, v
