"""Coming down under recovery devices. Compiled.

After each opening the rocket is a point mass, ``v' = g - (rho/2m) Cd S |v - w| (v - w)``, followed until it is within
0.6 % of its steady descent and all but carried by the wind. From there it sinks through the cells of the height grid
at ``sqrt(2 m g / (rho Cd S))``, a little faster for the thickening of the air, and follows the wind of each with the
lag v/g, solved exactly for a wind that changes evenly over the cell. Where the wind bends too fast for that, as in the
last metres, the point mass is followed again: it lands with the wind of a few metres higher up, not with the calm at
the ground. Opening is taken as instant. Next to a full integration this errs by well under 1 m.
"""

from __future__ import annotations

import math

from .compiled import helper, inlined
from .craft import AT_APOGEE, AT_MOTOR_DELAY, DENSITY, EAST, NORTH
from .dynamics import level_index
from .tables import LEVEL_SCALE_M

STEADY = 0.006  # of the steady speed, vertically
STEADY_SLIP = 0.08  # against the wind: its effect on the drag is of second order
SETTLING_STEP = 0.25  # longest step over the time in which the speed settles [-]
LONGEST_STEP_S = 0.5
FASTEST_STEADY_MPS = 1e6  # a bare body without drag never settles
GREATEST_STEPS = 200_000


@inlined
def air_at(craft, height_m):
    """Density, wind east, wind north."""
    i, f = level_index(height_m)
    levels = craft.levels
    return (
        levels[i, DENSITY] + f * (levels[i + 1, DENSITY] - levels[i, DENSITY]),
        levels[i, EAST] + f * (levels[i + 1, EAST] - levels[i, EAST]),
        levels[i, NORTH] + f * (levels[i + 1, NORTH] - levels[i, NORTH]),
    )


@inlined
def gravity_at(craft, height_m):
    """Weight per mass at a height. [m/s²]"""
    return craft.gravity_mps2 * (1.0 - craft.gravity_gradient_per_m * height_m)


@inlined
def cell_below(height_m):
    """Cell of the height grid that lies under a height."""
    i, _f = level_index(height_m)
    if i > 0 and LEVEL_SCALE_M * i * i > height_m - 1e-9:
        i -= 1
    return i


@inlined
def shear_in(craft, cell):
    """Change of the wind with height in a cell, east and north. [1/s]"""
    levels = craft.levels
    per_m = 1.0 / (LEVEL_SCALE_M * (2 * cell + 1))
    return (
        (levels[cell + 1, EAST] - levels[cell, EAST]) * per_m,
        (levels[cell + 1, NORTH] - levels[cell, NORTH]) * per_m,
    )


@inlined
def sinking(craft, cell, height_m, area_per_mass):
    """Density, wind east and north at a height in a cell, and the speed of steady sinking there.

    The air thickens on the way down and slows what falls, so drag outweighs weight a little:
    v² = 2g/(rho a) (1 + beta/(rho a)), beta the share by which density grows per metre.
    """
    density, wind_e, wind_n = air_at(craft, height_m)
    levels = craft.levels
    thickening = (levels[cell, DENSITY] - levels[cell + 1, DENSITY]) / (LEVEL_SCALE_M * (2 * cell + 1))
    reach_m = 1.0 / (density * area_per_mass)
    swell = max(1.0 + thickening / density * reach_m, 0.5)
    return density, wind_e, wind_n, math.sqrt(2.0 * gravity_at(craft, height_m) * reach_m * swell)


@inlined
def pull_mps2(craft, height_m, ve, vn, vu, area_per_mass):
    """Acceleration of the hanging point mass, Coriolis included."""
    density, wind_e, wind_n = air_at(craft, height_m)
    ae, an = ve - wind_e, vn - wind_n
    drag = 0.5 * density * area_per_mass * math.sqrt(ae * ae + an * an + vu * vu)
    north, up = craft.earth_north_radps, craft.earth_up_radps
    return (
        -drag * ae - 2.0 * (north * vu - up * vn),
        -drag * an - 2.0 * up * ve,
        -drag * vu - gravity_at(craft, height_m) + 2.0 * north * ve,
    )


