"""The ceiling to ask for: how high the fleet flies in the season, and a margin for what the estimate does not know."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from service.codes.units import convert
from service.models.day import LaunchDay
from service.models.sizing import CeilingAsk
from service.planning.sizing.fleet import Fleet
from service.planning.sizing.flights import Flights
from service.planning.sizing.season_cloud import Cells

PERCENTILE = 0.99
MARGIN_SHARE = 0.10  # common practice: the apogee stays under nine tenths of the ceiling or so
ROUND_UP_FT = 100.0  # altitudes are asked for in hundreds of feet


def upper_apogee_m(flights: Flights, rocket: int, cells: Cells, percentile: float = PERCENTILE) -> float | None:
    """Upper percentile of a rocket's dispersed apogees over the hours of the cells. None: not flown. [m]

    Each hour counts as the nearest speed flown.
    """
    if flights.why(rocket):
        return None
    speeds = flights.profiles.speeds_mps
    nearest = np.abs(cells.speed_mps[:, None] - speeds[None, :]).argmin(axis=1)
    apogees, weights = [], []
    for layer, speed in np.unique(np.column_stack([cells.layer, nearest]), axis=0):
        found = flights.of(rocket, int(layer), int(speed)).apogees_m
        hours = float(cells.weight[(cells.layer == layer) & (nearest == speed)].sum())
        apogees.append(found)
        weights.append(np.full(found.size, hours / found.size))
    heights, weight = np.concatenate(apogees), np.concatenate(weights)
    order = np.argsort(heights, kind="stable")
    share = np.cumsum(weight[order]) / weight.sum()
    return float(heights[order][min(int(np.searchsorted(share, percentile)), heights.size - 1)])


def ceiling_to_ask(day: LaunchDay, fleet: Fleet, tops: Sequence[float | None]) -> CeilingAsk:
    """The ceiling, above the field and above sea level, in the hundreds of feet that it is asked for in.

    `tops` is `upper_apogee_m` of each rocket of the fleet.
    """
    known = [(top, number) for number, top in enumerate(tops) if top is not None]
    ever = [ceiling.height_agl_m(day.field.elevation_m) for ceiling in day.ceilings]
    present_m = max(ever, default=None)
    if not known:
        return CeilingAsk(
            rocket=None, letter=None, apogee_upper_m=None, percentile=PERCENTILE, margin_share=MARGIN_SHARE,
            agl_m=None, msl_m=None, agl_ft=None, msl_ft=None, present_agl_m=present_m,
            words="The ceiling to ask for is not known: no rocket of the fleet could be flown in every wind.",
        )  # fmt: skip
    top_m, number = max(known)
    rocket = fleet.rockets[number]
    agl_ft = up_to_hundreds_ft(top_m * (1.0 + MARGIN_SHARE))
    msl_ft = up_to_hundreds_ft(top_m * (1.0 + MARGIN_SHARE) + day.field.elevation_m)
    agl_m, msl_m = convert(agl_ft, "ft", "m"), convert(msl_ft, "ft", "m")
    words = (
        f"Ask for {agl_ft:,.0f} ft ({agl_m:,.0f} m) above the field, {msl_ft:,.0f} ft above sea level: {rocket.name} "
        f"stays under {top_m:,.0f} m in {100.0 * PERCENTILE:.0f} of 100 flights of the season, and "
        f"{100.0 * MARGIN_SHARE:.0f} % are added for what the model does not know."
    )
    lost = len(tops) - len(known)
    if lost:
        words += f" {lost} of {len(tops)} rockets could not be flown in every wind and are not in this figure."
    if present_m is not None:
        enough = present_m >= top_m * (1.0 + MARGIN_SHARE)
        verdict = "is enough" if enough else "is TOO LOW"
        words += f" The ceiling entered for the day, {present_m:,.0f} m, {verdict} for that."
    return CeilingAsk(
        rocket=rocket.name, letter=rocket.letter, apogee_upper_m=top_m, percentile=PERCENTILE,
        margin_share=MARGIN_SHARE, agl_m=agl_m, msl_m=msl_m, agl_ft=agl_ft, msl_ft=msl_ft, present_agl_m=present_m,
        words=words,
    )  # fmt: skip


def up_to_hundreds_ft(height_m: float) -> float:
    """A height in feet, up to the next hundred.

    >>> up_to_hundreds_ft(914.7), up_to_hundreds_ft(914.4)
    (3100.0, 3000.0)
    """
    return ROUND_UP_FT * math.ceil(convert(height_m, "m", "ft") / ROUND_UP_FT - 1e-9)
