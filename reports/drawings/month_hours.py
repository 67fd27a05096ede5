"""Months against hours of the day: how much of each cell is filled is how often that hour is flyable."""

from __future__ import annotations

from reports.drawings.axes import TYPE, empty
from reports.drawings.key_lines import LEAD, SIZE, draw_lines, key_lines
from reports.scene import Area, Label, Line, Look, Scene, Shape, rectangle
from reports.sizing_data import HourCell, MonthRow
from reports.typeface import fit
from reports.typeface import width as text_width

ROW = 21.0
HEAD, FOOT = 25.0, 4.0
NAME = 30.0
FIGURE = 15.0  # a column that holds its figure
MOSTLY_DARK = 0.999
FILLED = ("filled part and figure: flyable, in per cent of all such hours", "filled part: flyable of all such hours")
KEY = "tint without a frame: dark; ?: no readings"
QUESTION = 6.0  # a column that holds a question mark


def month_hours(rows: tuple[MonthRow, ...], width: float, timezone: str) -> Scene:
    """Hours across, without those that are dark all season; months down. The height follows from the months."""
    shown = [hour for hour in range(24) if any(_lit(row.hours[hour]) for row in rows)]
    if not shown:
        scene = Scene(width, 90.0, "Flyable hours", "No hour of the season has light.")
        scene.add(*empty((0.5, 0.5, width - 0.5, 89.5), "No hour with light", "the season's file holds none"))
        return scene
    hours = range(min(shown), max(shown) + 1)
    bottom = HEAD + ROW * len(rows)
    column = (width - NAME) / len(hours)
    key = (f"{FILLED[0]}; {KEY}",) if column >= FIGURE else (FILLED[1], KEY)
    lines = key_lines(key, width)
    scene = Scene(width, bottom + LEAD * len(lines) + FOOT, "Flyable hours by month and hour of the day")
    said = f"hour of the day, {timezone}"
    more = f"{said}; {hours[0]} is from {hours[0]}:00 to {hours[0] + 1}:00"
    said = more if text_width(more, SIZE) <= width - NAME else said
    scene.add(Label(fit(said, SIZE, width - NAME), (NAME, 8.0), SIZE, role="soft", name="across"))
    every = 1 if column >= 16.0 else 2 if column >= 8.0 else 3
    for place, hour in enumerate(hours):
        if place % every == 0:
            middle = NAME + column * (place + 0.5)
            scene.add(Label(f"{hour}", (middle, HEAD - 4.5), TYPE, "middle", role="soft", name="hour"))
    for number, row in enumerate(rows):
        top = HEAD + ROW * number
        scene.add(Label(fit(row.name, TYPE, NAME - 3.0, True), (0.0, top + 0.5 * ROW + 2.7), TYPE, bold=True))
        for place, hour in enumerate(hours):
            scene.add(*_cell(row.hours[hour], NAME + column * place, top, column))
    scene.add(Line(((NAME, bottom), (width - 0.5, bottom)), Look(stroke="ink", width=0.8), "end"))
    scene.add(*draw_lines(lines, bottom))
    scene.description = "; ".join(_words(row, hours) for row in rows) + "."
    return scene


def _lit(cell: HourCell | None) -> bool:
    return cell is not None and cell.dark < MOSTLY_DARK


def _cell(cell: HourCell | None, left: float, top: float, column: float) -> list[Shape]:
    box = (left + 0.6, top + 0.6, left + column - 0.6, top + ROW - 0.6)
    if cell is None:
        return []
    if not _lit(cell):
        return [Area((rectangle(box),), Look(fill="tint"), "dark")]
    high = box[3] - cell.flyable * (box[3] - box[1])
    shapes: list[Shape] = []
    if cell.flyable > 0.0:
        filled = (box[0], high, box[2], box[3])
        shapes.append(Area((rectangle(filled),), Look(fill="accent", opacity=0.3), "flyable"))
    shapes.append(Area((rectangle(box),), Look(stroke="rule", width=0.5), "cell"))
    no_reading = cell.unknown >= 1.0 - cell.dark - 1e-9
    if column >= (QUESTION if no_reading else FIGURE):
        said = "?" if no_reading else f"{100.0 * cell.flyable:.0f}"
        role = "unknown" if no_reading else "ink"
        at = (left + 0.5 * column, top + 0.5 * ROW + 2.7)
        shapes.append(Label(said, at, TYPE, "middle", role=role, name="flyable"))  # type: ignore[arg-type]
    return shapes


def _words(row: MonthRow, hours: range) -> str:
    said = []
    for hour in hours:
        cell = row.hours[hour]
        if cell is not None and _lit(cell):
            said.append(f"{hour} h {100.0 * cell.flyable:.0f} %")
    return f"{row.name}: {', '.join(said) or 'dark'}"
