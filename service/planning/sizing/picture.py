"""A sizing as pictures and sentences for pages: what the report prints, drawn by the same code."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from reports.drawings.month_hours import month_hours
from reports.drawings.share_grid import inside_words, share_grid
from reports.drawings.site_map import notice_map, site_map
from reports.drawings.wind_rose import wind_rose
from reports.figures import Units
from reports.scene import Scene
from reports.sentences import say
from reports.sizing_data import SizingReport
from reports.svg import svg_file
from service.models.day import LaunchDay
from service.models.sizing import Sizing
from service.planning.pictures import svg_text
from service.planning.printed_figures import in_readers_units
from service.planning.sizing.report import sizing_report

WIDE, NARROW = 520.0, 162.0  # as the other pictures of pages
MAP_TALL, NARROW_TALL = 400.0, 210.0
FEW_WINDS = 3  # that find room on a phone


@dataclass(frozen=True)
class Pictures:
    """Each as two SVG elements, for wide and for narrow screens."""

    site: tuple[str, str]
    notice: tuple[str, str]
    rose: tuple[str, str]
    shares: tuple[str, str]
    hours: tuple[str, str]


@dataclass(frozen=True)
class Shown:
    """A sizing for a page: the answer, a bold word and a sentence each, and the pictures."""

    answer: tuple[tuple[str, str], ...]
    pictures: Pictures
    limit_words: str
    notes: tuple[str, ...]


# each wide, for page and file
WIDE_SCENES: Mapping[str, Callable[[SizingReport, Units], Scene]] = {
    "site": lambda report, units: site_map(report.field, report.site, units, WIDE, MAP_TALL),
    "notice": lambda report, units: notice_map(report.field, report.site, units, 0.5 * WIDE, 0.5 * WIDE),
    "rose": lambda report, units: wind_rose(report.rose, units, 0.5 * WIDE, 0.5 * WIDE),
    "shares": lambda report, units: share_grid(report, units, WIDE),
    "hours": lambda report, units: month_hours(report.months, WIDE, report.timezone),
}


def sizing_svg(day: LaunchDay, sizing: Sizing, name: str, units: Units) -> str:
    """One of `WIDE_SCENES` as a picture of its own."""
    return svg_file(WIDE_SCENES[name](sizing_report(day, sizing), units), name)


def sizing_shown(day: LaunchDay, sizing: Sizing, units: Units) -> Shown:
    """The answer in the reader's units, and its pictures."""
    report = sizing_report(day, sizing)

    def both(name: str, narrow: Scene) -> tuple[str, str]:
        return svg_text(WIDE_SCENES[name](report, units), f"{name}-wide"), svg_text(narrow, f"{name}-narrow")

    pictures = Pictures(
        site=both("site", site_map(report.field, report.site, units, NARROW, NARROW_TALL)),
        notice=both("notice", notice_map(report.field, report.site, units, NARROW, NARROW)),
        rose=both("rose", wind_rose(report.rose, units, NARROW, NARROW + 10.0)),
        shares=both("shares", share_grid(_few_winds(report), units, NARROW)),
        hours=both("hours", month_hours(report.months, NARROW, report.timezone)),
    )
    return Shown(
        answer=tuple((name, say(text, units)) for name, text in report.answer),
        pictures=pictures,
        limit_words=say(in_readers_units(sizing.hours.limit_words, "wind_speed"), units),
        notes=tuple(say(in_readers_units(each, "wind_speed"), units) for each in sizing.notes),
    )


def inside_said(share: float | None) -> str:
    """A share of landings as the grid says it."""
    return inside_words(share)


def _few_winds(report: SizingReport) -> SizingReport:
    """The same with as many winds as a phone has room for, evenly apart, the strongest among them."""
    count = len(report.winds_mps)
    every = max(1, -(-count // FEW_WINDS))
    kept = sorted(range(count - 1, -1, -every))
    return replace(
        report,
        winds_mps=tuple(report.winds_mps[place] for place in kept),
        winds_share=tuple(report.winds_share[place] for place in kept),
        classes=tuple(replace(row, cells=tuple(row.cells[place] for place in kept)) for row in report.classes),
    )
