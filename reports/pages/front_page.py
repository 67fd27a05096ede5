"""The first page, for the RSO: the day, the field, the conditions, who needs a look, where to sign."""

from __future__ import annotations

import datetime as dt
import math

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import CondPageBreak, Flowable, Spacer

from reports.amounts import STANDINGS_WORST_FIRST, Amount
from reports.drawings.field_map import DayFootprint, day_map
from reports.drawings.tick_box import tick_box
from reports.figures import UNKNOWN, Units, amount_text, rough
from reports.ground_data import Footprint
from reports.pages import stationery as paper
from reports.pages.attention import by_attention
from reports.pages.clock import clock, clock_on
from reports.pages.stationery import lead_in, words
from reports.pages.tables import NOTHING, columns, marked, ruled
from reports.pdf import Picture
from reports.sentences import DEFERRAL_LONG, inside_text, plural, say, sentence
from reports.sheet_data import Ceiling, Conditions, EntryPage, RangeSheet, Signature, Tick, WindLayer
from reports.typeface import fit, fit_lines, printable
from reports.wind_words import from_cell

MAP_TALL = 82 * mm
MOST_LAYERS = 6
SIGNATURE_SHARES = (0.24, 0.2, 0.25, 0.31)  # name, role, time, signature
ROW_SHARES = (0.12, 0.17, 0.13, 0.04, 0.155, 0.095, 0.29)


def front_page(sheet: RangeSheet, units: Units, wide: float) -> list[Flowable]:
    entries = by_attention(sheet.entries)
    map_wide = wide * 0.56
    day = tuple(
        DayFootprint(e.entry_id, e.standing, e.footprint("planned") or Footprint("planned", why_unknown="not flown"))
        for e in entries
    )
    picture = day_map(sheet.field, day, lowest_wind(sheet.conditions), units, map_wide - 9, MAP_TALL)
    side = [
        *_counts(entries, wide - map_wide),
        *_ceiling(sheet.ceiling, sheet.elevation_m, units),
        *_conditions(sheet.conditions, units, wide - map_wide),
    ]
    title = f"Range sheet, {when(sheet.date)}"
    story: list[Flowable] = [
        paper.PageMark("", "", "day", f"{sheet.day}, {sheet.date.isoformat()}"),
        words(title, paper.TITLE, 120),
        words(f"{sheet.day} · {sheet.field.name} · times in {sheet.timezone}", paper.STRONG, 160),
        Spacer(0, 4),
        columns([Picture(picture), side], [map_wide, wide - map_wide]),
        Spacer(0, 3),
        words(DEFERRAL_LONG, paper.SMALL_STRONG),
    ]
    if sheet.unsettled:
        story.append(Spacer(0, 3))
        story.append(lead_in("NOT SETTLED.", " ".join(say(each, units) for each in sheet.unsettled), paper.LOUD))
    story += _cautions(sheet, units)
    story += _entries(entries, units, wide)
    story += _checklist(sheet, units, wide)
    story += _foundations(sheet, units)
    return story


def when(date: dt.date) -> str:
    """Saturday 15 May 2027, whatever the machine's language."""
    days = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
    months = "January February March April May June July August September October November December".split()
    return f"{days[date.weekday()]} {date.day} {months[date.month - 1]} {date.year}"


def lowest_wind(conditions: Conditions) -> WindLayer | None:
    return min(conditions.wind, key=lambda layer: layer.height_m, default=None)


def _counts(entries: list[EntryPage], wide: float) -> list[Flowable]:
    cells: list = []
    for standing in STANDINGS_WORST_FIRST:
        count = sum(entry.standing == standing for entry in entries)
        cells.append([words(str(count), paper.style(15, 18, bold=True, role=standing)), marked(standing, 7.6)])
    heading = plural(len(entries), "entry", "entries")
    return [words(heading, paper.HEADING), columns(cells, [wide * f for f in (0.2, 0.285, 0.28, 0.235)], gap=2)]


