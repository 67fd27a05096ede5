"""A row a rocket: each flight's measured over estimated apogee, the mean and its interval."""

from __future__ import annotations

import math
from dataclasses import dataclass

from reports.drawings.axes import TYPE, empty, names_at, on_phone, round_step
from reports.figures import MINUS
from reports.scene import Area, Disc, Label, Line, Look, Scene, Shape, rectangle
from reports.typeface import width as text_width

ROW, ROW_ON_PHONE = 20.0, 25.0  # there names take two lines
TOP, FOOT = 16.0, 24.0
NAME_SHARE, MOST_NAME = 0.3, 120.0
LEAST_REACH, MOST_REACH = 0.05, 0.6  # of the ratio either way; what lies farther out is drawn at the edge


@dataclass(frozen=True)
class BiasRow:
    """One rocket, or all: ratios of its flights that count, their mean and its 95 % interval where there is one."""

    name: str
    ratios: tuple[float, ...]
    mean: float | None
    low: float | None = None
    high: float | None = None
    proposed: bool = False
    strong: bool = False


def rocket_bias_picture(rows: tuple[BiasRow, ...], width: float) -> Scene:
    """The rows from the top; the height follows from their number."""
    known = [row for row in rows if row.mean is not None and math.isfinite(row.mean)]
    if not known:
        scene = Scene(width, 90.0, "Measured over estimated apogee", "No flight counts.")
        scene.add(*empty((0.5, 0.5, width - 0.5, 89.5), "Nothing to compare", "no flight has both apogees"))
        return scene
    pitch = ROW_ON_PHONE if on_phone(width) else ROW
    height = TOP + pitch * len(known) + FOOT
    scene = Scene(width, height, "Measured over estimated apogee, by rocket")
    left, right = min(NAME_SHARE * width, MOST_NAME), width - 12.0
    ends = [abs(value - 1.0) for row in known for value in (*row.ratios, row.mean, row.low, row.high) if value]
    reach = min(max(1.1 * max(ends), LEAST_REACH), MOST_REACH)

    def across(ratio: float) -> float:
        return left + (right - left) * (min(max(ratio - 1.0, -reach), reach) + reach) / (2.0 * reach)

    step = round_step(2.0 * reach, 6)
    count = int(reach / step + 1e-9)
    digits = 0 if step >= 0.01 - 1e-12 else 1
    for number in range(-count, count + 1):
        x = across(1.0 + number * step)
        look = Look(stroke="ink", width=0.9) if number == 0 else Look(stroke="tint", width=0.5)
        scene.add(Line(((x, TOP), (x, height - FOOT)), look, "same" if number == 0 else "grid"))
        sign = "" if number == 0 else "+" if number > 0 else MINUS
        text = f"{sign}{100.0 * abs(number) * step:.{digits}f}"
        scene.add(Label(text, (x, height - FOOT + 10.0), TYPE, "middle", role="soft"))
    said = "measured less estimated, % of the estimate"
    if text_width(said, TYPE) > width:
        said = "measured less estimated, %"
    scene.add(Label(said, (width, height - 3.0), TYPE, "end", role="soft"))
    for number, row in enumerate(known):
        scene.add(*_row(row, TOP + pitch * (number + 0.5), across, left, right))
    scene.description = "; ".join(_words(row) for row in known) + "."
    return scene


def _row(row: BiasRow, level: float, across, left: float, right: float) -> list[Shape]:
    mean = across(row.mean)
    shapes: list[Shape] = [
        Line(((left, level), (right, level)), Look(stroke="tint", width=0.5), "row"),
        *names_at(row.name, left - 6.0, level, row.strong or row.proposed),
    ]
    shapes += [Disc((across(each), level), 1.5, Look(fill="rule"), "flight") for each in row.ratios]
    if row.low is not None and row.high is not None:
        box = (across(row.low), level - 3.2, across(row.high), level + 3.2)
        shapes.append(Area((rectangle(box),), Look(fill="accent", opacity=0.25), "interval"))
    fill = Look(fill="accent" if row.proposed else "paper", stroke="accent", width=1.3)
    return [*shapes, Disc((mean, level), 2.8, fill, "mean")]


def _words(row: BiasRow) -> str:
    off = f"{100.0 * abs(float(row.mean or 1.0) - 1.0):.1f} % {'lower' if (row.mean or 1.0) < 1.0 else 'higher'}"
    said = f"{row.name}: {len(row.ratios)} flights, {off}" if row.ratios else f"{row.name}: {off}"
    return f"{said}, a correction is put forward" if row.proposed else said
