"""Impulse classes against wind speeds: the share of landings inside, and the greatest apogee that stays inside.

A class that stays inside stands quiet on a tint. One that does not stands out: framed, bold, with the mark of its
standing, so that the grid reads at a glance, in grey and by whoever does not tell colours apart.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from reports.amounts import Amount, Standing
from reports.drawings.axes import TYPE, empty, on_phone
from reports.drawings.key_lines import LEAD, key_lines
from reports.drawings.standing_mark import mark
from reports.figures import UNKNOWN, Units, amount_text, rough, scale
from reports.scene import Area, Box, Label, Line, Look, Scene, Shape, rectangle
from reports.sizing_data import ClassRow, ShareCell, SizingReport
from reports.theme import Role
from reports.typeface import fit
from reports.typeface import width as text_width

ROW = 25.0
HEAD, FOOT = 36.0, 4.0
NAME, NAME_ON_PHONE = 52.0, 40.0
TALLER = 8.5  # a row whose altitudes take two lines
NARROW = 40.0  # a column below this leaves the altitudes to the text
SMALL = TYPE - 0.2  # still 16 px on a phone
MARK, GAP = 6.0, 3.0
KEY = 13.0  # of a mark in the key
ALL = "all"


def share_grid(report: SizingReport, units: Units, width: float) -> Scene:
    """Winds across with how often they blow, classes down. The height follows from the number of classes."""
    winds_mps, rows = report.winds_mps, report.classes
    if not winds_mps or not rows:
        scene = Scene(width, 90.0, "Classes and winds", "Nothing was flown.")
        scene.add(*empty((0.5, 0.5, width - 0.5, 89.5), "Nothing was flown", "a fleet and a season are needed"))
        return scene
    phone = on_phone(width)
    left = NAME_ON_PHONE if phone else NAME
    column = (width - left) / len(winds_mps)
    across = _across(report, units, width, left, column)
    head = HEAD + LEAD * (len(across.lines) - 1)
    two_lines = phone and column >= NARROW and any(
        text_width(altitude_words(cell, units), SMALL) > column - 2.5 for row in rows for cell in row.cells
    )  # fmt: skip
    tall = ROW + (TALLER if two_lines else 0.0)
    bottom = head + tall * len(rows)
    key = _key(report, units, width, column)
    lines = sum(len(each) for _, each in key)
    scene = Scene(width, bottom + LEAD * lines + FOOT + 3.0, "Share of landings inside by class and wind")
    for number, line in enumerate(across.lines):
        at = (0.0 if phone else left, 8.0 + LEAD * number)
        scene.add(Label(line, at, SMALL, role="soft", name="across"))
    first, second = head - 16.0, head - 5.0
    scene.add(Label("class", (0.0, first), SMALL, role="soft"), Label("hours", (0.0, second), SMALL, role="soft"))
    for number, (wind_said, share) in enumerate(zip(across.winds, report.winds_share, strict=True)):
        middle = left + column * (number + 0.5)
        scene.add(Label(fit(wind_said, TYPE, column - 1.0, True), (middle, first), TYPE, "middle", bold=True))
        often = f"{100.0 * share:.0f} %" if share >= 0.005 or share == 0.0 else "< 1 %"
        scene.add(Label(often, (middle, second), SMALL, "middle", role="soft", name="often"))
    for number, row in enumerate(rows):
        top = head + tall * number
        scene.add(Line(((0.5, top), (width - 0.5, top)), Look(stroke="tint", width=0.5), "row"))
        scene.add(Label(row.letter, (0.0, top + 11.0), 10.0, bold=True, name="class"))
        flights = f"{row.count:,} flight{'' if row.count == 1 else 's'}"
        if text_width(flights, SMALL) > left - 2.0:
            flights = f"\N{MULTIPLICATION SIGN} {row.count:,}"
        scene.add(Label(fit(flights, SMALL, left - 2.0), (0.0, top + 20.5), SMALL, role="soft"))
        for place, cell in enumerate(row.cells):
            box = (left + column * place, top, left + column * (place + 1), top + tall)
            scene.add(*_cell(cell, standing_of(cell, report), box, two_lines, units))
    scene.add(Line(((0.5, bottom), (width - 0.5, bottom)), Look(stroke="ink", width=0.8), "end"))
    scene.add(*_draw_key(key, bottom + 3.0))
    scene.description = "; ".join(_words(row, report, units) for row in rows) + "."
    return scene


@dataclass(frozen=True)
class _Across:
    """What stands over the columns: the sentence in its lines, and a wind a column."""

    lines: list[str]
    winds: list[str]


def _across(report: SizingReport, units: Units, width: float, left: float, column: float) -> _Across:
    """On a phone the sentence runs over the whole width and holds the unit, where figure and unit have no room."""
    high = amount_text(report.wind_height, units)
    winds = [amount_text(Amount(wind, "wind_speed"), units) if wind > 0.0 else "calm" for wind in report.winds_mps]
    if on_phone(width):
        unit = ""
        if any(text_width(each, TYPE, True) > column - 4.0 for each in winds):
            unit = f" in {scale('wind_speed', 1.0, units)[2]}"
            winds = [each.split(" ")[0] for each in winds]
        return _Across(key_lines((f"mean wind{unit}, {high} up, and its share of hours",), width), winds)
    said = f"mean wind of the hour, {high} above ground, and its share of the hours with light"
    short = f"mean wind, {high} up, and its share of hours"
    said = said if text_width(said, SMALL) <= width - left else short
    return _Across([fit(said, SMALL, width - left)], winds)


def standing_of(cell: ShareCell, report: SizingReport) -> Standing:
    """How a share stands against the policy's limits."""
    if cell.inside is None or cell.stays is None:
        return "unknown"
    if cell.stays:
        return "clear"
    return "stop" if 1.0 - cell.inside > report.stop_outside else "caution"


