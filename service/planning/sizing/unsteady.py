"""Rockets that by estimate do not fly straight: nothing that is reckoned of their landings holds, so they are left out.
"""

from __future__ import annotations

import math
from dataclasses import replace

from service.flight.errors import FlightError
from service.flight.nominal import simulate
from service.models.day import LaunchDay
from service.models.sizing import LeftOut
from service.planning.flight_inputs import flight_inputs
from service.planning.sizing.fleet import Fleet, FleetRocket
from service.planning.sizing.flights import upright
from service.planning.sizing.profiles import Profile


def without_unsteady(day: LaunchDay, fleet: Fleet, profile: Profile) -> tuple[Fleet, tuple[LeftOut, ...]]:
    """The fleet without the rockets whose static margin falls to zero or below while thrust lasts, and those.

    `profile` is the wind that they are looked at in. One that cannot be flown stays: its flights say why.
    """
    kept: list[FleetRocket] = []
    out: list[LeftOut] = []
    for rocket in fleet.rockets:
        margin_cal = least_margin_cal(day, rocket, profile)
        if margin_cal is None or margin_cal > 0.0:
            kept.append(rocket)
        else:
            out.append(LeftOut(rocket=rocket.name, letter=rocket.letter, count=rocket.count, margin_cal=margin_cal))
    return replace(fleet, rockets=tuple(kept)), tuple(out)


def least_margin_cal(day: LaunchDay, rocket: FleetRocket, profile: Profile) -> float | None:
    """From the guide's end until thrust ends; None where it is not known. [calibers]"""
    try:
        inputs = upright(flight_inputs(day, rocket.entry, profile.conditions(day.conditions), motor=rocket.motor))
        figures = simulate(inputs.setup, history=False).figures
    except FlightError:
        return None
    if inputs.unknown_shape:
        return None  # its margin is drawn, and shows nothing
    known = [figures[name] for name in ("exit_margin_cal", "least_margin_cal") if math.isfinite(figures[name])]
    return min(known, default=None)
