"""One flight from ignition to the ground in every mode, and many of them. Compiled.

All modes share one ascent: the rocket is flown up once, its state is kept at the first opening, and each mode comes
down from there. `fly` is called once by `simulate` (with a history) and once a sample by `disperse` (without).
"""

from __future__ import annotations

import math

import numpy as np

from .compiled import inlined, kernel
from .craft import (
    AT_ALTITUDE,
    AT_APOGEE,
    AT_MOTOR_DELAY,
    DENSITY,
    EAST,
    FIGURES,
    LANDING,
    NORTH,
    OK,
    SOUND,
    Craft,
)
from .descent import air_at, descend
from .dynamics import AIRSPEED, LIVE_MASS, MARGIN, SINE, THRUST, rates
from .free_flight import (
    EXTREME_COUNT,
    GREATEST_ACCELERATION,
    GREATEST_MACH,
    GREATEST_PRESSURE,
    GREATEST_SINE,
    GREATEST_SPEED,
    LEAST_MARGIN,
    REACHED_APOGEE,
    REACHED_GROUND,
    free_flight,
)
from .guide import leave_guide, tip_off
from .tables import LEVEL_COUNT

PLANNED, NO_DEPLOYMENT, DROGUE_ONLY, MAIN_AT_APOGEE = range(4)
MODES = ("planned", "no_deployment", "drogue_only", "main_at_apogee")
FIGURE_COUNT, LANDING_COUNT = len(FIGURES), len(LANDING)

# columns of a sample's draws, in physical units; `disperse` fills them
(
    IMPULSE_SCALE, BURN_SCALE, DELAY_SHIFT_S, DRAG_SCALE, CP_SHIFT_M, CG_SHIFT_M, MASS_SCALE,
    AXIS_EAST, AXIS_NORTH, AXIS_UP, THRUST_PITCH, THRUST_YAW, FIN_CANT,
    SPEED_ALL, SPEED_LOW, SPEED_HIGH, TURN_ALL, TURN_LOW, TURN_HIGH, GUST_EAST_MPS, GUST_NORTH_MPS,
    FIRST_AREA_SCALE, OTHER_AREA_SCALE, ALTITUDE_SCALE, ALTITUDE_SHIFT_M, ROLL_START, PLACE_IN_ARC,
) = range(27)  # fmt: skip
DRAW_COUNT = 27
# columns of the wind's spread on the height grid: one standard deviation along and across the wind, as vectors;
# the last is how far to either side its direction ranges, in rad, of which PLACE_IN_ARC (-1 to 1) takes a share
ALONG_EAST, ALONG_NORTH, ACROSS_EAST, ACROSS_NORTH, SHARE_ALL, SHARE_LOW, SHARE_HIGH, GUST_DECAY, HALF_ARC = range(9)


@inlined
def turned_to(east, north, up):
    """Quaternion of the shortest turn that carries body x onto the unit vector (east, north, up)."""
    w = 1.0 + east
    if w < 1e-9:
        return 0.0, 0.0, 0.0, 1.0
    norm = 1.0 / math.sqrt(w * w + up * up + north * north)
    return w * norm, 0.0, -up * norm, north * norm


