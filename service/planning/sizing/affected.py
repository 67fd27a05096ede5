"""The ground that a notice names: a circle around the pads that holds nearly every landing, however the flight ends."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from service.codes.units import convert
from service.models.assessment import Mode
from service.models.day import LaunchDay
from service.models.sizing import AffectedGround, AffectedMode
from service.planning.ground import Ground
from service.planning.sizing.fleet import Fleet

HELD_SHARE = 1.0 - math.exp(-4.5)  # what three standard deviations hold of a two-dimensional normal cloud: 98.9 %
TENTHS = 10.0
MODE_WORDS: dict[Mode, str] = {
    "planned": "as planned",
    "no_deployment": "should nothing open",
    "drogue_only": "on the drogue alone",
    "main_at_apogee": "with the main open at the apogee",
    "one_unlit": "with one motor unlit",
}


def affected_ground(
    day: LaunchDay,
    ground: Ground,
    fleet: Fleet,
    landings: Mapping[tuple[int, Mode], np.ndarray],
    best_at: tuple[float, float] | None,
) -> AffectedGround:
    """Radius by mode of the farthest rocket, and the circle around all of them.

    Parameters
    ----------
    landings : mapping
        (Rocket, mode) -> the season's landings about its pad, (n, 2). [m]
    best_at : tuple, optional
        The pad found, in the ground's frame.
    """
    pads = np.array([ground.pad_at(pad) for pad in day.field.pads])
    middle = pads.mean(axis=0)
    apart_m = float(np.hypot(*(pads - middle).T).max())
    farthest: dict[Mode, AffectedMode] = {}
    for (number, mode), points in landings.items():
        reach_m = float(np.quantile(np.hypot(points[:, 0], points[:, 1]), HELD_SHARE))
        if mode not in farthest or reach_m > farthest[mode].radius_m:
            rocket = fleet.rockets[number]
            farthest[mode] = AffectedMode(mode=mode, letter=rocket.letter, rocket=rocket.name, radius_m=reach_m)
    lost = len(fleet.rockets) - len({number for number, _ in landings})
    centre = ground.lonlat(float(middle[0]), float(middle[1]))
    centre_best = ground.lonlat(*best_at) if best_at else None
    if not farthest:
        return AffectedGround(
            centre=centre, centre_best=centre_best, radius_m=None, radius_nmi=None, share=HELD_SHARE, modes=(),
            words="The affected ground is not known: no rocket of the fleet could be flown in every wind.",
        )  # fmt: skip
    widest = max(farthest.values(), key=lambda each: each.radius_m)
    radius_nmi = math.ceil(TENTHS * convert(widest.radius_m + apart_m, "m", "nmi") - 1e-9) / TENTHS
    radius_m = convert(radius_nmi, "nmi", "m")
    words = (
        f"A circle of {radius_nmi:g} NM ({radius_m:,.0f} m) around the pads holds {100.0 * HELD_SHARE:.1f} of 100 "
        f"landings of every rocket and every way of ending; {widest.rocket}, {MODE_WORDS[widest.mode]}, reaches "
        f"farthest ({widest.radius_m:,.0f} m)."
    )
    if lost:
        words += f" {lost} of {len(fleet.rockets)} rockets could not be flown in every wind and are not in this figure."
    return AffectedGround(
        centre=centre, centre_best=centre_best, radius_m=radius_m, radius_nmi=radius_nmi, share=HELD_SHARE,
        modes=tuple(farthest.values()), words=words,
    )  # fmt: skip
