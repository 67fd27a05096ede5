"""Height above the field against time, with the moments of the flight and the ceiling."""

from __future__ import annotations

import math

from reports.amounts import Amount
from reports.drawings.axes import TYPE, Axes, empty, on_phone, room_for_figures
from reports.errors import UnevenSeries
from reports.figures import Units, amount_text, rough, scale
from reports.labels import LabelPlacer
from reports.scene import ASCENT, XY, Cut, Disc, Label, Line, Look, Scene, Shape
from reports.sheet_data import Event, Flight
from reports.typeface import fit
from reports.typeface import width as text_width

KEY_WIDE = 142.0  # the list of moments, beside the plot
NARROW = 260.0  # below this width the list goes under the plot
ROW = 10.5  # of the list under the plot
FAR_CEILING = 2.0  # a ceiling this many times the apogee is named, not drawn
MOST_EVENTS = 12
TOGETHER = 14.0  # on a phone moments nearer than this share a label


def height_time(
    flight: Flight | None, ceiling_agl_m: float | None, units: Units, width: float, height: float, why: str = ""
) -> Scene:
    """The plot; without a flight, a frame that says the flight is unknown."""
    scene = Scene(width, height, "Height against time")
    points = _points(flight)
    if flight is None or len(points) < 2:
        reason = fit(why, TYPE, width - 12.0)
        scene.description = f"The flight is unknown. {why}".strip()
        scene.add(*empty((0.5, 0.5, width - 0.5, height - 0.5), "Flight UNKNOWN", reason))
        return scene
    factor, _, unit = scale("length", 1.0, units)
    top_m = max(z for _, z in points)
    ceiling_shown = (
        _finite(ceiling_agl_m) and ceiling_agl_m is not None and ceiling_agl_m <= FAR_CEILING * max(top_m, 1.0)
    )
    y_top = max(1.12 * max(top_m, float(ceiling_agl_m or 0.0) if ceiling_shown else 0.0), 1.0) * factor
    box = (36.0, 14.0, width - KEY_WIDE, height - 12.0)
    if width < NARROW:
        rows = len(_moments(flight)) + (_finite(ceiling_agl_m) and not ceiling_shown)
        left = room_for_figures(y_top) if on_phone(width) else 36.0
        box = (left, 14.0, width - 4.0, height - 18.0 - ROW * rows)
    axes = Axes(box, max(1.04 * points[-1][0], 1.0), y_top)
    scene.add(*axes.draw("time, s", f"height above the field, {unit}"))
    line = tuple(axes.point(t, z * factor) for t, z in points)
    scene.add(Cut((axes.frame(),), (Line(line, Look(stroke="accent", width=1.6), "height"),)))
    placer = LabelPlacer(axes.box)
    if ceiling_shown:
        scene.add(*_ceiling(axes, float(ceiling_agl_m or 0.0), factor, units, placer))
    far = ""
    if _finite(ceiling_agl_m) and not ceiling_shown:
        far = f"ceiling {amount_text(Amount(ceiling_agl_m, 'length'), units, 4)}: above this plot"
    scene.add(*_events(flight, axes, factor, units, placer, width, far))
    scene.description = _description(flight, units)
    return scene


def _finite(value: float | None) -> bool:
    return value is not None and math.isfinite(value)


