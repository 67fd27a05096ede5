"""The four standings as shapes that differ in outline and in weight, so that they hold without colour.

clear    an open ring: nothing stands in it
caution  a lozenge, its lower half filled
stop     a solid block with a slot
unknown  four corners of a frame around a dot: the place is there, the thing is not
"""

from __future__ import annotations

from reports.amounts import Standing
from reports.scene import ASCENT, XY, Area, Disc, Label, Line, Look, Scene, Shape, rectangle
from reports.typeface import width as text_width

WORDS: dict[Standing, str] = {"clear": "CLEAR", "caution": "CAUTION", "stop": "STOP", "unknown": "UNKNOWN"}


def mark(standing: Standing, centre: XY, size: float) -> list[Shape]:
    """The shape alone, in a square of the given size."""
    x, y = centre
    r, pen = size / 2.0, size / 8.0
    line = Look(stroke=standing, width=pen)
    solid = Look(fill=standing)
    name = f"standing-{standing}"
    if standing == "clear":
        return [Disc(centre, r - pen / 2, line, name)]
    if standing == "caution":
        e = r - pen / 2
        lozenge = ((x, y - e), (x + e, y), (x, y + e), (x - e, y))
        return [Area((lozenge[1:],), solid, name), Area((lozenge,), line, name)]
    if standing == "stop":
        e, slot = r * 0.92, r * 0.16
        outer = rectangle((x - e, y - e, x + e, y + e))
        inner = rectangle((x - 0.6 * e, y - slot, x + 0.6 * e, y + slot))
        return [Area((outer, inner), solid, name)]
    e, arm = r - pen / 2, r * 0.6
    corners: list[Shape] = [
        Line(((x + sx * e, y + sy * (e - arm)), (x + sx * e, y + sy * e), (x + sx * (e - arm), y + sy * e)), line, name)
        for sx in (-1, 1)
        for sy in (-1, 1)
    ]
    return [*corners, Disc(centre, r * 0.22, solid, name)]


def standing_mark(standing: Standing, size: float = 9.0) -> Scene:
    """Word, then shape, then colour, on one line; `size` is that of the type."""
    word = WORDS[standing]
    gap = 0.5 * size
    wide = text_width(word, size, bold=True) + gap + size
    tall = 1.2 * size
    scene = Scene(wide, tall, f"Standing: {standing}")
    scene.add(Label(word, (0.0, tall / 2 + ASCENT * size / 2 - 0.02 * size), size, bold=True, role=standing))
    scene.add(*mark(standing, (wide - size / 2, tall / 2), size))
    return scene