@kernel
def fly(craft, areas, triggers, values, body_area_m2, figures, landings, flown_modes, history):
    """Fly once. Fills `figures` (craft.FIGURES) and `landings` (4 modes by craft.LANDING).

    Parameters
    ----------
    craft : Craft
    areas, triggers, values : arrays (devices,)
        Drag area [m²], how each is set off (craft.AT_...), and its delay [s] or height [m].
    body_area_m2 : float
        Drag area of what hangs below the devices. [m²]
    flown_modes : array (4,) of bool
    history : array (rows, 17)
        Filled for the planned mode; zero rows to skip.

    Returns
    -------
    ending : int
        craft.OK or why the flight could not be flown.
    rows : int
        History rows written.
    """
    work = np.zeros((3, 16))
    extremes = np.zeros(EXTREME_COUNT)
    extremes[LEAST_MARGIN] = math.inf
    start = np.zeros(6)
    none = np.zeros((0, history.shape[1]))
    figures[:] = math.nan
    landings[:] = math.nan
    rows = 0

    ending, segment, liftoff_s, time_s, speed = leave_guide(craft)
    figures[0], figures[1], figures[2] = liftoff_s, time_s, speed
    if ending != OK:
        return ending, rows
    length_m = craft.guide_length_m
    east, north, up = craft.axis_east, craft.axis_north, craft.axis_up
    qw, qx, qy, qz = turned_to(east, north, up)
    pitch, yaw = 0.0, 0.0
    if craft.pivot_travel_m > 0.0:
        # the turn carries the axis from level east onto the guide: its own y and z axes as they then stand
        tip = tip_off(craft, segment, time_s, speed)
        pitch, yaw = (
            tip * (-north * 2.0 * (qx * qy - qw * qz) + east * (1.0 - 2.0 * (qx * qx + qz * qz))),
            tip * (-north * 2.0 * (qx * qz + qw * qy) + east * 2.0 * (qy * qz - qw * qx)),
        )
    y = (
        length_m * east, length_m * north, length_m * up, speed * east, speed * north, speed * up,
        qw, qx, qy, qz, 0.0, pitch, yaw, craft.roll_start_rad,
    )  # fmt: skip
    _dy, note = rates(craft, segment, time_s, y)
    figures[3], figures[4], figures[5] = note[AIRSPEED], math.asin(min(note[SINE], 1.0)), note[MARGIN]
    figures[6] = note[THRUST] / (note[LIVE_MASS] * craft.gravity_mps2)
    burnout_s = craft.knot_s[-1]
    figures[8] = burnout_s

    count = areas.shape[0]
    eject_s = math.inf
    for d in range(count):
        if triggers[d] == AT_MOTOR_DELAY:
            eject_s = min(eject_s, burnout_s + values[d])

    # up: to burnout for its figures, then to the first opening or the apogee, whichever comes first
    if time_s < burnout_s:
        why, y, time_s, segment, rows = free_flight(
            craft, y, time_s, segment, burnout_s, True, 0.0, extremes, history, rows
        )
    else:
        why = 0
    if why >= 0:
        figures[9], figures[10] = y[2], math.sqrt(y[3] * y[3] + y[4] * y[4] + y[5] * y[5])
    early = False
    deployed = False
    open_s, open_mass = math.nan, math.nan
    if why == 0:
        why, y, time_s, segment, rows = free_flight(
            craft, y, time_s, segment, eject_s, True, 0.0, extremes, history, rows
        )
        if why == 0:  # the delay ran out on the way up
            early, deployed, open_s = True, True, time_s
            for i in range(6):
                start[i] = y[i]
            _dy, note = rates(craft, segment, time_s, y)
            figures[21], figures[22], figures[23] = time_s, y[2], note[AIRSPEED]
            open_mass = note[LIVE_MASS]
            why, y, time_s, segment, _rows = free_flight(
                craft, y, time_s, segment, math.inf, True, 0.0, extremes, none, 0
            )
    if why < 0:
        return -why, rows
    apogee_s = time_s
    figures[11], figures[12], figures[13], figures[14] = time_s, y[2], y[0], y[1]
    figures[15] = math.sqrt(y[3] * y[3] + y[4] * y[4] + y[5] * y[5])
    figures[7] = extremes[LEAST_MARGIN]
    figures[16], figures[17] = extremes[GREATEST_SPEED], extremes[GREATEST_MACH]
    figures[18], figures[19] = extremes[GREATEST_ACCELERATION], extremes[GREATEST_PRESSURE]
    figures[20] = math.asin(min(extremes[GREATEST_SINE], 1.0))

    # over the top: on to the first opening, if it was not before
    if not deployed and why == REACHED_APOGEE and count > 0:
        open_at_s, open_at_m = eject_s, 0.0
        for d in range(count):
            if triggers[d] == AT_APOGEE:
                open_at_s = min(open_at_s, apogee_s + values[d])
            elif triggers[d] == AT_ALTITUDE:
                open_at_m = max(open_at_m, values[d])
        if open_at_m >= y[2]:
            open_at_s = min(open_at_s, apogee_s)
        if open_at_s > apogee_s:
            why, y, time_s, segment, rows = free_flight(
                craft, y, time_s, segment, open_at_s, False, open_at_m, extremes, history, rows
            )
            if why < 0:
                return -why, rows
        if why != REACHED_GROUND:
            deployed, open_s = True, time_s
            for i in range(6):
                start[i] = y[i]
            _dy, note = rates(craft, segment, time_s, y)
            figures[21], figures[22], figures[23] = time_s, y[2], note[AIRSPEED]
            open_mass = note[LIVE_MASS]

    # down: the ballistic return goes on in six degrees of freedom; each other mode branches from the opening
    ballistic = flown_modes[NO_DEPLOYMENT] or not deployed
    mass_kg = open_mass
    if ballistic and why != REACHED_GROUND:
        if deployed:
            why, y, time_s, segment, _rows = free_flight(
                craft, y, time_s, segment, math.inf, False, 0.0, extremes, none, 0
            )
        else:
            why, y, time_s, segment, rows = free_flight(
                craft, y, time_s, segment, math.inf, False, 0.0, extremes, history, rows
            )
        if why < 0:
            return -why, rows
    if ballistic:
        row = landings[NO_DEPLOYMENT]
        row[0], row[1], row[2], row[3] = y[0], y[1], time_s, -y[5]
        row[4], row[5] = math.sqrt(y[3] * y[3] + y[4] * y[4]), 0.0
    if not deployed:
        landings[PLANNED] = landings[NO_DEPLOYMENT]
        return OK, rows
    known_apogee_s = math.nan if early else apogee_s
    rows = descend(
        craft, start, open_s, mass_kg, body_area_m2, areas, triggers, values, count, False, burnout_s,
        known_apogee_s, landings[PLANNED], history, rows, work,
    )  # fmt: skip
    if flown_modes[DROGUE_ONLY]:
        descend(
            craft, start, open_s, mass_kg, body_area_m2, areas, triggers, values, 1, False, burnout_s,
            known_apogee_s, landings[DROGUE_ONLY], none, 0, work,
        )  # fmt: skip
    if flown_modes[MAIN_AT_APOGEE]:
        descend(
            craft, start, open_s, mass_kg, body_area_m2, areas, triggers, values, count, True, burnout_s,
            known_apogee_s, landings[MAIN_AT_APOGEE], none, 0, work,
        )  # fmt: skip
    return OK, rows