def _points(flight: Flight | None) -> list[XY]:
    if flight is None:
        return []
    times, heights = list(flight.time_s), list(flight.height_m)
    if len(times) != len(heights):
        raise UnevenSeries(f"flight: {len(times)} times and {len(heights)} heights; they belong together one to one")
    points = [(float(t), float(z)) for t, z in zip(times, heights, strict=True) if _finite(t) and _finite(z)]
    step = max(1, len(points) // 400)  # finer than this cannot be seen
    return points[::step] + ([points[-1]] if points and (len(points) - 1) % step else [])


def _ceiling(axes: Axes, ceiling_m: float, factor: float, units: Units, placer: LabelPlacer) -> list[Shape]:
    start, end = axes.point(0.0, ceiling_m * factor), axes.point(axes.x_top, ceiling_m * factor)
    text = f"ceiling {amount_text(Amount(ceiling_m, 'length'), units, 4)}"
    base = end[1] - 3.0
    if base - ASCENT * TYPE < axes.box[1] - 2.0:  # over the line it would lie in the names of the axes
        base = end[1] + 1.0 + ASCENT * TYPE
    label = Label(text, (end[0] - 3.0, base), TYPE, "end", bold=True, role="stop")
    placer.keep_free(label.box(1.0))
    return [Line((start, end), Look(stroke="stop", width=1.1, dash=(7.0, 3.0)), "ceiling"), label]


def _events(
    flight: Flight, axes: Axes, factor: float, units: Units, placer: LabelPlacer, width: float, remark: str = ""
) -> list[Shape]:
    """Numbered dots on the curve, and their list beside or below it, a remark at its end: no label hides another."""
    below = width < NARROW
    left, top = (3.0, axes.box[3] + 24.0) if below else (axes.box[2] + 8.0, 10.0)
    shapes: list[Shape] = []
    events = _moments(flight)
    pitch = ROW if below else min(21.0, (axes.box[3] - axes.box[1] + 16.0) / max(len(events) + bool(remark), 1))
    dots: list[XY] = []
    for i, event in enumerate(events):
        at = axes.point(min(event.time_s, axes.x_top), max(event.height_m, 0.0) * factor)
        dots.append(at)
        shapes.append(Disc(at, 2.4, Look(fill="paper", stroke="ink", width=1.1), "event"))
        placer.keep_free((at[0] - 2.5, at[1] - 2.5, at[0] + 2.5, at[1] + 2.5))
        row = top + i * pitch
        shapes.append(Label(str(i + 1), (left + 8.0, row), TYPE, "end", bold=True))
        one_line = pitch < 17.0
        figures = _event_figures(event, units)
        room = width - left - 12.0
        if one_line:  # of a long name its end is left out, not its figures
            behind = f", {figures}"
            name = fit(event.name, TYPE, room - text_width(behind, TYPE)) + behind
        else:
            name = fit(event.name, TYPE, room, True)
        shapes.append(Label(name, (left + 12.0, row), TYPE, bold=not one_line, name="name"))
        if not one_line:
            shapes.append(Label(fit(figures, TYPE, width - left - 12.0), (left + 12.0, row + 9.0), TYPE, role="soft"))
    if remark:
        at = (left + 2.0, top + len(events) * pitch)
        shapes.append(Label(fit(remark, TYPE, width - at[0] - 2.0), at, TYPE, role="soft"))
    for numbers, at in _together(dots, TOGETHER if on_phone(width) else 0.0):
        shapes.extend(placer.place(numbers, at, size=TYPE, bold=True, distances=(4.0, 8.0, 14.0)))
    return shapes


def _together(dots: list[XY], near: float) -> list[tuple[str, XY]]:
    """The numbers of the moments; those whose dots lie nearer than this to the one before share a label."""
    groups: list[tuple[list[int], XY]] = []
    last: XY | None = None
    for number, at in enumerate(dots, start=1):
        if last is not None and math.dist(last, at) < near:
            groups[-1] = ([*groups[-1][0], number], at)
        else:
            groups.append(([number], at))
        last = at
    joins = {1: "", 2: ", "}
    return [
        (joins.get(len(own), "\N{EN DASH}").join(map(str, dict.fromkeys((own[0], own[-1])))), at) for own, at in groups
    ]


def _moments(flight: Flight) -> list[Event]:
    return [e for e in flight.events if math.isfinite(e.time_s) and math.isfinite(e.height_m)][:MOST_EVENTS]


def _event_figures(event: Event, units: Units) -> str:
    time = amount_text(Amount(event.time_s, "time"), units, 3)
    return f"{time}, {rough(event.height_m, units, 3)}"


def _description(flight: Flight, units: Units) -> str:
    return "; ".join(f"{event.name}: {_event_figures(event, units)}" for event in flight.events) + "."