def inside_words(share: float | None) -> str:
    """A share of landings in per cent, rounded down; of flights flown all may land inside, which is no certainty.

    >>> inside_words(0.9996), inside_words(1.0), inside_words(0.413), inside_words(None)
    ('99.9 %', 'all', '41 %', 'UNKNOWN')
    """
    if share is None:
        return UNKNOWN
    if share >= 1.0 or share <= 0.0:
        return ALL if share >= 1.0 else "0 %"
    percent = 100.0 * share + 1e-9
    if percent > 90.0 or percent < 1.0:
        return f"{int(percent * 10.0) / 10.0:.1f} %" if percent >= 0.1 else "< 0.1 %"
    return f"{int(percent)} %"


def altitude_words(cell: ShareCell, units: Units) -> str:
    """The greatest apogee that stays inside, in a few words."""
    if cell.altitude_m is None:
        return (
            "none" if cell.bound == "none" else "" if cell.bound == "unknown" and cell.inside is not None else UNKNOWN
        )
    return ("over " if cell.bound == "whole_class" else "to ") + rough(cell.altitude_m, units)


def _cell(
    cell: ShareCell, standing: Standing, around: Box, two_lines: bool, units: Units
) -> list[Shape]:  # fmt: skip
    left, top, right, low = around
    column, middle = right - left, 0.5 * (left + right)
    clear = standing == "clear"
    box = (left + 1.2, top + 1.2, right - 1.2, low - 1.2)
    look = Look(fill="tint") if clear else Look(stroke=standing, width=1.3)
    shapes: list[Shape] = [Area((rectangle(box),), look, "stays" if clear else "stands-out")]
    said = inside_words(cell.inside)
    beside = 0.0 if clear or column < NARROW else MARK + GAP
    if cell.inside is None and text_width(said, SMALL, True) > column - 2.0 - beside:
        said = "?"
    size = TYPE if text_width(said, TYPE, not clear) <= column - 5.0 - beside else SMALL
    said = fit(said, size, column - 2.0 - beside, not clear)
    start = middle - 0.5 * (text_width(said, size, not clear) + beside)
    role: Role = "ink" if clear else standing
    below = altitude_words(cell, units).split(" ", 1 if two_lines else 0) if column >= NARROW else []
    unknown = "?" if text_width(UNKNOWN, SMALL) > column - 2.5 else UNKNOWN
    below = [unknown if each == UNKNOWN else each for each in below if each]
    level = top + (11.0 if below or column < NARROW else 15.3)
    shapes.append(Label(said, (start + beside, level), size, bold=not clear, role=role, name="share"))
    if not clear:
        shapes += mark(standing, (start + 0.5 * MARK, level - 2.7) if beside else (middle, top + 18.0), MARK)
    for number, line in enumerate(below):
        at = (middle, top + 20.5 + TALLER * number)
        shapes.append(Label(fit(line, SMALL, column - 2.5), at, SMALL, "middle", name="altitude"))
    return shapes