def _ceiling(ceiling: Ceiling | None, elevation_m: float, units: Units) -> list[Flowable]:
    if ceiling is None:
        return [words("Ceiling", paper.HEADING), words(f"{UNKNOWN}: none was given", paper.LOUD)]
    agl, msl = (amount_text(Amount(h, "length"), units, 4) for h in (ceiling.agl_m, ceiling.msl_m))
    field = amount_text(Amount(elevation_m, "length"), units, 4)
    granted = {"agl": "above the field", "msl": "above sea level"}[ceiling.datum]
    note = f"Field at {field} MSL; given {granted}" + (f"; {say(ceiling.note, units)}" if ceiling.note else "") + "."
    return [
        words("Ceiling", paper.HEADING),
        words(f"{agl} AGL = {msl} MSL", paper.style(11, 13.5, bold=True)),
        words(note, paper.SMALL, 300),
    ]


def _conditions(conditions: Conditions, units: Units, wide: float) -> list[Flowable]:
    age, limit = conditions.age_min, conditions.max_age_min
    story: list[Flowable] = [words("Conditions", paper.HEADING)]
    if age is None:
        story.append(words(f"Age {UNKNOWN}", paper.LOUD))
    elif limit is not None and age > limit:
        story.append(
            words(
                f"OLD: {age:.0f} min, at most {limit:.0f} min. Measure again.", paper.style(9.5, bold=True, role="stop")
            )
        )
    else:
        story.append(
            words(f"{age:.0f} min old" + (f", at most {limit:.0f} min" if limit is not None else ""), paper.STRONG)
        )
    story.append(words(f"{clock(conditions.observed_at)}, {conditions.source}", paper.SMALL, 300))
    story.append(words(_weather(conditions, units), paper.SMALL))
    story.append(Spacer(0, 2))
    story.append(_winds(conditions, units, wide))
    return story


def _weather(c: Conditions, units: Units) -> str:
    def share(value: float | None) -> str:
        return UNKNOWN if value is None or not math.isfinite(value) else f"{100.0 * value:.0f} %"

    def far(value: float | None) -> str:
        return UNKNOWN if value is None else rough(value, units, 3)

    parts = (
        f"temperature {amount_text(Amount(c.temperature_c, 'temperature'), units)}",
        f"pressure {amount_text(Amount(c.pressure_hpa, 'pressure'), units, 4)}",
        f"humidity {share(c.relative_humidity)}",
        f"cloud {share(c.cloud_cover)}, base {far(c.cloud_base_m)}",
        f"visibility {far(c.visibility_m)}",
    )
    return ", ".join(parts)


def _winds(conditions: Conditions, units: Units, wide: float) -> Flowable:
    layers = sorted(conditions.wind, key=lambda layer: layer.height_m)
    if not layers:
        return words(f"Wind {UNKNOWN}: no layer was given", paper.LOUD)
    shown = layers if len(layers) <= MOST_LAYERS else [*layers[: MOST_LAYERS - 1], layers[-1]]
    rows = [
        [
            words(rough(x.height_m, units, 3), paper.SMALL),
            words(amount_text(Amount(x.speed_mps, "wind_speed"), units), paper.SMALL_STRONG),
            words(from_cell(x), paper.SMALL),
            words(
                amount_text(Amount(x.gust_mps, "wind_speed"), units) if x.gust_mps is not None else NOTHING, paper.SMALL
            ),
        ]
        for x in shown
    ]
    return ruled(rows, [wide * f for f in (0.24, 0.26, 0.26, 0.24)], ("height", "wind", "from", "gusts"), pad=0.8)


def _cautions(sheet: RangeSheet, units: Units) -> list[Flowable]:
    if not sheet.cautions:
        return []
    text = " ".join(f"({i}) {say(caution, units)}" for i, caution in enumerate(sheet.cautions, start=1))
    return [Spacer(0, 3), lead_in("Cautions of the day.", text)]


def _entries(entries: list[EntryPage], units: Units, wide: float) -> list[Flowable]:
    heading = words("Entries, those that need attention most first", paper.HEADING)
    if not entries:
        return [heading, words("No entry was registered for this day.", paper.STRONG)]
    rows = [_entry_row(entry, index, units, wide) for index, entry in enumerate(entries)]
    widths = [wide * f for f in ROW_SHARES]
    names = ("standing", "entry, rocket, flyer", "motor", "pad", "apogee", "inside", "what decides it")
    return [CondPageBreak(30 * mm), heading, ruled(rows, widths, names, pad=1.3)]


