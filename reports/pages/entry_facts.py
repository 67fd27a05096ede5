"""What is known of one flight side by side: map, figures, risk; then the two plots."""

from __future__ import annotations

from reportlab.platypus import Flowable, Spacer

from reports.amounts import Amount
from reports.drawings.field_map import field_map
from reports.drawings.height_time import height_time
from reports.drawings.wind_profile import wind_profile
from reports.figures import NONE_SEEN, UNKNOWN, Units, amount_text
from reports.pages import stationery as paper
from reports.pages.forms import Form
from reports.pages.front_page import lowest_wind
from reports.pages.stationery import words
from reports.pages.tables import columns, measured_texts, ruled
from reports.pdf import Picture
from reports.sentences import MODE_WORDS, inside_text
from reports.sheet_data import EntryPage, Figure, ModeRisk, RangeSheet

MAP_WIDE = 0.465  # of the text
RISK_HEAD = ("how it ends", "chance", "inside", "on people", "one, per million", "all, per million")


def facts(
    sheet: RangeSheet, entry: EntryPage, units: Units, wide: float, map_tall: float, side: list[Flowable]
) -> Flowable:
    """The field map of a given height beside what `facts_side` made."""
    map_wide = wide * MAP_WIDE
    scene = field_map(
        sheet.field,
        entry.footprints,
        lowest_wind(sheet.conditions),
        units,
        map_wide - 9,
        map_tall,
        pad=entry.pad,
        title=f"Field map, {entry.entry_id}",
    )
    return columns([Picture(scene), side], [map_wide, wide - map_wide])


def facts_side(entry: EntryPage, units: Units, wide: float, form: Form) -> list[Flowable]:
    """The figures, and the risk under them, to stand beside the map."""
    side = wide * (1.0 - MAP_WIDE)
    return [*_figures(entry.figures, units, side, form), Spacer(0, 3), *_risk(entry, units, side)]


def plots(sheet: RangeSheet, entry: EntryPage, units: Units, wide: float, tall: float) -> Flowable:
    """Height against time, and the wind by height."""
    left = wide * 0.64
    ceiling = sheet.ceiling.agl_m if sheet.ceiling else None
    flight = height_time(entry.flight, ceiling, units, left - 9, tall, entry.why_no_flight)
    wind = wind_profile(sheet.conditions.wind, units, wide - left, tall, entry.apogee.value)
    return columns([Picture(flight), Picture(wind)], [left, wide - left])


def _figures(figures: tuple[Figure, ...], units: Units, wide: float, form: Form) -> list[Flowable]:
    if not figures:
        return [words(f"Figures {UNKNOWN}: the flight was not estimated", paper.LOUD)]
    rows = [_figure_row(figure, units, form) for figure in figures]
    return [ruled(rows, [wide * f for f in (0.465, 0.28, 0.255)], ("figure", "± spread", "limit"), pad=form.figure_pad)]


def _figure_row(figure: Figure, units: Units, form: Form) -> list[Flowable]:
    found, asked = measured_texts(figure.amount, figure.limit, units)
    against = figure.standing in ("stop", "caution", "unknown")
    name = figure.name + (f" ({figure.note})" if figure.note else "")
    found = found if figure.amount.known else UNKNOWN  # why stands among the findings
    role = figure.standing if against and figure.standing else "ink"
    return [
        words(name, paper.style(form.figure, bold=against), 120),
        words(found, paper.style(form.figure + 1.0, form.figure + 1.8, bold=True, role=role), 80),
        words(asked, paper.style(form.figure), 60),
    ]


def _risk(entry: EntryPage, units: Units, wide: float) -> list[Flowable]:
    if not entry.risks:
        return [words(f"Risk to people {UNKNOWN}: it was not computed.", paper.SMALL)]
    rows = [_risk_row(risk, entry, units) for risk in entry.risks]
    table = ruled(rows, [wide * f for f in (0.325, 0.12, 0.13, 0.145, 0.14, 0.14)], RISK_HEAD, pad=0.4)
    return [table, *([words(entry.risk_sums, paper.NOTE_INK)] if entry.risk_sums else [])]


def _risk_row(risk: ModeRisk, entry: EntryPage, units: Units) -> list[Flowable]:
    texts = (
        amount_text(Amount(risk.chance, "percent"), units),
        inside_text(entry.footprint(risk.mode)),
        amount_text(Amount(risk.chance_among_people, "chance"), units),
        *[_in_a_million(value, units) for value in (risk.individual, risk.collective)],
    )
    cells = [words(*(("unknown", paper.FINE_STRONG) if text == UNKNOWN else (text, paper.NOTE_INK))) for text in texts]
    return [words(MODE_WORDS[risk.mode], paper.NOTE_INK), *cells]


def _in_a_million(value: float | None, units: Units) -> str:
    said = amount_text(Amount(value, "small_chance"), units).removesuffix(" in a million")
    return "none" if said == NONE_SEEN else said
