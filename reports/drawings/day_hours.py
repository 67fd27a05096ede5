"""The day's hours against its entries: a standing a cell, the stronger wind's beside it, the flight's time below.

A cell whose flight takes a call first has its upper left corner filled: the standing beside it is that without one.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from reports.amounts import STANDINGS_WORST_FIRST, Standing
from reports.drawings.axes import TYPE, empty, names_at
from reports.drawings.standing_mark import WORDS, mark
from reports.scene import XY, Area, Label, Line, Look, Scene, Shape, rectangle
from reports.typeface import fit
from reports.typeface import width as text_width

ROW = 22.0
HEAD, FOOT_LINE = 16.0, 13.0
NAME_SHARE, MOST_NAME, LEAST_NAME = 0.26, 120.0, 44.0
MARK, SMALL = 8.0, 5.0
SMALLEST_PAIR = 17.0  # a column that holds two marks
CLOCK = TYPE
FRAME = 1.4
CORNER = 6.0  # clear of the standing's mark in the narrowest column too
AFTER_A_CALL = "only after a call"
KeyItem = tuple[Standing | Literal["call"] | None, str]


@dataclass(frozen=True)
class HourCell:
    """How an entry stands in one hour, in the stronger wind, and when it flies where it has its place there.

    `called` is how it stands once a call is made that it takes; the other two are without.
    """

    standing: Standing
    stronger: Standing | None = None
    flies_at: str = ""
    called: Standing | None = None


@dataclass(frozen=True)
class HourRow:
    name: str
    cells: tuple[HourCell, ...]


def day_hours_picture(hours: tuple[str, ...], rows: tuple[HourRow, ...], stronger: str, width: float) -> Scene:
    """Hours across, entries down. `stronger` names the stronger wind for the key, such as "2 m/s more wind".

    The height follows from the number of entries and from how many lines the key takes.
    """
    if not hours or not rows:
        scene = Scene(width, 90.0, "Hours of the day", "Nothing is planned.")
        scene.add(*empty((0.5, 0.5, width - 0.5, 89.5), "No plan", "a forecast and an entry are needed"))
        return scene
    left = max(min(NAME_SHARE * width, MOST_NAME), LEAST_NAME)
    column = (width - left) / len(hours)
    key = _key(stronger, any(cell.called for row in rows for cell in row.cells), width)
    bottom = HEAD + ROW * len(rows)
    scene = Scene(width, bottom + 4.0 + FOOT_LINE * len(key), "Standings by hour and entry")
    every = _every(hours, column)
    for number, label in enumerate(hours):
        across = left + column * number
        scene.add(Line(((across, HEAD), (across, bottom)), Look(stroke="tint", width=0.5), "hour"))
        if number % every == 0 and across + 1.0 + text_width(label, TYPE) <= width:
            scene.add(Label(label, (across + 1.0, HEAD - 4.5), TYPE, role="soft"))
    for number, row in enumerate(rows):
        scene.add(*_row(row, HEAD + ROW * number, left, column, width))
    scene.add(Line(((0.5, bottom), (width - 0.5, bottom)), Look(stroke="ink", width=0.8), "end"))
    for number, line in enumerate(key):
        base = bottom + 4.0 + FOOT_LINE * (number + 1) - 4.0
        across = 0.0
        for what, word in line:
            if what == "call":
                scene.add(_corner((across + 0.5, base - 2.6 - 0.5 * CORNER), CORNER))
            elif what is not None:
                scene.add(*mark(what, (across + MARK / 2.0 + 0.5, base - 2.6), MARK))
            across += _before(what)
            role = "soft" if what is None or what == "call" else what
            scene.add(Label(word, (across, base), TYPE, bold=_bold(what), role=role))
            across += text_width(word, TYPE, _bold(what)) + 9.0
    scene.description = "; ".join(_words(row, hours) for row in rows) + "."
    return scene


def _every(hours: tuple[str, ...], column: float) -> int:
    """Every how many columns an hour's figure finds room."""
    widest = max(text_width(label, TYPE) for label in hours) + 4.0
    return max(1, -int(-widest // column))


def _row(row: HourRow, top: float, left: float, column: float, width: float) -> list[Shape]:
    shapes: list[Shape] = [Line(((0.5, top), (width - 0.5, top)), Look(stroke="tint", width=0.5), "row")]
    shapes += names_at(row.name, left - 4.0, top + 0.5 * ROW)
    for number, cell in enumerate(row.cells):
        west = left + column * number
        middle = west + 0.5 * column
        level = top + 0.5 * ROW
        if cell.flies_at:
            inset = (west + 0.9, top + 0.9, west + column - 0.9, top + ROW - 0.9)
            ink = Look(fill="ghost", stroke="accent", width=FRAME)
            shapes.append(Area((rectangle(inset),), ink, "flies", f"{row.name} flies at {cell.flies_at}"))
            if column >= text_width(cell.flies_at, CLOCK, True) + 2.5:
                shapes.append(
                    Label(cell.flies_at, (middle, top + ROW - 3.0), CLOCK, "middle", bold=True, role="accent")
                )
                level = top + 0.5 * ROW - 4.0
        if cell.called is not None:
            edge, size = (FRAME + 0.2, CORNER - 1.0) if cell.flies_at else (0.2, CORNER)  # inside the frame
            shapes.append(_corner((west + edge, top + edge), min(size, 0.6 * column)))
        pair = cell.stronger is not None and cell.stronger != cell.standing and column >= SMALLEST_PAIR
        at = middle - (0.5 * SMALL if pair else 0.0)
        shapes.extend(mark(cell.standing, (at, level), MARK if column >= MARK + 2.0 else column - 2.0))
        if pair and cell.stronger is not None:
            shapes.extend(mark(cell.stronger, (at + 0.5 * MARK + 0.5 * SMALL + 1.5, level), SMALL))
    return shapes


def _corner(at: XY, size: float) -> Area:
    """A filled corner, its right angle up and left: the one mark of a cell that lies in no middle."""
    x, y = at
    return Area((((x, y), (x + size, y), (x, y + size)),), Look(fill="ink"), "call", AFTER_A_CALL)


def _before(what: Standing | Literal["call"] | None) -> float:
    """Room for the shape in front of its word."""
    return 0.0 if what is None else (CORNER if what == "call" else MARK) + 3.0


def _bold(what: Standing | Literal["call"] | None) -> bool:
    return what is not None and what != "call"


def _key(stronger: str, calls: bool, width: float) -> list[list[KeyItem]]:
    """Words beside the shapes, broken into lines that fit."""
    items: list[KeyItem] = [(each, WORDS[each]) for each in reversed(STANDINGS_WORST_FIRST)]
    if stronger:
        items += [(None, f"small: with {stronger}")]
    items += [(None, "framed: proposed flight")]
    if calls:
        items += [("call", AFTER_A_CALL)]
    lines: list[list[KeyItem]] = [[]]
    used = 0.0
    for what, word in items:
        wide = text_width(word, TYPE, _bold(what)) + 9.0 + _before(what)
        if lines[-1] and used + wide - 9.0 > width:
            lines.append([])
            used = 0.0
        lines[-1].append((what, word if wide - 9.0 <= width else fit(word, TYPE, width)))
        used += wide
    return lines


def _words(row: HourRow, hours: tuple[str, ...]) -> str:
    said = []
    for label, cell in zip(hours, row.cells, strict=True):
        more = f", {cell.stronger} in more wind" if cell.stronger not in (None, cell.standing) else ""
        more += f", {cell.called} after a call" if cell.called else ""
        said.append(f"{label} {cell.standing}{more}{f', flies at {cell.flies_at}' if cell.flies_at else ''}")
    return f"{row.name}: {', '.join(said)}"
