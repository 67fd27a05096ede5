"""Free flight in six degrees of freedom, from the end of the guide until an event. Compiled.

Fourth-order steps, at most 12 ms under thrust and 50 ms without, each short against the pitch oscillation, the
spin and the damping, and never across a knot of the thrust curve. Events (apogee, a height on the way down, the
ground) are found by false position on the step length, so every state handed on lies on the event.
"""

from __future__ import annotations

import math

from .compiled import helper, inlined
from .craft import NOT_FINITE, TOO_FAST, TOO_HIGH, TOO_LONG
from .dynamics import (
    AIRSPEED,
    LIVE_MASS,
    MACH,
    MARGIN,
    PRESSURE,
    SINE,
    SPIN_DAMPING,
    STIFFNESS,
    THRUST,
    is_uneven,
    rates,
    runge_kutta,
)
from .tables import LEVEL_COUNT, LEVEL_SCALE_M, MACH_COUNT, MACH_STEP

BURN_STEP_S = 0.012
COAST_STEP_S = 0.050
PHASE_STEP = 0.6  # longest step times the fastest angular rate [rad]
GREATEST_STEPS = 400_000
TOP_M = LEVEL_SCALE_M * (LEVEL_COUNT - 1) ** 2
TOP_MACH = MACH_STEP * (MACH_COUNT - 1)

# why free flight stopped; negative numbers are -ending
REACHED_TIME, REACHED_APOGEE, REACHED_HEIGHT, REACHED_GROUND = range(4)

# extremes gathered on the way
GREATEST_SPEED, GREATEST_MACH, GREATEST_ACCELERATION, GREATEST_PRESSURE, GREATEST_SINE, LEAST_MARGIN = range(6)
EXTREME_COUNT = 6


@inlined
def distance_to_event(kind, y, height_m):
    """Positive before the event, not after: climb rate for the apogee, height left for the others."""
    if kind == REACHED_APOGEE:
        return y[5]
    return y[2] - height_m


@inlined
def write_history(history, row, time_s, y, dy, note):
    """One line of the nominal history; see craft.HISTORY for the columns."""
    w, a, b, c = y[6], y[7], y[8], y[9]
    history[row, 0] = time_s
    for i in range(6):
        history[row, 1 + i] = y[i]
    history[row, 7] = 1.0 - 2.0 * (b * b + c * c)
    history[row, 8] = 2.0 * (a * b + w * c)
    history[row, 9] = 2.0 * (a * c - w * b)
    history[row, 10] = note[AIRSPEED]
    history[row, 11] = note[MACH]
    history[row, 12] = math.asin(min(note[SINE], 1.0))
    history[row, 13] = note[THRUST]
    history[row, 14] = note[LIVE_MASS]
    history[row, 15] = note[MARGIN]
    history[row, 16] = math.sqrt(dy[3] * dy[3] + dy[4] * dy[4] + dy[5] * dy[5])


@helper
def free_flight(craft, y, time_s, segment, until_s, to_apogee, floor_m, extremes, history, rows):
    """Fly the state `y` on until `until_s`, the apogee (if asked), `floor_m` on the way down, or the ground.

    Returns (why, state, time, segment, history rows).
    """
    last = craft.knot_s.shape[0] - 1
    for _ in range(GREATEST_STEPS):
        k1, note = rates(craft, segment, time_s, y)
        acceleration = math.sqrt(k1[3] * k1[3] + k1[4] * k1[4] + k1[5] * k1[5])
        extremes[GREATEST_SPEED] = max(extremes[GREATEST_SPEED], math.sqrt(y[3] * y[3] + y[4] * y[4] + y[5] * y[5]))
        extremes[GREATEST_MACH] = max(extremes[GREATEST_MACH], note[MACH])
        extremes[GREATEST_ACCELERATION] = max(extremes[GREATEST_ACCELERATION], acceleration)
        extremes[GREATEST_PRESSURE] = max(extremes[GREATEST_PRESSURE], note[PRESSURE])
        if segment < last:
            extremes[GREATEST_SINE] = max(extremes[GREATEST_SINE], note[SINE])
            extremes[LEAST_MARGIN] = min(extremes[LEAST_MARGIN], note[MARGIN])
        if rows < history.shape[0]:
            write_history(history, rows, time_s, y, k1, note)
            rows += 1
        if note[MACH] >= TOP_MACH:
            return -TOO_FAST, y, time_s, segment, rows
        if y[2] >= TOP_M:
            return -TOO_HIGH, y, time_s, segment, rows
        if time_s >= until_s:
            return REACHED_TIME, y, time_s, segment, rows

        turning = math.sqrt(y[11] * y[11] + y[12] * y[12])
        if segment < last and is_uneven(craft):
            turning = max(turning, abs(y[10]))
        fastest = max(math.sqrt(note[STIFFNESS]), turning, note[SPIN_DAMPING])
        h = BURN_STEP_S if segment < last else COAST_STEP_S
        if h * fastest > PHASE_STEP:
            h = PHASE_STEP / fastest
        h *= craft.step_scale
        to_knot, to_stop = math.inf, until_s - time_s
        if segment < last:
            to_knot = craft.knot_s[segment + 1] - time_s
        h = min(h, to_knot, to_stop)
        new = runge_kutta(craft, segment, time_s, h, y, k1)
        if not math.isfinite(new[0] + new[2] + new[5] + new[6] + new[10] + new[11] + new[12]):
            return -NOT_FINITE, y, time_s, segment, rows

        kind = -1
        if to_apogee and y[5] > 0.0 and new[5] <= 0.0:
            kind, goal = REACHED_APOGEE, 0.0
        elif floor_m > 0.0 and y[2] > floor_m and new[2] <= floor_m:
            kind, goal = REACHED_HEIGHT, floor_m
        elif new[2] <= 0.0 and y[2] > 0.0:
            kind, goal = REACHED_GROUND, 0.0
        if kind >= 0:
            low, high, part = 0.0, h, h
            at_low = distance_to_event(kind, y, goal)
            at_high = distance_to_event(kind, new, goal)
            for turn in range(60):
                part = low + (high - low) * at_low / (at_low - at_high)
                if turn % 3 == 2:
                    part = 0.5 * (low + high)  # keeps false position from creeping along one end
                new = runge_kutta(craft, segment, time_s, part, y, k1)
                here = distance_to_event(kind, new, goal)
                if here > 0.0:
                    low, at_low = part, here
                else:
                    high, at_high = part, here
                if abs(here) < 1e-10 or high - low < 1e-13:
                    break
            h = part
        y = new
        if h >= to_knot:
            segment += 1
            time_s = craft.knot_s[segment]
        elif h >= to_stop:
            time_s = until_s
        else:
            time_s += h
        if kind >= 0:
            return kind, y, time_s, segment, rows
    return -TOO_LONG, y, time_s, segment, rows
