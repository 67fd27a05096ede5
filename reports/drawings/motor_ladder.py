"""The motor ladder: a row a motor, the highest on top, apogee and its spread against the ceiling."""

from __future__ import annotations

import math
from dataclasses import dataclass

from reports.amounts import Amount, Standing
from reports.drawings.axes import TYPE, Axes, empty, on_phone
from reports.drawings.standing_mark import WORDS, mark
from reports.figures import UNKNOWN, Units, amount_text, scale
from reports.scene import ASCENT, DESCENT, Area, Cut, Disc, Label, Line, Look, Scene, Shape, rectangle
from reports.typeface import fit
from reports.typeface import width as text_width

ROW, ROW_ON_PHONE = 20.0, 27.0  # on a phone names stand over their bars
LEFT_ON_PHONE = 5.0
TOP, FOOT = 26.0, 24.0
NAME_SHARE, MOST_NAME = 0.30, 120.0
RIGHT_WIDE = 88.0  # inside, and the standing
ON_PHONE = 0.3  # of a row, the bar
LEAST_AIMS = 30.0  # less is left to the text
NARROW = 300.0  # below this the column of chances is left to the text
MARK = 8.0
SMALL = TYPE - 0.2  # still 16 px on a phone


@dataclass(frozen=True)
class LadderRung:
    """One motor: apogee and what holds 95 % of its flights, above the field. [m]

    `inside` is the chance of landing inside the boundary, `chosen_for` the aims that it serves; a rung over the
    ceiling was flown once only, and has neither spread nor standing.
    """

    name: str
    apogee_m: float | None
    low_m: float | None = None
    high_m: float | None = None
    standing: Standing | None = None
    inside: float | None = None
    exit_speed_mps: float | None = None
    chosen_for: tuple[str, ...] = ()
    over_ceiling: bool = False


def motor_ladder_picture(rungs: tuple[LadderRung, ...], ceiling_m: float | None, units: Units, width: float) -> Scene:
    """The ladder; rungs come lowest first and are drawn from the foot up. The height follows from their number."""
    known = [rung for rung in rungs if _finite(rung.apogee_m)]
    if not known:
        scene = Scene(width, 90.0, "Motor ladder", "No motor on offer fits.")
        scene.add(*empty((0.5, 0.5, width - 0.5, 89.5), "No motor fits", "the text says why for each"))
        return scene
    height = TOP + (ROW_ON_PHONE if on_phone(width) else ROW) * len(known) + FOOT
    scene = Scene(width, height, "Motor ladder: apogee by motor")
    narrow = width < NARROW
    factor, _, unit = scale("length", 1.0, units)
    top_m = max(_top(rung) for rung in known)
    shown = ceiling_m is not None and _finite(ceiling_m) and ceiling_m <= 3.0 * top_m
    right = width - (MARK + 8.0 if narrow else RIGHT_WIDE)
    left = LEFT_ON_PHONE if on_phone(width) else min(NAME_SHARE * width, MOST_NAME)
    box = (left, TOP, right, height - FOOT)
    reach_m = max(top_m, float(ceiling_m or 0.0)) if shown else top_m
    axes = Axes(box, 1.06 * reach_m * factor, float(len(known)))
    frame = axes.draw("", "", x_parts=4, y_parts=1)
    scene.add(*(shape for shape in frame if not _is_row_figure(shape, box)))
    scene.add(Label(f"apogee above the field, {unit}", (right, height - 4.0), TYPE, "end", role="soft"))
    if not narrow:
        scene.add(Label("inside", (right + 38.0, TOP - 5.0), TYPE, "end", role="soft"))
        scene.add(Label("stands at", (width, TOP - 5.0), TYPE, "end", role="soft"))
    if shown:
        scene.add(*_ceiling(axes, float(ceiling_m or 0.0), factor, units, width))
    elif ceiling_m is not None and _finite(ceiling_m):
        text = f"{_ceiling_words(ceiling_m, units)}, off the picture"
        scene.add(Label(text, (right, 9.0), TYPE, "end", bold=True, role="stop"))
    for number, rung in enumerate(known):
        scene.add(*_rung(rung, axes, number, factor, width, narrow))
    scene.description = "; ".join(_words(rung, units) for rung in reversed(known)) + "."
    return scene


def _finite(value: float | None) -> bool:
    return value is not None and math.isfinite(value)


def _top(rung: LadderRung) -> float:
    return max(value for value in (rung.apogee_m, rung.high_m, 1.0) if value is not None and math.isfinite(value))


def _is_row_figure(shape: Shape, box: tuple[float, float, float, float]) -> bool:
    """Counts of rows up the side say nothing: names stand there, and rules of their own."""
    if isinstance(shape, Label):
        return shape.at[0] < box[0] and shape.at[1] < box[3] + 5.0
    return isinstance(shape, Line) and shape.name == "grid" and shape.points[0][1] == shape.points[1][1]


def _ceiling(axes: Axes, ceiling_m: float, factor: float, units: Units, width: float) -> list[Shape]:
    across = axes.point(ceiling_m * factor, 0.0)[0]
    line = Line(
        ((across, axes.box[1] - 2.0), (across, axes.box[3])), Look(stroke="stop", width=1.1, dash=(7.0, 3.0)), "ceiling"
    )
    text = _ceiling_words(ceiling_m, units)
    end = max(min(across + 2.0, width), text_width(text, TYPE, True))  # a low ceiling's words begin at the left edge
    return [line, Label(text, (end, 9.0), TYPE, "end", bold=True, role="stop")]


