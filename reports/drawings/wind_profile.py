"""The wind at heights as it was given: speed as a line through the layers, direction as arrows."""

from __future__ import annotations

import math
from itertools import pairwise

from reports.amounts import Amount
from reports.drawings.axes import TYPE, Axes, empty, on_phone, room_for_figures
from reports.figures import Units, amount_text, scale
from reports.scene import XY, Area, Cut, Disc, Label, Line, Look, Scene, Shape
from reports.sheet_data import WindLayer
from reports.wind_words import from_anywhere, from_words

ARROWS_WIDE = 62.0
ARC_WIDE = 12.0  # more, where a direction ranges: "220 ± 40°"
ROW = 10.5  # between two lines of figures
STEPS = 12  # of the curve between two layers


def wind_profile(
    layers: tuple[WindLayer, ...], units: Units, width: float, height: float, apogee_m: float | None = None
) -> Scene:
    """Speed against height with gusts as ticks; beside it, where each layer blows and from where."""
    scene = Scene(width, height, "Wind by height")
    known = sorted((x for x in layers if _known(x)), key=lambda layer: layer.height_m)
    if not known:
        scene.description = "No wind is known."
        scene.add(*empty((0.5, 0.5, width - 0.5, height - 0.5), "Wind UNKNOWN", "no layer was given"))
        return scene
    length, _, length_unit = scale("length", 1.0, units)
    speed, _, speed_unit = scale("wind_speed", 1.0, units)
    top_m = max(known[-1].height_m, apogee_m if apogee_m and math.isfinite(apogee_m) else 0.0, 1.0)
    fastest = max(max(layer.speed_mps, layer.gust_mps or 0.0) for layer in known)
    arrows = ARROWS_WIDE + (ARC_WIDE if any(layer.arc_deg for layer in known) else 0.0)
    left = room_for_figures(1.1 * top_m * length) if on_phone(width) else 36.0
    box = (left, 14.0, width - arrows, height - 12.0)
    axes = Axes(box, max(1.15 * fastest, 1.0) * speed, 1.1 * top_m * length)
    scene.add(*axes.draw(f"speed, {speed_unit}", f"height, {length_unit}", x_parts=4))
    curve = tuple(axes.point(v * speed, z * length) for v, z in _curve(known))
    scene.add(Cut((axes.frame(),), (Line(curve, Look(stroke="accent", width=1.6), "wind"),)))
    for layer in known:
        scene.add(*_layer(layer, axes, speed, length))
    if apogee_m is not None and math.isfinite(apogee_m):
        scene.add(*_apogee(axes, apogee_m * length))
    scene.add(*_directions(known, axes, length, width))
    scene.description = "; ".join(_words(layer, units) for layer in known) + "."
    return scene


def _known(layer: WindLayer) -> bool:
    return all(math.isfinite(x) for x in (layer.height_m, layer.speed_mps, layer.from_deg))


def _curve(layers: list[WindLayer]) -> list[XY]:
    """Speed and height between the layers, the wind being interpolated as a vector. [m/s, m]"""
    if len(layers) == 1:
        return [(layers[0].speed_mps, layers[0].height_m)] * 2
    points = []
    for below, above in pairwise(layers):
        for i in range(STEPS + 1):
            s = i / STEPS
            east, north = ((1 - s) * a + s * b for a, b in zip(_vector(below), _vector(above), strict=True))
            points.append((math.hypot(east, north), (1 - s) * below.height_m + s * above.height_m))
    return points


def _vector(layer: WindLayer) -> XY:
    toward = math.radians(layer.from_deg + 180.0)
    return layer.speed_mps * math.sin(toward), layer.speed_mps * math.cos(toward)


