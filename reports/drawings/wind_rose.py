"""A wind rose: a petal for each direction the wind comes from, as long as it is often, and its mean speed in words."""

from __future__ import annotations

import math

from reports.amounts import Amount
from reports.drawings.axes import TYPE, empty, on_phone, round_step
from reports.figures import Units, amount_text, plain
from reports.scene import XY, Area, Disc, Label, Line, Look, Scene
from reports.sentences import compass
from reports.sizing_data import RosePetal

PETAL = 0.8  # of a sector's width
ROOM = 12.0  # around the rose, for the compass letters
RINGS = 3
FOOT = 12.0  # under the rose, for the words


def wind_rose(petals: tuple[RosePetal, ...], units: Units, width: float, height: float) -> Scene:
    """The rose; the wind blows from each petal's tip to the middle."""
    scene = Scene(width, height, "Where the wind comes from", "No wind is known.")
    most = max((petal.share for petal in petals), default=0.0)
    if not most > 0.0:
        scene.add(*empty((0.5, 0.5, width - 0.5, height - 0.5), "No wind known", ""))
        return scene
    foot = FOOT if on_phone(width) else 0.0  # elsewhere the words stand in the corner
    x, y = width / 2, (height - foot) / 2
    reach = min(width, height - foot) / 2 - ROOM
    step = round_step(100.0 * most, RINGS)
    top = step * math.ceil(100.0 * most / step - 1e-9)
    for ring in range(1, round(top / step) + 1):
        radius = reach * ring * step / top
        scene.add(Disc((x, y), radius, Look(stroke="tint", width=0.6), "ring"))
    for bearing, word in ((0, "N"), (90, "E"), (180, "S"), (270, "W")):
        east, up = math.sin(math.radians(bearing)), math.cos(math.radians(bearing))
        at = (x + east * (reach + 6.0), y - up * (reach + 6.0) + 0.36 * TYPE)
        scene.add(Label(word, at, TYPE, "middle", bold=True, name="compass"))
    half = math.radians(0.5 * PETAL * 360.0 / len(petals))
    for petal in petals:
        if petal.share > 0.0:
            wedge = _petal((x, y), math.radians(petal.from_deg), half, reach * 100.0 * petal.share / top)
            scene.add(Area((wedge,), Look(fill="accent", stroke="accent", width=0.6, opacity=0.45), "petal"))
    label = f"{plain(step, math.floor(math.log10(step) + 1e-9), trim=True)} % of hours a ring"
    scene.add(Line(((x, y), (x, y)), Look(stroke="ink", width=0.6), "middle"))
    scene.add(Label(label, (width - 0.5, height - 2.5), TYPE, "end", role="soft"))
    often = sorted(petals, key=lambda petal: -petal.share)[:3]
    said = (
        f"from {compass(p.from_deg)} ({p.from_deg:.0f}°) {amount_text(Amount(p.share, 'chance'), 'si')} of hours, "
        f"mean {amount_text(Amount(p.mean_mps, 'wind_speed'), units)}"
        for p in often
    )
    scene.description = f"Most often {'; '.join(said)}."
    return scene


def _petal(centre: XY, bearing: float, half: float, length: float) -> tuple[XY, ...]:
    """A wedge from the middle outward, its end an arc."""
    x, y = centre
    arc = [bearing - half + half * 2.0 * step / 6.0 for step in range(7)]
    return (centre, *((x + length * math.sin(angle), y - length * math.cos(angle)) for angle in arc))