def _entry_row(entry: EntryPage, index: int, units: Units, wide: float) -> list:
    planned = entry.footprint("planned")
    inside = inside_text(planned)
    decides = sentence(say(entry.decides_short or entry.decides, units))
    return [
        marked(entry.standing, 7.6),
        [
            words(f"{entry.entry_id}  {entry.rocket}", paper.STRONG, 70, link=f"entry-{index}"),
            words(entry.flyer, paper.SMALL, 60),
        ],
        words(fit_lines(entry.motor, 2, paper.SMALL.fontSize, wide * ROW_SHARES[2] - 6), paper.SMALL),
        words(entry.pad, paper.BODY, 16),
        words(amount_text(entry.apogee, units), paper.STRONG if entry.apogee.known else paper.SMALL_STRONG),
        words(inside, paper.STRONG if inside != UNKNOWN else paper.SMALL_STRONG),
        words(fit_lines(decides, 2, paper.SMALL.fontSize, wide * ROW_SHARES[6] - 6), paper.SMALL),
    ]


def _checklist(sheet: RangeSheet, units: Units, wide: float) -> list[Flowable]:
    story: list[Flowable] = []
    if sheet.ticks:
        heading = words("Checklist of the day: each needs a name and a time", paper.HEADING)
        story += [CondPageBreak(24 * mm), heading, tick_table(sheet.ticks, units, sheet.date, wide)]
    if sheet.beyond_ticks:
        story += [Spacer(0, 2), words(say(sheet.beyond_ticks, units), paper.STRONG)]
    return story


def tick_table(ticks: tuple[Tick, ...], units: Units, date: dt.date, wide: float) -> Flowable:
    """Two abreast: a box, what is to be seen to, and who and when or room to write it."""
    half = wide / 2
    cells = [
        columns(
            [
                Picture(tick_box(bool(tick.by), size=7.4)),
                words(say(tick.text, units) + (f" ({tick.source})" if tick.source else ""), paper.NOTE_INK, 400),
                words(f"{tick.by}, {clock_on(date, tick.at)}", paper.NOTE_INK, 70) if tick.by else "",
            ],
            [half * f for f in (0.05, 0.66, 0.27)],
            gap=4.0,
        )
        for tick in ticks
    ]
    rows = [[*cells[i : i + 2], *([""] if i + 1 == len(cells) else [])] for i in range(0, len(cells), 2)]
    return ruled(rows, [half, half], pad=0.9)


def _foundations(sheet: RangeSheet, units: Units) -> list[Flowable]:
    story: list[Flowable] = [Spacer(0, 4)]
    if sheet.local_rules:
        text = " ".join(f"({i}) {say(rule, units)}" for i, rule in enumerate(sheet.local_rules, start=1))
        story.append(lead_in("Local rules.", text, paper.SMALL))
    story.append(lead_in("Codes used.", "; ".join(sheet.code_editions) or "none was named", paper.SMALL))
    engine = f"engine {sheet.engine_version}, document {sheet.document_hash}, made {clock(sheet.made_at)}"
    meaning = sheet.spread_meaning.split(". ")[0]  # the rest stands at the end of the sheet
    story.append(lead_in("Made by", f"{engine}. {sentence(meaning)}", paper.SMALL))
    return story


def signature_block(canvas: Canvas, left: float, top: float, wide: float, signature: Signature | None) -> None:
    """Name, role, date, signature at the foot of the first page; filled in where the sheet is signed."""
    canvas.saveState()
    canvas.setStrokeColor(paper.COLOURS["ink"])
    canvas.setFillColor(paper.COLOURS["ink"])
    canvas.setLineWidth(1.2)
    canvas.line(left, top, left + wide, top)
    canvas.setFont(paper.BOLD, 9.5)
    canvas.drawString(left, top - 12, "Range safety officer: I have read this sheet and its cautions")
    # the signature's own place stays empty here: what signs the file draws itself there
    given = (signature.by, signature.role, clock(signature.at), "") if signature else ("",) * 4
    x, base = left, top - 52
    canvas.setLineWidth(0.6)
    for name, share, value in zip(
        ("name", "role", "date, time", "signature"), SIGNATURE_SHARES, given, strict=True
    ):
        room = wide * share - 10
        canvas.line(x, base, x + room, base)
        canvas.setFont(paper.PLAIN, 7)
        canvas.drawString(x, base - 9, name)
        canvas.setFont(paper.PLAIN, 8.4)
        canvas.drawString(x, base + 3, printable(fit(value, 8.4, room)))
        x += wide * share
    canvas.restoreState()