def _layer(layer: WindLayer, axes: Axes, speed: float, length: float) -> list[Shape]:
    at = axes.point(layer.speed_mps * speed, layer.height_m * length)
    shapes: list[Shape] = []
    if layer.gust_mps is not None and math.isfinite(layer.gust_mps):
        gust = axes.point(layer.gust_mps * speed, layer.height_m * length)
        shapes.append(Line((at, gust), Look(stroke="soft", width=0.9, dash=(2.0, 1.5)), "gust"))
        shapes.append(Line(((gust[0], gust[1] - 3), (gust[0], gust[1] + 3)), Look(stroke="soft", width=1.2), "gust"))
    return [*shapes, Disc(at, 2.4, Look(fill="paper", stroke="accent", width=1.2), "layer")]


def _apogee(axes: Axes, height: float) -> list[Shape]:
    left, right = axes.point(0.0, height), axes.point(axes.x_top, height)
    line = Line((left, right), Look(stroke="ink", width=0.7, dash=(1.5, 2.0)), "apogee")
    return [line, Label("apogee", (right[0] - 2.0, right[1] - 2.5), TYPE, "end")]


def _directions(layers: list[WindLayer], axes: Axes, length: float, width: float) -> list[Shape]:
    """An arrow the way each layer blows, and 'from 220°'; pushed apart where layers are close."""
    shapes: list[Shape] = [Label("blows from", (width, axes.box[1] - 4.5), TYPE, "end", role="soft")]
    room = max(2, int((axes.box[3] - axes.box[1]) / ROW) + 1)
    if len(layers) > room:  # keep lowest and highest, thin the rest evenly
        layers = [layers[round(i * (len(layers) - 1) / (room - 1))] for i in range(room)]
    levels = [axes.point(0.0, layer.height_m * length)[1] for layer in layers]
    for i in range(1, len(levels)):
        levels[i] = min(levels[i], levels[i - 1] - ROW)
    for i in reversed(range(len(levels))):
        levels[i] = max(levels[i], axes.box[1] + ROW * (len(levels) - 1 - i) + 4.0)
    for layer, level in zip(layers, levels, strict=True):
        true_level = axes.point(0.0, layer.height_m * length)[1]
        start = (axes.box[2] + 1.0, true_level)
        shapes.append(Line((start, (axes.box[2] + 10.0, level)), Look(stroke="rule", width=0.5), "leader"))
        if not from_anywhere(layer):
            shapes.extend(arrow((axes.box[2] + 20.0, level), layer.from_deg + 180.0, 12.0))
        shapes.append(Label(_short(layer), (width, level + 0.36 * TYPE), TYPE, "end"))
    return shapes


def _short(layer: WindLayer) -> str:
    """In the margin beside an arrow."""
    half = f" ± {0.5 * layer.arc_deg:.0f}" if layer.arc_deg else ""
    return "any" if from_anywhere(layer) else f"{layer.from_deg % 360.0:.0f}{half}°"


def arrow(centre: XY, toward_deg: float, size: float) -> list[Shape]:
    """An arrow on the plan, north up, pointing the way `toward_deg`."""
    angle = math.radians(toward_deg)
    ahead, aside = (math.sin(angle), -math.cos(angle)), (math.cos(angle), math.sin(angle))

    def point(along: float, across: float) -> XY:
        return (
            centre[0] + size * (along * ahead[0] + across * aside[0]),
            centre[1] + size * (along * ahead[1] + across * aside[1]),
        )

    shaft = Line((point(-0.5, 0.0), point(0.15, 0.0)), Look(stroke="ink", width=max(0.9, size / 12.0)), "arrow")
    head = Area(((point(0.5, 0.0), point(0.05, 0.24), point(0.05, -0.24)),), Look(fill="ink"), "arrow")
    return [shaft, head]


def _words(layer: WindLayer, units: Units) -> str:
    height = amount_text(Amount(layer.height_m, "length"), units)
    speed = amount_text(Amount(layer.speed_mps, "wind_speed"), units)
    return f"at {height}: {speed} {from_words(layer)[1]}"
