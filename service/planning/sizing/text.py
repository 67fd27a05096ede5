"""A field sized, as lines for the terminal."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator

from reports.amounts import Amount
from reports.drawings.share_grid import inside_words
from reports.figures import Units, amount_text
from reports.sentences import say
from service.models.day import LaunchDay
from service.models.sizing import ShareCell, Sizing
from service.planning.ground import ground_of
from service.planning.sizing.describe import NOT_SEARCHED
from service.planning.sizing.report_words import answer
from service.planning.table import WIDTH
from service.planning.words import distance_in_words


def sizing_lines(sizing: Sizing, day: LaunchDay, units: Units = "si") -> Iterator[str]:
    """The answer first, in the words of the report, then the tables it rests on."""
    yield from _wrapped(f"{sizing.field}, {sizing.day}, {sizing.date}; fleet: {sizing.fleet_source}")
    season = sizing.season
    yield from _wrapped(
        f"Season: {season.source}, {season.first[:10]} to {season.last[:10]}, {season.known:,} of {season.hours:,} "
        f"hours known."
    )
    yield ""
    for name, words in answer(sizing, day, ground_of(day)):
        yield from _wrapped(f"{name}. {say(words, units)}")
    yield ""
    yield from _share_table(sizing)
    yield ""
    yield from _dimension_table(sizing)
    yield ""
    yield from _hours(sizing)
    yield ""
    open_items = sizing.sheet.open_items
    yield from _wrapped(
        f"{sizing.sheet.needed_words} {open_items} items of the data sheet are to be filled in by hand."
    )
    yield "Rests on:"
    for note in sizing.notes:
        yield from textwrap.wrap(f"  {note}", WIDTH, subsequent_indent="    ")
    yield "Local code, the authority having jurisdiction and the range safety officer come first."


def _wrapped(text: str) -> list[str]:
    tied = re.sub(r"(?<=\d) (?=(?:m|m/s|ft|NM|%)(?!\w))", "\u00a0", text)  # a figure and its unit on one line
    return [line.replace("\u00a0", " ") for line in textwrap.wrap(tied, WIDTH, subsequent_indent="  ")]


def _share_table(sizing: Sizing) -> Iterator[str]:
    winds = [each.wind_mps for each in sizing.winds]
    searched = any(each.altitude.words != NOT_SEARCHED.words for each in sizing.shares)
    also = ", and the greatest apogee that stays inside" if searched else ""
    yield f"Share of landings inside from the pads as they stand{also}, by wind"
    yield f"{'class':<7}" + "".join(f"{wind:>12g} m/s" for wind in winds)
    for each in sizing.fleet:
        cells = [cell for cell in sizing.shares if cell.letter == each.letter]
        yield f"{each.letter:<7}" + "".join(f"{_inside(cell):>16}" for cell in cells)
        if searched:
            yield f"{'':<7}" + "".join(f"{_altitude(cell):>16}" for cell in cells)


def _inside(cell: ShareCell) -> str:
    return "unknown" if cell.inside is None else inside_words(cell.inside.estimate)


def _altitude(cell: ShareCell) -> str:
    found = cell.altitude
    if found.apogee_m is None:
        return {"none": "none"}.get(found.bound, "unknown")
    return f"{'over ' if found.bound == 'whole_class' else ''}{distance_in_words(found.apogee_m)}"


def _dimension_table(sizing: Sizing) -> Iterator[str]:
    yield f"What the codes ask of the field ({sizing.min_dimension_m:,.0f} m across at its narrowest)"
    for each in sizing.dimensions:
        if each.in_force:
            what = "narrowest" if each.what == "site" else "to outsiders"
            has = "unknown" if each.found_m is None else f"{each.found_m:,.0f} m"
            said = "not known" if each.met is None else "met" if each.met else "NOT met"
            yield f"  {each.letter:<5}{what:<14}{each.printed:>10}, has {has}: {said} ({each.clause or each.rule})"


def _hours(sizing: Sizing) -> Iterator[str]:
    hours = sizing.hours
    yield from _wrapped(f"Flyable hours in per cent, by month and hour. {hours.limit_words}")
    clock = sorted({cell.hour for cell in hours.cells if cell.dark < cell.hours})
    yield f"{'':<7}" + "".join(f"{hour:>5}" for hour in clock)
    for month in sorted({cell.month for cell in hours.cells}):
        row = {cell.hour: cell for cell in hours.cells if cell.month == month}
        yield f"{month:<7}" + "".join(f"{100.0 * row[hour].share:>5.0f}" if hour in row else "    -" for hour in clock)
    for each in hours.classes:
        said = "not known" if each.share is None else amount_text(Amount(each.share, "chance"), "si")
        yield f"  class {each.letter:<5} stays inside as well in {said} of the hours with light"
