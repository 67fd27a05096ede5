"""What every field map has: a frame with a scale, north up, the wind as it blows, and the length of things."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from reports.amounts import Amount
from reports.drawings.axes import on_phone, round_below
from reports.drawings.wind_profile import arrow
from reports.figures import Units, amount_text, plain, scale
from reports.ground_data import Path, Point
from reports.scene import XY, Area, Box, Disc, Label, Line, Look, Scene, Shape, box_of, rectangle, union
from reports.sheet_data import WindLayer
from reports.typeface import fit
from reports.wind_words import from_anywhere, from_words

HEAD = 26.0  # strip above the map: wind and north
HEAD_ON_PHONE = 37.0  # there the wind's direction has a line of its own
TYPE = 7.5
ROOM_AROUND = 0.06  # of the field's size, beyond everything drawn
FARTHEST = 0.8  # of the field's size: contours may widen the map so far beyond the boundary


def finite(path: Iterable[Point]) -> Path:
    return tuple((float(x), float(y)) for x, y in path if math.isfinite(x) and math.isfinite(y))


@dataclass(frozen=True)
class MapFrame:
    """Ground metres to scene units: one scale both ways, north up."""

    box: Box
    centre: Point
    units_per_m: float

    def point(self, ground: Point) -> XY:
        left, top, right, bottom = self.box
        return (
            (left + right) / 2 + (ground[0] - self.centre[0]) * self.units_per_m,
            (top + bottom) / 2 - (ground[1] - self.centre[1]) * self.units_per_m,
        )

    def path(self, path: Iterable[Point]) -> tuple[XY, ...]:
        return tuple(self.point(p) for p in finite(path))

    def ring(self) -> tuple[XY, ...]:
        return rectangle(self.box)

    def holds(self, at: XY, margin: float = 0.0) -> bool:
        left, top, right, bottom = self.box
        return left + margin <= at[0] <= right - margin and top + margin <= at[1] <= bottom - margin


def lay_out(box: Box, field: Iterable[Point], others: Iterable[Point]) -> MapFrame:
    """A frame that holds the field, and the rest as far as that leaves the field readable."""
    points = finite(field) or ((-100.0, -100.0), (100.0, 100.0))
    left, low, right, high = box_of(points)
    size = max(right - left, high - low, 10.0)
    reach = FARTHEST * size
    near = [
        (min(max(x, left - reach), right + reach), min(max(y, low - reach), high + reach)) for x, y in finite(others)
    ]
    left, low, right, high = union([(left, low, right, high), *([box_of(near)] if near else [])])
    wide, tall = max(right - left, size * 0.1), max(high - low, size * 0.1)
    room = 1.0 + 2.0 * ROOM_AROUND
    units_per_m = min((box[2] - box[0]) / (wide * room), (box[3] - box[1]) / (tall * room))
    return MapFrame(box, ((left + right) / 2, (low + high) / 2), units_per_m)


def head_tall(width: float) -> float:
    """How tall the strip above a map of this width is."""
    return HEAD_ON_PHONE if on_phone(width) else HEAD


def head(scene: Scene, frame: MapFrame, wind: WindLayer | None, units: Units) -> None:
    """The strip above: the wind in words beside an arrow the way it blows; north at the right."""
    left, top, right, _ = frame.box
    tall = head_tall(scene.width)
    middle = top - tall / 2 - 1.0
    scene.add(*north_arrow((right - 9.0, middle)))
    known = wind is not None and math.isfinite(wind.speed_mps) and math.isfinite(wind.from_deg)
    if wind is None or not known:
        scene.add(Label("wind UNKNOWN", (left, middle + 3.0), 9.0, bold=True, role="unknown", name="wind"))
        return
    scene.add(Disc((left + 11.0, middle), 10.5, Look(stroke="rule", width=0.5), "wind"))
    if not from_anywhere(wind):
        scene.add(*arrow((left + 11.0, middle), wind.from_deg + 180.0, 18.0))
    speed = amount_text(Amount(wind.speed_mps, "wind_speed"), units)
    second = f"at {amount_text(Amount(wind.height_m, 'length'), units)} above the field"
    if wind.gust_mps is not None and math.isfinite(wind.gust_mps):
        second += f", gusts {amount_text(Amount(wind.gust_mps, 'wind_speed'), units)}"
    room = right - left - 52.0
    said, base = tuple(f"wind {speed} {where}" for where in from_words(wind)), middle - 1.0
    if tall > HEAD:
        scene.add(Label(f"wind {speed}", (left + 27.0, middle - 6.5), 9.0, bold=True, name="wind"))
        said, base = from_words(wind), middle + 4.0
    second = _one_of((second, second.replace(" above the field", "")), TYPE, room)
    scene.add(Label(_one_of(said, 9.0, room, True), (left + 27.0, base), 9.0, bold=True, name="wind"))
    scene.add(Label(second, (left + 27.0, base + 10.0), TYPE, role="soft", name="wind"))


def _one_of(texts: tuple[str, ...], size: float, room: float, bold: bool = False) -> str:
    """The first text that fits; the last one cut where none does."""
    whole = (text for text in texts if fit(text, size, room, bold) == text)
    return next(whole, fit(texts[-1], size, room, bold))


def north_arrow(centre: XY) -> list[Shape]:
    x, y = centre
    return [
        Area((((x, y - 10.0), (x + 4.5, y + 9.0), (x, y + 5.0)),), Look(fill="ink"), "north"),
        Area((((x, y - 10.0), (x - 4.5, y + 9.0), (x, y + 5.0)),), Look(stroke="ink", width=0.7), "north"),
        Label("N", (x - 8.0, y + 1.0), 9.0, "end", bold=True, name="north"),
    ]


def scale_bar(frame: MapFrame, units: Units, at: XY, longest: float) -> list[Shape]:
    """A bar of a round length in the reader's unit, in two halves, starting at a place."""
    factor, _, unit = scale("length", 1.0, units)
    per_unit = frame.units_per_m / factor  # scene units per printed unit
    length = round_below(longest / per_unit)
    wide, (x, y) = length * per_unit, at
    place = math.floor(math.log10(length) + 1e-9)
    return [
        Area((rectangle((x, y - 4.0, x + wide / 2, y)),), Look(fill="ink", stroke="ink", width=0.5), "scale"),
        Area((rectangle((x + wide / 2, y - 4.0, x + wide, y)),), Look(stroke="ink", width=0.5), "scale"),
        Label(f"{plain(length, place, trim=True)} {unit}", (x + wide + 4.0, y), TYPE, name="scale"),
    ]


def border(frame: MapFrame) -> Shape:
    left, top, right, bottom = frame.box
    ring = rectangle((left, top, right, bottom))
    return Line((*ring, ring[0]), Look(stroke="rule", width=0.6), "border")