@helper
def point_step(craft, h, s, area_per_mass, new):
    """One fourth-order step of the six states s into new."""
    a1, b1, c1 = pull_mps2(craft, s[2], s[3], s[4], s[5], area_per_mass)
    e2, n2, u2 = s[3] + 0.5 * h * a1, s[4] + 0.5 * h * b1, s[5] + 0.5 * h * c1
    a2, b2, c2 = pull_mps2(craft, s[2] + 0.5 * h * s[5], e2, n2, u2, area_per_mass)
    e3, n3, u3 = s[3] + 0.5 * h * a2, s[4] + 0.5 * h * b2, s[5] + 0.5 * h * c2
    a3, b3, c3 = pull_mps2(craft, s[2] + 0.5 * h * u2, e3, n3, u3, area_per_mass)
    e4, n4, u4 = s[3] + h * a3, s[4] + h * b3, s[5] + h * c3
    a4, b4, c4 = pull_mps2(craft, s[2] + h * u3, e4, n4, u4, area_per_mass)
    new[0] = s[0] + h / 6.0 * (s[3] + 2.0 * e2 + 2.0 * e3 + e4)
    new[1] = s[1] + h / 6.0 * (s[4] + 2.0 * n2 + 2.0 * n3 + n4)
    new[2] = s[2] + h / 6.0 * (s[5] + 2.0 * u2 + 2.0 * u3 + u4)
    new[3] = s[3] + h / 6.0 * (a1 + 2.0 * a2 + 2.0 * a3 + a4)
    new[4] = s[4] + h / 6.0 * (b1 + 2.0 * b2 + 2.0 * b3 + b4)
    new[5] = s[5] + h / 6.0 * (c1 + 2.0 * c2 + 2.0 * c3 + c4)


@inlined
def note_point(history, rows, time_s, s, airspeed, mass_kg):
    """One line of the history under a canopy; what does not exist there stays NaN."""
    if rows >= history.shape[0]:
        return rows
    history[rows, 0] = time_s
    for i in range(6):
        history[rows, 1 + i] = s[i]
    for i in range(7, 17):
        history[rows, i] = math.nan
    history[rows, 10] = airspeed
    history[rows, 13] = 0.0
    history[rows, 14] = mass_kg
    return rows + 1


