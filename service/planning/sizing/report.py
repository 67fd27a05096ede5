"""Turns a sizing into the report that is printed. Nothing is computed here that the sizing does not already say."""

from __future__ import annotations

import datetime as dt
from typing import Literal

import shapely

from geo.frame import LocalFrame
from reports.amounts import Amount
from reports.ground_data import Path
from reports.sizing import render_sizing
from reports.sizing_data import (
    ClassRow,
    CodeRow,
    HourCell,
    Item,
    ItemList,
    MonthRow,
    RosePetal,
    ShareCell,
    SitePlan,
    SizingReport,
)
from service.codes.load import editions, load
from service.models.day import LaunchDay
from service.models.sizing import MinimumDimension, PadDistance, Sizing
from service.models.sizing_sheet import DataItem
from service.planning.ground import ground_of
from service.planning.printed_figures import in_readers_units
from service.planning.sheet import field_plan
from service.planning.sheet_words import KNOWN_WORDS
from service.planning.sizing import report_words
from service.planning.sizing.wording import letters_words, whose_words

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
SITE_WORDS = {"site": "narrowest width of the field", "outsiders": "pad to whoever has no part in the launch"}


def sizing_pdf(
    day: LaunchDay, sizing: Sizing, paper: Literal["A4", "letter"] = "A4", units: Literal["si", "us"] = "si"
) -> bytes:
    """The report as a PDF: the same sizing always gives the same bytes."""
    return render_sizing(sizing_report(day, sizing), paper, units)


def sizing_report(day: LaunchDay, sizing: Sizing) -> SizingReport:
    """Everything that the report prints, and the pictures are drawn from."""
    ground = ground_of(day)
    return SizingReport(
        day=sizing.day,
        date=dt.date.fromisoformat(sizing.date),
        field=field_plan(day, ground),
        site=_site(sizing, ground.frame),
        answer=report_words.answer(sizing, day, ground),
        fleet=sizing.fleet_source,
        season=_season(sizing),
        rose=tuple(RosePetal(each.from_deg, each.share, each.mean_mps) for each in sizing.season.rose),
        winds_mps=tuple(each.wind_mps for each in sizing.winds),
        winds_share=tuple(each.share for each in sizing.winds),
        wind_height=Amount(sizing.season.wind_height_m, "length"),
        most_outside=sizing.outside_caution,
        stop_outside=day.policy.outside_stop,
        classes=tuple(_classes(sizing)),
        months=tuple(_months(sizing)),
        hours_words=in_readers_units(f"{sizing.hours.words} {sizing.hours.limit_words}", "wind_speed"),
        timezone=sizing.timezone,
        dimensions=tuple(_dimension(each) for each in sizing.dimensions),
        distances=tuple(_distance(each) for each in sizing.pads.distances),
        sheet_words=sizing.sheet.needed_words,
        lists=(
            ItemList("14 CFR 101.27: the notice", tuple(_item(each) for each in sizing.sheet.notice)),
            *(
                ItemList(
                    f"14 CFR 101.29: Class {each.faa_class} rockets, {each.name}", tuple(_item(i) for i in each.items)
                )
                for each in sizing.sheet.types
            ),
        ),
        sheet_notes=sizing.sheet.notes,
        notes=tuple(in_readers_units(each, "wind_speed") for each in sizing.notes),
        engine_version=sizing.engine,
        code_editions=tuple(f"{each.title}, {each.edition}" for each in editions(list(day.codes))),
        fingerprint=sizing.season.fingerprint,
    )


def _site(sizing: Sizing, frame: LocalFrame) -> SitePlan:
    pads, affected = sizing.pads, sizing.affected

    def local(lonlat: tuple[float, float] | None) -> tuple[float, float] | None:
        if lonlat is None:
            return None
        east, north = frame.to_local(lonlat[0], lonlat[1])
        return float(east), float(north)

    line = _rings(frame, pads.line.geometry) if pads.line else ()
    return SitePlan(
        pad=local(pads.position),
        area=_rings(frame, pads.area),
        line=line[0] if line else (),
        centre=local(affected.centre),
        radius_m=affected.radius_m,
    )


def _rings(frame: LocalFrame, geometry: dict | None) -> tuple[Path, ...]:
    """The rings of a GeoJSON area in the frame."""
    if geometry is None:
        return ()
    shape = frame.project_geometry(shapely.geometry.shape(geometry))
    found: list[Path] = []
    for part in shapely.get_parts(shape):
        for ring in (part.exterior, *part.interiors):
            found.append(tuple((float(x), float(y)) for x, y in ring.coords))
    return tuple(found)


def _season(sizing: Sizing) -> tuple:
    season = sizing.season
    aloft = ("" if season.aloft_height_m is None else " and at ",
             "" if season.aloft_height_m is None else Amount(season.aloft_height_m, "length"))  # fmt: skip
    return (
        f"Winds: {season.source}, {season.first[:10]} to {season.last[:10]}, hourly at ",
        Amount(season.wind_height_m, "length"), *aloft, f"; {season.known:,} of {season.hours:,} hours known, mean ",
        Amount(season.mean_mps, "wind_speed"), ".",
    )  # fmt: skip


def _classes(sizing: Sizing):
    hours = {each.letter: each for each in sizing.hours.classes}
    for each in sizing.fleet:
        cells = [cell for cell in sizing.shares if cell.letter == each.letter]
        names = [f"{rocket.name} ({rocket.motor})" for rocket in each.rockets]
        yield ClassRow(
            letter=each.letter,
            count=each.count,
            rockets="; ".join(names),
            cells=tuple(
                ShareCell(
                    inside=cell.inside.estimate if cell.inside else None,
                    stays=None if cell.inside is None else 1.0 - cell.inside.estimate <= sizing.outside_caution,
                    altitude_m=cell.altitude.apogee_m,
                    bound=cell.altitude.bound,
                )
                for cell in cells
            ),
            hours_share=hours[each.letter].share,
            hours_share_best=hours[each.letter].share_best,
        )


def _months(sizing: Sizing):
    for month in sorted({cell.month for cell in sizing.hours.cells}):
        row: list[HourCell | None] = [None] * 24
        for cell in sizing.hours.cells:
            if cell.month == month and cell.hours:
                row[cell.hour] = HourCell(cell.share, cell.dark / cell.hours, cell.unknown / cell.hours)
        yield MonthRow(MONTHS[month - 1], tuple(row))


def _dimension(each: MinimumDimension) -> CodeRow:
    title = load(each.code).edition.title if each.code != "local" else "local rule"
    known = KNOWN_WORDS.get(each.known, each.known)
    return CodeRow(
        letter=each.letter, rule=each.rule, asks=SITE_WORDS[each.what],
        limit=None if each.limit_m is None else Amount(each.limit_m, "length"), printed=each.printed,
        found=None if each.found_m is None else Amount(each.found_m, "length"), met=each.met,
        clause=each.clause or title, source=known, in_force=each.in_force,
        note=each.note,
    )  # fmt: skip


def _distance(each: PadDistance) -> CodeRow:
    return CodeRow(
        letter=letters_words(each.letters), rule=each.rule, asks=each.words,
        limit=None if each.limit_m is None else Amount(each.limit_m, "length"), printed=each.printed,
        found=None if each.found_now_m is None else Amount(each.found_now_m, "length"), met=each.met_now,
        found_best=None if each.found_best_m is None else Amount(each.found_best_m, "length"), met_best=each.met_best,
        source=each.clause or "a local rule", note=whose_words(each),
    )  # fmt: skip


def _item(each: DataItem) -> Item:
    return Item(each.clause, each.asks, each.answer, each.basis)
