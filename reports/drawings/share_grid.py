"""Impulse classes against wind speeds: the share of landings inside, and the greatest apogee that stays inside."""

from __future__ import annotations

from reports.amounts import Amount
from reports.drawings.axes import TYPE, empty
from reports.drawings.key_lines import LEAD, draw_lines, key_lines
from reports.figures import UNKNOWN, Units, amount_text, rough
from reports.scene import Area, Label, Line, Look, Scene, Shape, rectangle
from reports.sizing_data import ClassRow, ShareCell
from reports.typeface import fit
from reports.typeface import width as text_width

ROW = 25.0
HEAD, FOOT = 24.0, 4.0
NAME = 52.0
NARROW = 40.0  # a column below this leaves the altitudes to the text


def share_grid(
    winds_mps: tuple[float, ...], shares: tuple[float, ...], rows: tuple[ClassRow, ...], most_outside: float,
    units: Units, width: float,
) -> Scene:  # fmt: skip
    """Winds across with how often they blow, classes down. A filled cell with bold figures stays inside.

    The height follows from the number of classes.
    """
    if not winds_mps or not rows:
        scene = Scene(width, 90.0, "Classes and winds", "Nothing was flown.")
        scene.add(*empty((0.5, 0.5, width - 0.5, 89.5), "Nothing was flown", "a fleet and a season are needed"))
        return scene
    bottom = HEAD + ROW * len(rows)
    outside = amount_text(Amount(most_outside, "chance"), "si")
    says = (
        f"filled, bold: at most {outside} of the landings lie outside the boundary",
        "below the share: the greatest apogee that stays inside; over: the whole class does; none: not its bottom",
    )
    lines = key_lines(says, width)
    scene = Scene(width, bottom + LEAD * len(lines) + FOOT, "Share of landings inside by class and wind")
    column = (width - NAME) / len(winds_mps)
    for number, (wind, share) in enumerate(zip(winds_mps, shares, strict=True)):
        middle = NAME + column * (number + 0.5)
        said = amount_text(Amount(wind, "wind_speed"), units) if wind > 0.0 else "calm"
        scene.add(Label(fit(said, TYPE, column - 2.0, True), (middle, 9.0), TYPE, "middle", bold=True, name="wind"))
        often = f"{100.0 * share:.0f} %" if share >= 0.005 or share == 0.0 else "< 1 %"
        scene.add(Label(often, (middle, HEAD - 5.0), TYPE - 1.0, "middle", role="soft", name="often"))
    scene.add(Label("of hours", (0.0, HEAD - 5.0), TYPE - 1.0, role="soft"))
    scene.add(Label("class", (0.0, 9.0), TYPE, role="soft"))
    for number, row in enumerate(rows):
        top = HEAD + ROW * number
        scene.add(Line(((0.5, top), (width - 0.5, top)), Look(stroke="tint", width=0.5), "row"))
        scene.add(Label(row.letter, (0.0, top + 11.0), 10.0, bold=True, name="class"))
        flights = f"{row.count:,} flight{'' if row.count == 1 else 's'}"
        scene.add(Label(fit(flights, TYPE - 1.0, NAME - 4.0), (0.0, top + 20.5), TYPE - 1.0, role="soft"))
        for place, cell in enumerate(row.cells):
            scene.add(*_cell(cell, NAME + column * place, top, column, units))
    scene.add(Line(((0.5, bottom), (width - 0.5, bottom)), Look(stroke="ink", width=0.8), "end"))
    scene.add(*draw_lines(lines, bottom))
    scene.description = "; ".join(_words(row, winds_mps, units) for row in rows) + "."
    return scene


def inside_words(share: float | None) -> str:
    """A share in per cent, rounded down; only all of them read as all.

    >>> inside_words(0.9996), inside_words(1.0), inside_words(0.413), inside_words(None)
    ('99.9 %', '100 %', '41 %', 'UNKNOWN')
    """
    if share is None:
        return UNKNOWN
    percent = 100.0 * share + 1e-9
    if percent >= 100.0 or share == 0.0:
        return f"{percent:.0f} %"
    if percent > 90.0 or percent < 1.0:
        return f"{int(percent * 10.0) / 10.0:.1f} %" if percent >= 0.1 else "< 0.1 %"
    return f"{int(percent)} %"


def altitude_words(cell: ShareCell, units: Units) -> str:
    """The greatest apogee that stays inside, in a few words."""
    if cell.altitude_m is None:
        return (
            "none" if cell.bound == "none" else "" if cell.bound == "unknown" and cell.inside is not None else UNKNOWN
        )
    return ("over " if cell.bound == "whole_class" else "") + rough(cell.altitude_m, units)


def _cell(cell: ShareCell, left: float, top: float, column: float, units: Units) -> list[Shape]:
    middle = left + 0.5 * column
    shapes: list[Shape] = []
    stays = cell.stays is True
    if stays:
        box = (left + 1.0, top + 1.0, left + column - 1.0, top + ROW - 1.0)
        shapes.append(Area((rectangle(box),), Look(fill="tint", stroke="rule", width=0.5), "stays"))
    said = inside_words(cell.inside) if column >= NARROW or cell.inside is not None else "?"
    role = "unknown" if cell.inside is None else "ink" if stays else "soft"
    size = TYPE if text_width(said, TYPE, stays) <= column - 3.0 else TYPE - 1.5
    shapes.append(Label(said, (middle, top + 11.0), size, "middle", bold=stays, role=role, name="share"))  # type: ignore[arg-type]
    below = altitude_words(cell, units)
    if column >= NARROW and below:
        shapes.append(
            Label(fit(below, TYPE - 1.0, column - 3.0), (middle, top + 20.5), TYPE - 1.0, "middle", name="altitude")
        )
    return shapes


def _words(row: ClassRow, winds_mps: tuple[float, ...], units: Units) -> str:
    said = []
    for wind, cell in zip(winds_mps, row.cells, strict=True):
        speed = amount_text(Amount(wind, "wind_speed"), units) if wind > 0.0 else "calm"
        top = altitude_words(cell, units)
        said.append(f"{speed} {inside_words(cell.inside)}" + (f" ({top})" if top else ""))
    return f"class {row.letter}: {', '.join(said)}"
