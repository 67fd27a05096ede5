"""Measured against estimated apogee, a mark a flight, and the line on which the two are the same."""

from __future__ import annotations

import math
from dataclasses import dataclass

from reports.drawings.axes import TYPE, empty, on_phone, round_step
from reports.drawings.key_lines import LEAD, draw_lines, key_lines
from reports.figures import Units, plain, scale
from reports.labels import LabelPlacer
from reports.scene import XY, Area, Box, Cut, Disc, Label, Line, Look, Scene, Shape, rectangle
from reports.typeface import width as text_width

LEFT, TOP, RIGHT, FOOT = 40.0, 18.0, 4.0, 16.0
LEFT_ON_PHONE = 34.0
KEY = ("line: the same; band: 10 % either way; cross: left out",)
STEPS = (1.0, 2.0, 5.0)
CROSS = 3.0
TITLE = "Measured against estimated apogee"


@dataclass(frozen=True)
class ApogeePoint:
    """One flight: apogees above the field. [m] `counts` is false for one that is left out."""

    rocket: str
    estimated_m: float
    measured_m: float
    counts: bool = True


@dataclass(frozen=True)
class _Logs:
    """Maps printed numbers by their logarithm, the same way up as across."""

    box: Box
    low: float
    high: float

    def point(self, x: float, y: float) -> XY:
        left, top, right, bottom = self.box
        span = math.log(self.high / self.low)
        return (
            left + (right - left) * math.log(x / self.low) / span,
            bottom - (bottom - top) * math.log(y / self.low) / span,
        )


def apogee_match_picture(points: tuple[ApogeePoint, ...], units: Units, width: float, height: float) -> Scene:
    """All flights on logarithmic axes, so that a per cent is as long for a small rocket as for a large one."""
    scene = Scene(width, height, TITLE)
    shown = [each for each in points if _drawable(each)]
    if not shown:
        scene.description = "No flight has a measured and an estimated apogee."
        scene.add(*empty((0.5, 0.5, width - 0.5, height - 0.5), "No apogees", "none was measured and estimated"))
        return scene
    factor, _, unit = scale("length", 1.0, units)
    ends = [value * factor for each in shown for value in (each.estimated_m, each.measured_m)]
    key = key_lines(KEY, width)
    box = (LEFT_ON_PHONE if on_phone(width) else LEFT, TOP, width - RIGHT, height - FOOT - LEAD * len(key) - 4.0)
    axes = _Logs(box, min(ends) / 1.15, max(ends) * 1.15)
    scene.add(*_grid(axes, unit, width), *draw_lines(key, axes.box[3] + FOOT - 1.0))
    start, end = axes.point(axes.low, axes.low), axes.point(axes.high, axes.high)
    scene.add(Cut((rectangle(axes.box),), (*_band(axes), Line((start, end), Look(stroke="ink", width=0.9), "same"))))
    placer = LabelPlacer(axes.box)
    for each in shown:
        at = axes.point(each.estimated_m * factor, each.measured_m * factor)
        scene.add(*_mark(at, each.counts))
        placer.keep_free((at[0] - 3.5, at[1] - 3.5, at[0] + 3.5, at[1] + 3.5))
    for rocket in dict.fromkeys(each.rocket for each in shown):
        own = [axes.point(e.estimated_m * factor, e.measured_m * factor) for e in shown if e.rocket == rocket]
        scene.add(*placer.place(rocket, max(own, key=lambda at: at[1]), role="soft", name="rocket"))
    out = sum(1 for each in shown if not each.counts)
    scene.description = (
        f"{len(shown) - out} flights as dots, {out} left out as crosses; "
        f"{sum(1 for e in shown if e.counts and e.measured_m < e.estimated_m)} went lower than estimated."
    )
    return scene


def _drawable(each: ApogeePoint) -> bool:
    return all(math.isfinite(value) and value > 0.0 for value in (each.estimated_m, each.measured_m))


def _grid(axes: _Logs, unit: str, width: float) -> list[Shape]:
    left, top, right, bottom = axes.box
    shapes: list[Shape] = []
    thin = Look(stroke="tint", width=0.5)
    for value in _ticks(axes.low, axes.high):
        across, level = axes.point(value, value)
        text = plain(value, 0)
        shapes.append(Line(((across, top), (across, bottom)), thin, "grid"))
        shapes.append(Line(((left, level), (right, level)), thin, "grid"))
        if across + 0.5 * text_width(text, TYPE) <= width:
            shapes.append(Label(text, (across, bottom + 9.5), TYPE, "middle", role="soft"))
        shapes.append(Label(text, (left - 3.0, level + 0.36 * TYPE), TYPE, "end", role="soft"))
    shapes.append(Line(((left, top), (left, bottom), (right, bottom)), Look(stroke="ink", width=0.8), "axis"))
    said = f"measured apogee, {unit}; across: estimated, {unit}"
    if text_width(said, TYPE) > width:
        said = f"measured apogee; across: estimated, {unit}"
    shapes.append(Label(said, (0.0, top - 6.5), TYPE, role="soft"))
    return shapes


def _ticks(low: float, high: float) -> list[float]:
    """Round numbers between two ends, three of them or more."""
    powers = range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
    found = [step * 10.0**power for power in powers for step in STEPS if low <= step * 10.0**power <= high]
    if len(found) >= 3:
        return found
    step = round_step(high - low, 6)
    return [number * step for number in range(math.ceil(low / step), math.floor(high / step) + 1)]


def _band(axes: _Logs) -> list[Shape]:
    corners = ((axes.low, 0.9 * axes.low), (axes.high, 0.9 * axes.high), (axes.high, 1.1 * axes.high),
               (axes.low, 1.1 * axes.low))  # fmt: skip
    return [Area((tuple(axes.point(x, y) for x, y in corners),), Look(fill="accent", opacity=0.08), "band")]


def _mark(at: XY, counts: bool) -> list[Shape]:
    x, y = at
    if counts:
        return [Disc(at, 2.2, Look(fill="accent", stroke="paper", width=0.4), "flight")]
    ink = Look(stroke="stop", width=1.1)
    return [
        Line(((x - CROSS, y - CROSS), (x + CROSS, y + CROSS)), ink, "left-out"),
        Line(((x - CROSS, y + CROSS), (x + CROSS, y - CROSS)), ink, "left-out"),
    ]
