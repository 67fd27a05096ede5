"""Zones, each kind with a texture of its own, so that the map reads in grey.

people  a grid of dots               parking     upright strokes
building solid, heavy edge           road        twin edges, dashed middle
water   short level dashes           trees       small open rings
power line  a line with cross ticks  keep out    crossing diagonals
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from itertools import pairwise

import numpy as np

from reports.drawings.map_frame import MapFrame
from reports.ground_data import Zone, ZoneKind
from reports.scene import XY, Area, Box, Cut, Disc, Line, Look, Shape, box_of, meet

MOST_MARKS = 500  # of a texture in one zone
EDGE: dict[ZoneKind, Look] = {
    "people": Look(stroke="accent", width=1.3),
    "parking": Look(stroke="soft", width=0.8),
    "building": Look(fill="soft", stroke="ink", width=1.3, opacity=0.55),
    "road": Look(fill="tint", stroke="soft", width=0.8),
    "power_line": Look(stroke="ink", width=1.2),
    "water": Look(stroke="accent", width=0.7),
    "trees": Look(stroke="soft", width=0.7, dash=(1.0, 1.6)),
    "keep_out": Look(stroke="stop", width=1.3, dash=(5.0, 2.0)),
}


def draw_zone(zone: Zone, frame: MapFrame) -> list[Shape]:
    """The zone, cut to the map."""
    paths = tuple(path for path in (frame.path(p) for p in zone.paths) if path)
    if not paths:
        return []
    if zone.shape == "point":
        shapes: list[Shape] = [Disc(path[0], 4.0, EDGE[zone.kind], f"zone zone-{zone.kind}") for path in paths]
    elif zone.shape == "line":
        shapes = [shape for path in paths for shape in _line(zone.kind, path)]
    else:
        shapes = area(zone.kind, tuple(p for p in paths if len(p) > 2), frame.box, zone.name)
    return [Cut((frame.ring(),), tuple(shapes), "map")] if shapes else []


def area(kind: ZoneKind, rings: tuple[tuple[XY, ...], ...], within: Box, title: str = "") -> list[Shape]:
    """Edge and texture of an area; also the sample in the key."""
    if not rings:
        return []
    left, top, right, bottom = box_of(p for ring in rings for p in ring)
    box = (max(left, within[0]), max(top, within[1]), min(right, within[2]), min(bottom, within[3]))
    edge = Area(rings, EDGE[kind], f"zone zone-{kind}", title)
    texture = tuple(_TEXTURES[kind](box)) if kind in _TEXTURES and box[0] < box[2] and box[1] < box[3] else ()
    return [Cut(rings, texture, f"texture texture-{kind}"), edge] if texture else [edge]


def middle(zone: Zone, frame: MapFrame) -> XY | None:
    """A point in the zone to hang its name on; None where the zone lies off the map."""
    paths = [path for path in (frame.path(p) for p in zone.paths) if path]
    if not paths:
        return None
    points = np.array(paths[0])
    if zone.shape == "line":
        seen = [p for p in paths[0] if frame.holds(p)]
        half = _halfway(points)
        return half if frame.holds(half) else (seen[len(seen) // 2] if seen else None)
    centre = _centroid(points) if zone.shape == "area" and len(points) > 2 else tuple(points.mean(axis=0))
    return (float(centre[0]), float(centre[1])) if frame.holds((centre[0], centre[1])) else None


def seen_box(zone: Zone, frame: MapFrame) -> Box:
    """The part of the map that an area covers."""
    return meet(box_of(p for path in zone.paths for p in frame.path(path)), frame.box)


def _centroid(points: np.ndarray) -> XY:
    following = np.roll(points, -1, axis=0)
    cross = points[:, 0] * following[:, 1] - following[:, 0] * points[:, 1]
    if abs(cross.sum()) < 1e-9:
        x, y = points.mean(axis=0)
    else:
        x, y = ((points + following) * cross[:, None]).sum(axis=0) / (3.0 * cross.sum())
    return float(x), float(y)


def _halfway(points: np.ndarray) -> XY:
    if len(points) < 2:
        return float(points[0, 0]), float(points[0, 1])
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    return tuple(float(np.interp(along[-1] / 2, along, points[:, i])) for i in (0, 1))  # type: ignore[return-value]


def _line(kind: ZoneKind, path: tuple[XY, ...]) -> list[Shape]:
    name = f"zone zone-{kind}"
    if kind == "road":
        return [
            Line(path, Look(stroke="soft", width=4.4), name),
            Line(path, Look(stroke="tint", width=3.0), name),
            Line(path, Look(stroke="soft", width=0.6, dash=(4.0, 3.0)), name),
        ]
    shapes: list[Shape] = [Line(path, EDGE[kind], name)]
    if kind == "power_line":
        shapes.extend(Line(tick, Look(stroke="ink", width=1.0), name) for tick in _ticks(path, 14.0, 3.5))
    return shapes


def _ticks(path: tuple[XY, ...], pitch: float, half: float) -> Iterator[tuple[XY, XY]]:
    for (x0, y0), (x1, y1) in pairwise(path):
        length = math.hypot(x1 - x0, y1 - y0)
        count = min(int(length / pitch), MOST_MARKS)
        for i in range(count):
            s = (i + 0.5) / count
            x, y = x0 + s * (x1 - x0), y0 + s * (y1 - y0)
            across, along = (-(y1 - y0) / length * half, (x1 - x0) / length * half)
            yield (x - across, y - along), (x + across, y + along)


def _grid(box: Box, pitch_x: float, pitch_y: float) -> Iterator[tuple[XY, int]]:
    """Points of a grid fixed to the sheet (neighbouring zones line up), with their row; coarser when too many."""
    left, top, right, bottom = box
    count = (right - left) / pitch_x * (bottom - top) / pitch_y
    if count > MOST_MARKS:
        stretch = math.sqrt(count / MOST_MARKS)
        pitch_x, pitch_y = pitch_x * stretch, pitch_y * stretch
    for row in range(math.floor(top / pitch_y), math.ceil(bottom / pitch_y) + 1):
        for column in range(math.floor(left / pitch_x), math.ceil(right / pitch_x) + 1):
            yield (column * pitch_x, row * pitch_y), row


def _dots(box: Box) -> Iterator[Shape]:
    for (x, y), row in _grid(box, 4.4, 4.4):
        yield Disc((x + 2.2 * (row % 2), y), 0.75, Look(fill="accent"), "dot")


def _upright(box: Box) -> Iterator[Shape]:
    pitch = max(4.0, (box[2] - box[0]) / MOST_MARKS)
    for i in range(math.floor(box[0] / pitch), math.ceil(box[2] / pitch) + 1):
        yield Line(((i * pitch, box[1]), (i * pitch, box[3])), Look(stroke="rule", width=0.6), "stroke")


def _dashes(box: Box) -> Iterator[Shape]:
    for (x, y), row in _grid(box, 10.0, 4.0):
        x += 5.0 * (row % 2)
        yield Line(((x, y), (x + 5.0, y)), Look(stroke="accent", width=0.7), "dash")


def _rings(box: Box) -> Iterator[Shape]:
    for (x, y), row in _grid(box, 7.0, 6.0):
        yield Disc((x + 3.5 * (row % 2), y), 1.7, Look(stroke="soft", width=0.6), "ring")


def _crosses(box: Box) -> Iterator[Shape]:
    left, top, right, bottom = box
    tall, pitch = bottom - top, max(7.0, (right - left + bottom - top) / (MOST_MARKS / 2))
    look = Look(stroke="stop", width=0.6)
    for i in range(math.floor((left - tall) / pitch), math.ceil(right / pitch) + 1):
        x = i * pitch
        yield Line(((x, top), (x + tall, bottom)), look, "cross")
        yield Line(((x, bottom), (x + tall, top)), look, "cross")


_TEXTURES: dict[ZoneKind, Callable[[Box], Iterator[Shape]]] = {
    "people": _dots,
    "parking": _upright,
    "water": _dashes,
    "trees": _rings,
    "keep_out": _crosses,
}
