"""A plain plot: thin rules at round numbers, their figures outside the frame."""

from __future__ import annotations

import math
from dataclasses import dataclass

from reports.figures import plain
from reports.scene import XY, Area, Box, Label, Line, Look, Shape, rectangle
from reports.typeface import lines_of
from reports.typeface import width as text_width

TYPE = 7.5
NAME_LEAD = 9.0  # between the two lines of a row's name
PHONE = 175.0  # a picture narrower than this is drawn for a phone, which shows it more than twice as large


def on_phone(width: float) -> bool:
    """Whether a picture of this width is one for a phone: letters take more of it, so there are fewer of them."""
    return width < PHONE


def room_for_figures(top: float, parts: int = 4) -> float:
    """How wide the figures up the side of a plot are, with the gap to the axis."""
    return max(text_width(_figure(each, top, parts), TYPE) for each in _ticks(top, parts)) + 5.0


def names_at(text: str, room: float, level: float, bold: bool = False) -> list[Shape]:
    """A row's name at the left edge, in two lines around the level where one has no room."""
    lines = lines_of(text, TYPE, room, bold)
    first = level + 0.36 * TYPE - 0.5 * NAME_LEAD * (len(lines) - 1)
    return [
        Label(line, (0.0, first + NAME_LEAD * number), TYPE, bold=bold, name="name")
        for number, line in enumerate(lines)
    ]


def round_step(span: float, most: int) -> float:
    """The smallest of 1, 2, 5 times a power of ten that divides a span into at most so many parts.

    >>> round_step(430.0, 5)
    100.0
    """
    if not (span > 0.0 and math.isfinite(span)):
        return 1.0
    power = 10.0 ** math.floor(math.log10(span / most))
    return next(factor * power for factor in (1.0, 2.0, 5.0, 10.0) if factor * power * most >= span * (1 - 1e-9))


def round_below(length: float) -> float:
    """The greatest of 1, 2, 5 times a power of ten that is not above a length.

    >>> round_below(430.0)
    200.0
    """
    power = 10.0 ** math.floor(math.log10(length) + 1e-9)
    return next(factor * power for factor in (5.0, 2.0, 1.0) if factor * power <= length * (1 + 1e-6))


@dataclass(frozen=True)
class Axes:
    """Maps printed numbers (already in the reader's units), x from 0 to `x_top`, y from 0 to `y_top`, into a box."""

    box: Box
    x_top: float
    y_top: float

    def point(self, x: float, y: float) -> XY:
        left, top, right, bottom = self.box
        return left + (right - left) * x / self.x_top, bottom - (bottom - top) * y / self.y_top

    def draw(self, x_name: str, y_name: str, x_parts: int = 6, y_parts: int = 4) -> list[Shape]:
        """Frame, rules and figures; names of the axes with their units."""
        left, top, right, bottom = self.box
        shapes: list[Shape] = []
        thin = Look(stroke="tint", width=0.5)
        for y in _ticks(self.y_top, y_parts):
            level = self.point(0.0, y)[1]
            shapes.append(Line(((left, level), (right, level)), thin, "grid"))
            shapes.append(
                Label(_figure(y, self.y_top, y_parts), (left - 3.0, level + 0.36 * TYPE), TYPE, "end", role="soft")
            )
        for x in _ticks(self.x_top, x_parts):
            across = self.point(x, 0.0)[0]
            shapes.append(Line(((across, top), (across, bottom)), thin, "grid"))
            shapes.append(Label(_figure(x, self.x_top, x_parts), (across, bottom + 9.5), TYPE, "middle", role="soft"))
        shapes.append(Label(f"{y_name}; across: {x_name}", (0.0, top - 4.5), TYPE, role="soft"))
        shapes.append(Line(((left, top), (left, bottom), (right, bottom)), Look(stroke="ink", width=0.8), "axis"))
        return shapes

    def frame(self) -> tuple[XY, ...]:
        return rectangle(self.box)


def _ticks(top: float, parts: int) -> list[float]:
    step = round_step(top, parts)
    return [i * step for i in range(int(top / step + 1e-9) + 1)]


def _figure(value: float, top: float, parts: int) -> str:
    step = round_step(top, parts)
    return plain(value, math.floor(math.log10(step) + 1e-9), trim=True)


def empty(box: Box, text: str, why: str) -> list[Shape]:
    """A plot that cannot be drawn, saying so as loudly as the plot would have spoken."""
    left, top, right, bottom = box
    middle, height = (left + right) / 2, (top + bottom) / 2
    return [
        Area((rectangle(box),), Look(stroke="unknown", width=1.0, dash=(4.0, 3.0)), "empty"),
        Label(text, (middle, height - 2.0), 10.0, "middle", bold=True, role="unknown"),
        *([Label(why, (middle, height + 11.0), TYPE, "middle", role="unknown")] if why else []),
    ]
