"""Measured less estimated landing points, turned so that the wind blows up the picture."""

from __future__ import annotations

import math
from dataclasses import dataclass

from reports.drawings.axes import TYPE, empty, on_phone, round_step
from reports.drawings.key_lines import LEAD, draw_lines, key_lines
from reports.figures import MINUS, plain
from reports.scene import XY, Area, Box, Disc, Label, Line, Look, Scene, Shape, rectangle
from reports.typeface import width as text_width

KEY = ("plus: the estimate; open ring: the mean; cross: left out", "dashed: predicted for 95 of 100 flights")
HEAD, SHORT_HEAD = "down the wind, in predicted spreads; across: to the right", "down the wind; across: to the right"
LEFT, TOP, RIGHT, FOOT = 34.0, 18.0, 4.0, 16.0
LEFT_ON_PHONE = 18.0
SIDES = 72
NINETY_FIVE = math.sqrt(-2.0 * math.log(0.05))  # standard deviations that hold 95 % of a round normal spread


@dataclass(frozen=True)
class OffsetPoint:
    """One flight: measured less estimated, along the wind and across it to the right, each over its predicted spread
    (one standard deviation), so that high and low flights compare. [-]"""

    along: float
    across: float
    counts: bool = True


def landing_offsets_picture(points: tuple[OffsetPoint, ...], width: float, height: float) -> Scene:
    """All offsets around the estimate, in standard deviations of what was predicted for each."""
    scene = Scene(width, height, "Measured less estimated landing point")
    shown = [each for each in points if math.isfinite(each.along) and math.isfinite(each.across)]
    if not shown:
        scene.description = "No flight has a measured and an estimated landing point."
        scene.add(*empty((0.5, 0.5, width - 0.5, height - 0.5), "No landing points", "none is known and estimated"))
        return scene
    said = HEAD if text_width(HEAD, TYPE) <= width else SHORT_HEAD
    key = key_lines((*KEY, *(("figures: in predicted spreads",) if said != HEAD else ())), width)
    left = LEFT_ON_PHONE if on_phone(width) else LEFT
    box = (left, TOP, width - RIGHT, height - FOOT - LEAD * len(key) - 4.0)
    reach = 1.08 * max(NINETY_FIVE, *(max(abs(each.along), abs(each.across)) for each in shown))
    middle = ((box[0] + box[2]) / 2.0, (box[1] + box[3]) / 2.0)
    by = min(box[2] - box[0], box[3] - box[1]) / 2.0 / reach

    def at(along: float, across: float) -> XY:
        return middle[0] + by * across, middle[1] - by * along

    scene.add(*_grid(box, middle, by, said))
    scene.add(Disc(middle, by * NINETY_FIVE, Look(fill="accent", opacity=0.07), "ring"))
    scene.add(Line(_ring(middle, by * NINETY_FIVE), Look(stroke="accent", width=0.9, dash=(4.0, 2.0)), "ring"))
    for each in shown:
        scene.add(*_mark(at(each.along, each.across), each.counts))
    own = [each for each in shown if each.counts]
    if own:
        mean = (sum(each.along for each in own) / len(own), sum(each.across for each in own) / len(own))
        scene.add(Disc(at(*mean), 4.2, Look(stroke="accent", width=1.6), "mean"))
    (x, y), ink = middle, Look(stroke="ink", width=1.1)
    scene.add(Line(((x - 6.0, y), (x + 6.0, y)), ink, "estimate"), Line(((x, y - 6.0), (x, y + 6.0)), ink, "estimate"))
    scene.add(*draw_lines(key, box[3] + FOOT - 1.0))
    inside = sum(1 for each in own if math.hypot(each.along, each.across) <= NINETY_FIVE)
    scene.description = (
        f"{len(own)} landing points around their estimates, {len(shown) - len(own)} left out; {inside} of {len(own)} "
        "lie within what was predicted for 95 of 100."
    )
    return scene


def _ring(middle: XY, radius: float) -> tuple[XY, ...]:
    turns = (2.0 * math.pi * number / SIDES for number in range(SIDES + 1))
    return tuple((middle[0] + radius * math.cos(turn), middle[1] + radius * math.sin(turn)) for turn in turns)


def _grid(box: Box, middle: XY, by: float, said: str) -> list[Shape]:
    left, top, right, bottom = box
    step = round_step((right - left) / by, 8)
    thin = Look(stroke="tint", width=0.5)
    shapes: list[Shape] = []
    for number in range(-8, 9):
        text = (
            f"{MINUS if number < 0 else ''}{plain(abs(number) * step, math.floor(math.log10(step) + 1e-9), trim=True)}"
        )
        x, y = middle[0] + by * number * step, middle[1] - by * number * step
        if left <= x <= right:
            shapes.append(Line(((x, top), (x, bottom)), thin, "grid"))
            shapes.append(Label(text, (x, bottom + 9.5), TYPE, "middle", role="soft"))
        if top <= y <= bottom:
            shapes.append(Line(((left, y), (right, y)), thin, "grid"))
            shapes.append(Label(text, (left - 3.0, y + 0.36 * TYPE), TYPE, "end", role="soft"))
    shapes.append(Area((rectangle(box),), Look(stroke="ink", width=0.8), "frame"))
    shapes.append(Label(said, (0.0, top - 6.5), TYPE, role="soft"))
    return shapes


def _mark(at: XY, counts: bool) -> list[Shape]:
    x, y = at
    if counts:
        return [Disc(at, 2.2, Look(fill="ink"), "flight")]
    ink = Look(stroke="stop", width=1.1)
    return [
        Line(((x - 3.0, y - 3.0), (x + 3.0, y + 3.0)), ink, "left-out"),
        Line(((x - 3.0, y + 3.0), (x + 3.0, y - 3.0)), ink, "left-out"),
    ]