@helper
def descend(
    craft, start, time_s, mass_kg, body_area_m2, areas, triggers, values, used, together, burnout_s, apogee_s, landing,
    history, rows, work,
):  # fmt: skip
    """Bring the point mass from `start` (six states) to the ground.

    `areas`, `triggers`, `values` describe the devices, of which the first `used` may open; `together` opens all of
    them with the first. `apogee_s` is NaN where the first device opens before the apogee. Fills `landing`
    (craft.LANDING) and returns the number of history rows. `work` is scratch of shape (3, 16).
    """
    s, new, is_open = work[0], work[1], work[2]
    for i in range(6):
        s[i] = start[i]
    count = areas.shape[0]
    for d in range(count):
        is_open[d] = 0.0
    opened = 0
    area = body_area_m2
    first_speed, second_open = math.nan, math.nan
    for _ in range(GREATEST_STEPS):
        if math.isnan(apogee_s) and s[5] <= 0.0:
            apogee_s = time_s
        density, wind_e, wind_n = air_at(craft, s[2])
        airspeed = math.sqrt((s[3] - wind_e) ** 2 + (s[4] - wind_n) ** 2 + s[5] ** 2)
        # open what is due, and find the next moment or height at which something will be
        next_s, next_m = math.inf, 0.0
        for d in range(used):
            if is_open[d] > 0.0:
                continue
            due = False
            if triggers[d] == AT_MOTOR_DELAY:
                due_s = burnout_s + values[d]
            elif triggers[d] == AT_APOGEE:
                due_s = apogee_s + values[d]  # NaN before the apogee: never due
            else:
                due_s = math.inf
                due = s[5] <= 0.0 and s[2] <= values[d] + 1e-6
                if values[d] < s[2]:
                    next_m = max(next_m, values[d])
            due = due or time_s >= due_s - 1e-9 or (together and opened > 0)
            if due:
                is_open[d] = 1.0
                opened += 1
                area += areas[d]
                if opened == 2:
                    first_speed, second_open = -s[5], airspeed
            elif due_s < next_s:
                next_s = due_s
        area_per_mass = area / mass_kg
        gravity = gravity_at(craft, s[2])
        steady = math.sqrt(2.0 * gravity / (density * area_per_mass)) if area_per_mass > 0.0 else math.inf
        rows = note_point(history, rows, time_s, s, airspeed, mass_kg)
        slip = math.sqrt((s[3] - wind_e) ** 2 + (s[4] - wind_n) ** 2)
        settled = abs(s[5] + steady) <= STEADY * steady and slip <= STEADY_SLIP * steady
        if not (settled and steady < FASTEST_STEADY_MPS):
            settling_s = steady / gravity / (1.0 + airspeed / steady)
            h = min(SETTLING_STEP * settling_s, LONGEST_STEP_S) * craft.step_scale
            h = min(h, next_s - time_s)
            point_step(craft, h, s, area_per_mass, new)
            goal = max(next_m, 0.0)
            if new[2] <= goal and new[5] < 0.0 and s[2] > goal:
                low, high = 0.0, h
                for _turn in range(45):
                    half = 0.5 * (low + high)
                    point_step(craft, half, s, area_per_mass, new)
                    if new[2] > goal:
                        low = half
                    else:
                        high = half
                h = high
                point_step(craft, h, s, area_per_mass, new)
                new[2] = goal
            for i in range(6):
                s[i] = new[i]
            time_s += h
        else:
            # sink through the cells of the height grid until the next event, or where the wind bends too fast
            north, up = craft.earth_north_radps, craft.earth_up_radps
            z, speed, cell = s[2], steady, cell_below(s[2])
            while z > next_m and time_s < next_s - 1e-9:
                floor = max(LEVEL_SCALE_M * cell * cell, next_m)
                density, wind_e, wind_n, speed = sinking(craft, cell, 0.5 * (z + floor), area_per_mass)
                spent = (z - floor) / speed
                if time_s + spent > next_s:
                    spent = next_s - time_s
                    floor = z - spent * speed
                    density, wind_e, wind_n, speed = sinking(craft, cell, 0.5 * (z + floor), area_per_mass)
                shear_e, shear_n = shear_in(craft, cell)
                bend_e, bend_n = 0.5 * (z - floor) * shear_e, 0.5 * (z - floor) * shear_n
                lag_s = speed / gravity
                fading = math.exp(-spent / lag_s)
                even_e = lag_s * (speed * (shear_e + 2.0 * north) + 2.0 * up * wind_n)
                even_n = lag_s * (speed * shear_n - 2.0 * up * wind_e)
                extra_e = s[3] - (wind_e + bend_e) - even_e
                extra_n = s[4] - (wind_n + bend_n) - even_n
                s[0] += spent * (wind_e + even_e) + extra_e * lag_s * (1.0 - fading)
                s[1] += spent * (wind_n + even_n) + extra_n * lag_s * (1.0 - fading)
                slip_e, slip_n = even_e + extra_e * fading, even_n + extra_n * fading
                s[3], s[4], s[5] = wind_e - bend_e + slip_e, wind_n - bend_n + slip_n, -speed
                time_s += spent
                z = floor
                cell -= 1
                s[2] = z
                if history.shape[0] > 0:
                    rows = note_point(history, rows, time_s, s, speed, mass_kg)
                if math.sqrt(slip_e * slip_e + slip_n * slip_n) > STEADY_SLIP * speed:
                    break
        if s[2] <= 1e-9:
            landing[0], landing[1], landing[2], landing[3] = s[0], s[1], time_s, -s[5]
            landing[4] = math.sqrt(s[3] * s[3] + s[4] * s[4])
            landing[5] = opened
            landing[6] = first_speed if opened > 1 else steady
            landing[7] = second_open
            rows = note_point(history, rows, time_s, s, -s[5], mass_kg)
            return rows
    for i in range(8):
        landing[i] = math.nan
    return rows