@inlined
def perturbed_levels(levels, spread, draw, out):
    """The day's wind as this sample sees it: off by correlated amounts along and across, turned to a place in the arc
    its direction ranges over, and a gust near the ground."""
    for i in range(LEVEL_COUNT):
        out[i, DENSITY], out[i, SOUND] = levels[i, DENSITY], levels[i, SOUND]
        share_all, share_low, share_high = spread[i, SHARE_ALL], spread[i, SHARE_LOW], spread[i, SHARE_HIGH]
        along = share_all * draw[SPEED_ALL] + share_low * draw[SPEED_LOW] + share_high * draw[SPEED_HIGH]
        across = share_all * draw[TURN_ALL] + share_low * draw[TURN_LOW] + share_high * draw[TURN_HIGH]
        gust = spread[i, GUST_DECAY]
        east = levels[i, EAST] + along * spread[i, ALONG_EAST] + across * spread[i, ACROSS_EAST]
        north = levels[i, NORTH] + along * spread[i, ALONG_NORTH] + across * spread[i, ACROSS_NORTH]
        turn = draw[PLACE_IN_ARC] * spread[i, HALF_ARC]
        if turn != 0.0:
            cosine, sine = math.cos(turn), math.sin(turn)
            east, north = east * cosine + north * sine, north * cosine - east * sine
        out[i, EAST] = east + gust * draw[GUST_EAST_MPS]
        out[i, NORTH] = north + gust * draw[GUST_NORTH_MPS]


