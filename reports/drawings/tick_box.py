"""A box to tick by hand, alone or before a word; ticked ones carry a cross."""

from __future__ import annotations

from reports.scene import ASCENT, Area, Label, Line, Look, Scene, rectangle
from reports.typeface import width as text_width


def tick_box(ticked: bool, word: str = "", size: float = 8.6) -> Scene:
    """`size` is that of the type; the box is as tall as a line."""
    side = 1.1 * size
    wide = side + 1.0 + (0.5 * size + text_width(word, size, bold=True) if word else 0.0)
    scene = Scene(wide, side + 1.0, f"{word or 'box'}: {'ticked' if ticked else 'not ticked'}")
    scene.add(Area((rectangle((0.5, 0.5, side + 0.5, side + 0.5)),), Look(stroke="ink", width=0.9), "box"))
    if ticked:
        a, b = 0.5 + 0.22 * side, 0.5 + 0.78 * side
        look = Look(stroke="ink", width=1.6)
        scene.add(Line(((a, a), (b, b)), look, "cross"), Line(((a, b), (b, a)), look, "cross"))
    if word:
        at = (side + 1.0 + 0.4 * size, 0.5 + side / 2 + ASCENT * size / 2)
        scene.add(Label(word, at, size, bold=True))
    return scene


def initial_box(done: bool, wide: float = 20.0, tall: float = 9.5) -> Scene:
    """A box wide enough for initials; a cross where that is done already."""
    scene = Scene(wide, tall, f"initials: {'given' if done else 'none yet'}")
    scene.add(Area((rectangle((0.5, 0.5, wide - 0.5, tall - 0.5)),), Look(stroke="ink", width=0.8), "box"))
    if done:
        look = Look(stroke="ink", width=1.4)
        left, right = wide / 2 - 3.0, wide / 2 + 3.0
        scene.add(Line(((left, 1.7), (right, tall - 1.7)), look, "cross"))
        scene.add(Line(((left, tall - 1.7), (right, 1.7)), look, "cross"))
    return scene
