"""Impulse classes against wind speeds: the share of landings inside, and the greatest apogee that stays inside.

A class that stays inside stands quiet on a tint. One that does not stands out: framed, bold, with the mark of its
standing, so that the grid reads at a glance, in grey and by whoever does not tell colours apart.
"""

from __future__ import annotations

from collections.abc import Iterable

from reports.amounts import Amount, Standing
from reports.drawings.axes import TYPE, empty
from reports.drawings.key_lines import LEAD, key_lines
from reports.drawings.standing_mark import mark
from reports.figures import UNKNOWN, Units, amount_text, rough
from reports.scene import Area, Label, Line, Look, Scene, Shape, rectangle
from reports.sizing_data import ClassRow, ShareCell, SizingReport
from reports.theme import Role
from reports.typeface import fit
from reports.typeface import width as text_width

ROW = 25.0
HEAD, FOOT = 36.0, 4.0
NAME = 52.0
NARROW = 40.0  # a column below this leaves the altitudes to the text
SMALL = TYPE - 0.2  # still 12 px on a phone
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
    bottom = HEAD + ROW * len(rows)
    key = _key(report, units, width)
    lines = sum(len(each) for _, each in key)
    scene = Scene(width, bottom + LEAD * lines + FOOT + 3.0, "Share of landings inside by class and wind")
    column = (width - NAME) / len(winds_mps)
    high = amount_text(report.wind_height, units)
    said = f"mean wind of the hour, {high} above ground, and its share of the hours with light"
    short = f"mean wind, {high} up, and its share of hours"
    said = said if text_width(said, SMALL) <= width - NAME else short
    scene.add(Label(fit(said, SMALL, width - NAME), (NAME, 8.0), SMALL, role="soft", name="across"))
    scene.add(Label("class", (0.0, 20.0), SMALL, role="soft"), Label("hours", (0.0, 31.0), SMALL, role="soft"))
    for number, (wind, share) in enumerate(zip(winds_mps, report.winds_share, strict=True)):
        middle = NAME + column * (number + 0.5)
        wind_said = amount_text(Amount(wind, "wind_speed"), units) if wind > 0.0 else "calm"
        scene.add(Label(fit(wind_said, TYPE, column - 2.0, True), (middle, 20.0), TYPE, "middle", bold=True))
        often = f"{100.0 * share:.0f} %" if share >= 0.005 or share == 0.0 else "< 1 %"
        scene.add(Label(often, (middle, 31.0), SMALL, "middle", role="soft", name="often"))
    for number, row in enumerate(rows):
        top = HEAD + ROW * number
        scene.add(Line(((0.5, top), (width - 0.5, top)), Look(stroke="tint", width=0.5), "row"))
        scene.add(Label(row.letter, (0.0, top + 11.0), 10.0, bold=True, name="class"))
        flights = f"{row.count:,} flight{'' if row.count == 1 else 's'}"
        scene.add(Label(fit(flights, SMALL, NAME - 4.0), (0.0, top + 20.5), SMALL, role="soft"))
        for place, cell in enumerate(row.cells):
            scene.add(*_cell(cell, standing_of(cell, report), NAME + column * place, top, column, units))
    scene.add(Line(((0.5, bottom), (width - 0.5, bottom)), Look(stroke="ink", width=0.8), "end"))
    scene.add(*_draw_key(key, bottom + 3.0))
    scene.description = "; ".join(_words(row, report, units) for row in rows) + "."
    return scene


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
    cell: ShareCell, standing: Standing, left: float, top: float, column: float, units: Units
) -> list[Shape]:  # fmt: skip
    middle = left + 0.5 * column
    clear = standing == "clear"
    box = (left + 1.2, top + 1.2, left + column - 1.2, top + ROW - 1.2)
    look = Look(fill="tint") if clear else Look(stroke=standing, width=1.3)
    shapes: list[Shape] = [Area((rectangle(box),), look, "stays" if clear else "stands-out")]
    said = inside_words(cell.inside) if column >= NARROW or cell.inside is not None else "?"
    beside = 0.0 if clear or column < NARROW else MARK + GAP
    size = TYPE if text_width(said, TYPE, not clear) <= column - 5.0 - beside else SMALL
    said = fit(said, size, column - 2.0 - beside, not clear)
    start = middle - 0.5 * (text_width(said, size, not clear) + beside)
    role: Role = "ink" if clear else standing
    below = altitude_words(cell, units) if column >= NARROW else ""
    level = top + (11.0 if below or column < NARROW else 15.3)
    shapes.append(Label(said, (start + beside, level), size, bold=not clear, role=role, name="share"))
    if not clear:
        shapes += mark(standing, (start + 0.5 * MARK, level - 2.7) if beside else (middle, top + 18.0), MARK)
    if below:
        shapes.append(Label(fit(below, SMALL, column - 4.0), (middle, top + 20.5), SMALL, "middle", name="altitude"))
    return shapes


def _key(report: SizingReport, units: Units, width: float) -> list[tuple[Standing | None, list[str]]]:
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
    words = {altitude_words(cell, units).split(" ")[0] for cell in cells}
    if words & {"to", "over", "none"}:
        says.append("second line: how high a rocket of the class may fly and stay inside")
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