def _ceiling_words(ceiling_m: float, units: Units) -> str:
    return f"ceiling {amount_text(Amount(ceiling_m, 'length'), units, 4)}"


def _rung(rung: LadderRung, axes: Axes, number: int, factor: float, width: float, narrow: bool) -> list[Shape]:
    left, _, right, _ = axes.box
    middle = number + (ON_PHONE if on_phone(width) else 0.5)
    level = axes.point(0.0, middle)[1]
    base = level + 0.36 * TYPE
    chosen = bool(rung.chosen_for)
    shapes: list[Shape] = [Line(((left, level), (right, level)), Look(stroke="tint", width=0.5), "row")]
    shapes += _name_over(rung, level - 8.0, right) if on_phone(width) else _name_beside(rung, base, left - 6.0)
    at = axes.point(float(rung.apogee_m or 0.0) * factor, middle)
    if rung.over_ceiling:
        shapes.append(Line((axes.point(0.0, middle), at), Look(stroke="rule", width=1.2, dash=(2.0, 2.0)), "over"))
        shapes.append(Disc(at, 2.6, Look(fill="paper", stroke="rule", width=1.2), "over"))
        said = "over" if narrow else "over the ceiling"
        if not narrow:
            shapes.append(Label(said, (width, base), TYPE, "end", role="soft"))
        return shapes
    shapes.append(Line((axes.point(0.0, middle), at), Look(stroke="accent", width=1.6), "rung"))
    if _finite(rung.low_m) and _finite(rung.high_m):
        low, high = (
            axes.point(max(float(value or 0.0), 0.0) * factor, middle)[0] for value in (rung.low_m, rung.high_m)
        )
        bar = Area((rectangle((low, level - 3.0, high, level + 3.0)),), Look(fill="accent", opacity=0.25), "spread")
        shapes.append(Cut((axes.frame(),), (bar,)))
    shapes.append(Disc(at, 2.8, Look(fill="accent" if chosen else "paper", stroke="accent", width=1.3), "apogee"))
    if rung.standing is not None:
        shapes.extend(mark(rung.standing, (width - MARK / 2.0 - 0.5, level), MARK))
    if not narrow:
        chance = amount_text(Amount(rung.inside, "chance"), "si") if _finite(rung.inside) else "?"
        shapes.append(Label(chance, (right + 38.0, base), TYPE, "end"))
        if rung.standing is not None:
            word = WORDS[rung.standing].lower()
            shapes.append(Label(word, (width - MARK - 3.0, base), SMALL, "end", role=rung.standing))
    return shapes


def _name_beside(rung: LadderRung, base: float, room: float) -> list[Shape]:
    """The name left of the bar, and what it was chosen for under it."""
    chosen = bool(rung.chosen_for)
    base -= 4.0 if chosen else 0.0
    shapes: list[Shape] = [Label(fit(rung.name, TYPE, room, chosen), (0.0, base), TYPE, bold=chosen, name="name")]
    if chosen:
        aims = fit(", ".join(rung.chosen_for), SMALL, room)
        shapes.append(Label(aims, (0.0, base + 8.5), SMALL, role="accent", name="aims"))
    return shapes


def _name_over(rung: LadderRung, base: float, right: float) -> list[Shape]:
    """Both in one line over the bar, on a slip of paper that keeps the ceiling's line out of them."""
    chosen = bool(rung.chosen_for)
    name = fit(rung.name, TYPE, right, chosen)
    end = text_width(name, TYPE, chosen)
    shapes: list[Shape] = [Label(name, (0.0, base), TYPE, bold=chosen, name="name")]
    if chosen and right - end > LEAST_AIMS:
        aims = fit(", ".join(rung.chosen_for), SMALL, right - end - 5.0)
        shapes.append(Label(aims, (end + 5.0, base), SMALL, role="accent", name="aims"))
        end += 5.0 + text_width(aims, SMALL)
    slip = (0.0, base - ASCENT * TYPE, end + 1.0, base + DESCENT * TYPE)
    return [Area((rectangle(slip),), Look(fill="paper", opacity=0.85), "slip"), *shapes]


def _words(rung: LadderRung, units: Units) -> str:
    spread = None
    if _finite(rung.low_m) and _finite(rung.high_m):
        spread = 0.5 * (float(rung.high_m or 0.0) - float(rung.low_m or 0.0))
    height = amount_text(Amount(rung.apogee_m, "length", spread), units)
    if rung.over_ceiling:
        return f"{rung.name}: about {height}, over the ceiling"
    chance = amount_text(Amount(rung.inside, "chance"), "si") if _finite(rung.inside) else UNKNOWN
    speed = amount_text(Amount(rung.exit_speed_mps, "speed"), units)
    chosen = f", chosen for {', '.join(rung.chosen_for)}" if rung.chosen_for else ""
    return f"{rung.name}: apogee {height}, off the guide at {speed}, inside {chance}, {rung.standing}{chosen}"