@kernel
def fly_many(craft, wind_spread, draws, areas, triggers, values, body_area_m2, flown_modes, endings, figures, landings):
    """Fly every row of `draws`. Shapes: draws (n, 27), endings (n,), figures (n, figures), landings (n, 4, landing)."""
    levels = np.empty_like(craft.levels)
    knot_s, knot_n, knot_ns = np.empty_like(craft.knot_s), np.empty_like(craft.knot_s), np.empty_like(craft.knot_s)
    area, value = np.empty_like(areas), np.empty_like(values)
    none = np.zeros((0, 17))
    for n in range(draws.shape[0]):
        draw = draws[n]
        perturbed_levels(craft.levels, wind_spread, draw, levels)
        for i in range(knot_s.shape[0]):
            knot_s[i] = craft.knot_s[i] * draw[BURN_SCALE]
            knot_n[i] = craft.knot_n[i] * draw[IMPULSE_SCALE] / draw[BURN_SCALE]
            knot_ns[i] = craft.knot_ns[i] * draw[IMPULSE_SCALE]
        for d in range(areas.shape[0]):
            area[d] = areas[d] * (draw[FIRST_AREA_SCALE] if d == 0 else draw[OTHER_AREA_SCALE])
            value[d] = values[d]
            if triggers[d] == AT_MOTOR_DELAY:
                value[d] = max(values[d] + draw[DELAY_SHIFT_S], 0.0)
            elif triggers[d] == AT_ALTITUDE:
                value[d] = max(values[d] * draw[ALTITUDE_SCALE] + draw[ALTITUDE_SHIFT_M], 0.0)
        sample = Craft(
            levels, craft.aero, craft.mass, knot_s, knot_n, knot_ns, craft.diameter_m, craft.area_m2,
            craft.body_lift_area_m2, craft.body_lift_from_nose_m, craft.stall_sine, craft.propellant_mass_kg,
            craft.dry_mass_kg,
            craft.nozzle_from_nose_m, craft.gravity_mps2, craft.gravity_gradient_per_m, craft.earth_north_radps,
            craft.earth_up_radps, craft.guide_length_m, craft.guide_friction, craft.pivot_from_nose_m,
            craft.pivot_travel_m, draw[AXIS_EAST], draw[AXIS_NORTH], draw[AXIS_UP],
            draw[DRAG_SCALE], draw[MASS_SCALE], craft.cg_shift_m + draw[CG_SHIFT_M],
            craft.cp_shift_m + draw[CP_SHIFT_M], draw[THRUST_PITCH], draw[THRUST_YAW], craft.thrust_offset_m,
            draw[ROLL_START],
            draw[FIN_CANT], craft.step_scale,
        )  # fmt: skip
        endings[n], _rows = fly(sample, area, triggers, value, body_area_m2, figures[n], landings[n], flown_modes, none)


@kernel
def air_state(craft, height_m):
    """Density, wind east and wind north at a height, as the kernel sees them."""
    return air_at(craft, height_m)


@kernel
def state_rates(craft, segment, time_s, y):
    """The rates the kernel integrates, for checking against other integrators. `y` is a tuple of 14."""
    return rates(craft, segment, time_s, y)


@kernel
def fly_on(craft, y, time_s, until_s, history):
    """Free flight from any state (a tuple of 14) until a moment or the ground, for checks. (why, state, time, rows)."""
    extremes = np.zeros(EXTREME_COUNT)
    segment, last = 0, craft.knot_s.shape[0] - 1
    while segment < last and time_s >= craft.knot_s[segment + 1]:
        segment += 1
    why, y, time_s, segment, rows = free_flight(craft, y, time_s, segment, until_s, False, 0.0, extremes, history, 0)
    return why, y, time_s, rows


@kernel
def hang_on(craft, start, mass_kg, areas, triggers, values, body_area_m2, landing):
    """The point mass under its devices from any six states, at time 0 and past the apogee, for checks."""
    descend(
        craft, start, 0.0, mass_kg, body_area_m2, areas, triggers, values, areas.shape[0], False, math.inf, 0.0,
        landing, np.zeros((0, 17)), 0, np.zeros((3, 16)),
    )  # fmt: skip