def _key(report: SizingReport, units: Units, width: float, column: float) -> list[tuple[Standing | None, list[str]]]:
    """What each mark and each word means, only of those that the grid holds."""
    cells = [cell for row in report.classes for cell in row.cells]
    standings = {standing_of(cell, report) for cell in cells}
    caution, stop = (amount_text(Amount(each, "chance"), "si") for each in (report.most_outside, report.stop_outside))
    marks: tuple[tuple[Standing, str], ...] = (
        ("clear", f"on a tint: the class stays inside, at most {caution} of its landings lie outside the boundary"),
        ("caution", f"more than {caution} outside, the organiser's limit for a caution"),
        ("stop", f"more than {stop} outside, the organiser's limit for a stop"),
        ("unknown", "could not be flown"),
    )
    found: list[tuple[Standing | None, list[str]]] = [
        (standing, key_lines((said,), width - KEY)) for standing, said in marks if standing in standings
    ]
    says: list[str] = []
    if any(cell.inside is not None and cell.inside >= 1.0 for cell in cells):
        says.append(f"{ALL}: every flight that was flown for it came down inside; that is no certainty")
    words = {altitude_words(cell, units).split(" ")[0] for cell in cells} if column >= NARROW else set()
    if words & {"to", "over", "none"}:
        says.append("below the share: how high a rocket of the class may fly and stay inside")
    if "over" in words:
        says.append("over: the class's strongest motor stays inside too, and takes it that high")
    if "none" in words:
        says.append("none: not even the class's weakest motor stays inside")
    return [*found, *((None, key_lines((each,), width)) for each in says)]


def _draw_key(key: Iterable[tuple[Standing | None, list[str]]], top: float) -> list[Shape]:
    shapes: list[Shape] = []
    level = top + LEAD
    for standing, lines in key:
        if standing == "clear":
            shapes.append(Area((rectangle((0.5, level - 7.0, 9.5, level + 1.0)),), Look(fill="tint", stroke="rule")))
        elif standing is not None:
            shapes += mark(standing, (5.0, level - 2.7), MARK)
        for line in lines:
            at = (0.0 if standing is None else KEY, level)
            shapes.append(Label(line, at, SMALL, role="soft", name="key"))
            level += LEAD
    return shapes


def _words(row: ClassRow, report: SizingReport, units: Units) -> str:
    said = []
    for wind, cell in zip(report.winds_mps, row.cells, strict=True):
        speed = amount_text(Amount(wind, "wind_speed"), units) if wind > 0.0 else "calm"
        top = altitude_words(cell, units)
        standing = standing_of(cell, report)
        told = "" if standing in ("clear", "unknown") else f", {standing}"
        said.append(f"{speed} {inside_words(cell.inside)}{told}" + (f" ({top})" if top else ""))
    return f"class {row.letter}: {', '.join(said)}"
