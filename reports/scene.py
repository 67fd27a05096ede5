"""A picture as plain shapes, drawn once and written as SVG or onto paper.

Coordinates run right and down from the top left corner; one unit is a point on paper.
Colours are roles of `theme`, so that a page may show the same picture on dark ground.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Literal

from reports.theme import Role
from reports.typeface import width as text_width

XY = tuple[float, float]
Box = tuple[float, float, float, float]  # left, top, right, bottom

ASCENT = 0.76  # of the type size, above the baseline (Vera: capitals 0.73)
DESCENT = 0.24


@dataclass(frozen=True)
class Look:
    """How a shape is filled and stroked; `opacity` is that of the fill."""

    fill: Role | None = None
    stroke: Role | None = None
    width: float = 0.8
    dash: tuple[float, ...] = ()
    opacity: float = 1.0


@dataclass(frozen=True)
class Area:
    """Closed rings, filled even-odd: a ring inside another is a hole."""

    rings: tuple[tuple[XY, ...], ...]
    look: Look
    name: str = ""
    title: str = ""


@dataclass(frozen=True)
class Line:
    points: tuple[XY, ...]
    look: Look
    name: str = ""


@dataclass(frozen=True)
class Disc:
    centre: XY
    radius: float
    look: Look
    name: str = ""


@dataclass(frozen=True)
class Label:
    """One line of text; `at` is on the baseline, at its start, middle or end."""

    text: str
    at: XY
    size: float = 8.0
    anchor: Literal["start", "middle", "end"] = "start"
    bold: bool = False
    role: Role = "ink"
    name: str = "label"

    def box(self, margin: float = 0.0) -> Box:
        wide = text_width(self.text, self.size, self.bold)
        left = self.at[0] - {"start": 0.0, "middle": 0.5, "end": 1.0}[self.anchor] * wide
        top, bottom = self.at[1] - ASCENT * self.size, self.at[1] + DESCENT * self.size
        return left - margin, top - margin, left + wide + margin, bottom + margin


@dataclass(frozen=True)
class Cut:
    """Shapes of which only what lies inside the rings shows."""

    rings: tuple[tuple[XY, ...], ...]
    shapes: tuple[Shape, ...]
    name: str = ""


Shape = Area | Line | Disc | Label | Cut


@dataclass
class Scene:
    """A picture of a given size, with the words that stand for it where it cannot be seen."""

    width: float
    height: float
    title: str
    description: str = ""
    shapes: list[Shape] = field(default_factory=list)

    def add(self, *shapes: Shape) -> None:
        self.shapes.extend(shapes)

    def labels(self) -> list[str]:
        """All text of the picture, in drawing order."""
        return [shape.text for shape in walk(self.shapes) if isinstance(shape, Label)]

    def bounds(self) -> Box:
        """What is covered by ink: everything drawn, cut to its clips."""
        return union(extent(shape) for shape in self.shapes)


def walk(shapes: Iterable[Shape]) -> Iterator[Shape]:
    for shape in shapes:
        yield shape
        if isinstance(shape, Cut):
            yield from walk(shape.shapes)


def rectangle(box: Box) -> tuple[XY, ...]:
    left, top, right, bottom = box
    return (left, top), (right, top), (right, bottom), (left, bottom)


def union(boxes: Iterable[Box]) -> Box:
    """The box around boxes; nothing at all gives an empty box at the corner."""
    found = [box for box in boxes if box[2] >= box[0] and box[3] >= box[1]]
    if not found:
        return 0.0, 0.0, 0.0, 0.0
    lefts, tops, rights, bottoms = zip(*found, strict=True)
    return min(lefts), min(tops), max(rights), max(bottoms)


def meet(one: Box, other: Box) -> Box:
    return max(one[0], other[0]), max(one[1], other[1]), min(one[2], other[2]), min(one[3], other[3])


def overlap(one: Box, other: Box) -> bool:
    left, top, right, bottom = meet(one, other)
    return left < right and top < bottom


def box_of(points: Iterable[XY]) -> Box:
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def extent(shape: Shape) -> Box:
    """The box around one shape, half its line included."""
    if isinstance(shape, Label):
        return shape.box()
    if isinstance(shape, Cut):
        return meet(union(extent(inner) for inner in shape.shapes), box_of(p for ring in shape.rings for p in ring))
    half = shape.look.width / 2.0 if shape.look.stroke else 0.0
    if isinstance(shape, Disc):
        (x, y), reach = shape.centre, shape.radius + half
        return x - reach, y - reach, x + reach, y + reach
    points = shape.points if isinstance(shape, Line) else [p for ring in shape.rings for p in ring]
    left, top, right, bottom = box_of(points)
    return left - half, top - half, right + half, bottom + half
