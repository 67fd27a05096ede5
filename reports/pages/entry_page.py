"""One entry's page: the answer first, what stands against it, the pictures, the settings, the ruling, the rest."""

from __future__ import annotations

from reportlab.lib.units import mm
from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, NextPageTemplate, PageBreak, Spacer

from reports.amounts import Amount
from reports.drawings.field_map import field_map
from reports.drawings.height_time import height_time
from reports.drawings.tick_box import tick_box
from reports.drawings.wind_profile import wind_profile
from reports.figures import UNKNOWN, Units, amount_text
from reports.pages import stationery as paper
from reports.pages.attention import findings_by_attention
from reports.pages.front_page import clock, lowest_wind
from reports.pages.ruling_box import MOST_CAUTIONS, ruling_box
from reports.pages.stationery import lead_in, words
from reports.pages.tables import NOTHING, columns, marked, measured_texts, ruled
from reports.pdf import Picture
from reports.sentences import MODE_WORDS, answer, say
from reports.sheet_data import EntryPage, Figure, Finding, ModeRisk, PadSettings, RangeSheet

MAP_SHARE = 0.275  # of the height of the text
FEW_CLEAR = 10
PLOT_TALL = 35 * mm


def entry_page(
    sheet: RangeSheet, entry: EntryPage, index: int, units: Units, wide: float, tall: float
) -> list[Flowable]:
    not_clear, clear = findings_by_attention(entry.findings)
    story: list[Flowable] = [NextPageTemplate("later"), PageBreak(), *_head(entry, index, units, wide)]
    story += _unknowns(entry, units)
    story += _not_clear(not_clear, units, wide)
    story.append(_map_and_figures(sheet, entry, units, wide, MAP_SHARE * tall))
    story += _settings(entry.pad_settings, units, wide)
    story.append(_plots(sheet, entry, units, wide))
    if len(entry.cautions) > MOST_CAUTIONS:
        rest = " ".join(f"({i}) {say(c, units)}" for i, c in enumerate(entry.cautions, start=1))
        story.append(lead_in("All cautions.", rest, paper.SMALL))
    story += [Spacer(0, 3), *_check_in(entry, wide), KeepTogether(ruling_box(entry, units, wide)), Spacer(0, 3)]
    backing = [*_clear(clear, units, wide), *_risk(sheet, entry, units, wide), *_errors(sheet)]
    # what backs the decision stays in one piece: at the foot of the page, or all of it on the next
    if len(clear) <= FEW_CLEAR:
        return [*story, KeepTogether(backing)]
    return [*story, CondPageBreak(60 * mm), *backing]


def _check_in(entry: EntryPage, wide: float) -> list[Flowable]:
    """Attested items, two abreast, each with who and when or room for it."""
    cells = []
    for tick in entry.ticks:
        text = tick.text + (f" ({tick.source})" if tick.source else "")
        who = f"{tick.by}, {clock(tick.at) if tick.at else ''}" if tick.by else "initials"
        half = wide / 2
        row = [Picture(tick_box(bool(tick.by), size=7.0)), words(text, paper.SMALL, 300), words(who, paper.NOTE, 70)]
        cells.append(
            columns(row, [half * f for f in ((0.055, 0.62, 0.325) if tick.by else (0.055, 0.785, 0.16))], gap=4)
        )
    if not cells:
        return []
    rows = [[*cells[i : i + 2], *([""] if i + 1 == len(cells) else [])] for i in range(0, len(cells), 2)]
    return [ruled(rows, [wide / 2, wide / 2], ("at check-in", ""), pad=1.2), Spacer(0, 3)]


def _head(entry: EntryPage, index: int, units: Units, wide: float) -> list[Flowable]:
    name = f"{entry.entry_id}  {entry.rocket}"
    subject = f"{entry.entry_id} {entry.rocket}"
    mark = marked(entry.standing, 15.0)
    mark_wide = mark.width + 2
    mark.hAlign = "RIGHT"
    planned = entry.footprint("planned")
    return [
        paper.PageMark(subject, entry.assessment_id, f"entry-{index}", f"{subject}: {entry.standing}"),
        columns([words(name, paper.TITLE, 80), mark], [wide - mark_wide, mark_wide]),
        words(f"{entry.flyer} · motor {entry.motor} · pad {entry.pad}", paper.STRONG, 200),
        Spacer(0, 3),
        words(say(entry.answer, units) or answer(planned, units), paper.ANSWER, 400),
        lead_in("What decides it:", say(entry.decides, units) + ".", paper.BODY, 400),
        Spacer(0, 2),
    ]


def _unknowns(entry: EntryPage, units: Units) -> list[Flowable]:
    if not entry.unknowns:
        return []
    text = " ".join(f"({i}) {say(unknown, units)}" for i, unknown in enumerate(entry.unknowns, start=1))
    return [words(f"{UNKNOWN}: {text}", paper.LOUD, 2000), Spacer(0, 2)]


def _not_clear(findings: list[Finding], units: Units, wide: float) -> list[Flowable]:
    if not findings:
        return [words("No finding stands against it.", paper.STRONG), Spacer(0, 3)]
    rows = []
    for finding in findings:
        found, asked = measured_texts(finding.measured, finding.limit, units)
        change = say(finding.change, units)
        rows.append(
            [
                marked(finding.standing, 7.6),
                [words(say(finding.says, units), paper.STRONG, 400)]
                + ([words(f"Would clear it: {change}", paper.SMALL, 300)] if change else []),
                words(found, paper.STRONG, 120),
                words(asked, paper.BODY, 120),
                words(_source(finding), paper.NOTE, 240),
            ]
        )
    widths = [wide * f for f in (0.125, 0.355, 0.155, 0.15, 0.215)]
    return [ruled(rows, widths, ("finding", "", "found", "limit", "source")), Spacer(0, 4)]


def _source(finding: Finding) -> str:
    parts = (finding.clause, finding.edition, f"{finding.weight}, {finding.known}")
    return "; ".join(part for part in parts if part)


def _map_and_figures(sheet: RangeSheet, entry: EntryPage, units: Units, wide: float, tall: float) -> Flowable:
    map_wide = wide * 0.52
    scene = field_map(
        sheet.field,
        entry.footprints,
        lowest_wind(sheet.conditions),
        units,
        map_wide - 9,
        tall,
        pad=entry.pad,
        title=f"Field map, {entry.entry_id}",
    )
    return columns([Picture(scene), _figures(entry.figures, units, wide - map_wide)], [map_wide, wide - map_wide])


def _figures(figures: tuple[Figure, ...], units: Units, wide: float) -> Flowable:
    if not figures:
        return words(f"Figures {UNKNOWN}: the flight was not estimated", paper.LOUD)
    rows = []
    for figure in figures:
        found, asked = measured_texts(figure.amount, figure.limit, units)
        name = figure.name + (f", {figure.standing}" if figure.standing and figure.standing != "clear" else "")
        against = figure.standing in ("stop", "caution", "unknown")
        rows.append(
            [
                words(
                    name + (f" ({figure.note})" if figure.note else ""),
                    paper.SMALL_STRONG if against else paper.SMALL,
                    120,
                ),
                words(
                    found,
                    paper.style(8.6, bold=True, role=figure.standing if against and figure.standing else "ink"),
                    80,
                ),
                words(asked, paper.SMALL, 60),
            ]
        )
    return ruled(rows, [wide * f for f in (0.4, 0.33, 0.27)], ("figure", "± spread", "limit"), pad=1.2)


def _settings(settings: PadSettings | None, units: Units, wide: float) -> list[Flowable]:
    if settings is None:
        return [Spacer(0, 3), words(f"Pad settings {UNKNOWN}: no pad was chosen", paper.LOUD)]
    cells = (
        ("pad", settings.pad),
        ("guide", settings.guide),
        ("guide length", amount_text(Amount(settings.guide_length_m, "length"), units)),
        ("tilt from vertical", amount_text(Amount(settings.tilt_deg, "angle"), units)),
        ("tilted toward (true)", _azimuth(settings, units)),
        ("delay", settings.delay or UNKNOWN),
    )
    row = [[words(f"{name}", paper.COLUMN), words(value, paper.STRONG, 60)] for name, value in cells]
    story: list[Flowable] = [Spacer(0, 3), ruled([row], [wide * f for f in (0.1, 0.1, 0.15, 0.17, 0.2, 0.28)])]
    if settings.notes:
        story.append(words("; ".join(say(note, units) for note in settings.notes), paper.SMALL, 300))
    return [*story, Spacer(0, 3)]


def _azimuth(settings: PadSettings, units: Units) -> str:
    if settings.tilt_deg == 0.0:
        return f"{NOTHING} (upright)"
    return amount_text(Amount(settings.azimuth_deg, "angle"), units)


def _plots(sheet: RangeSheet, entry: EntryPage, units: Units, wide: float) -> Flowable:
    left = wide * 0.64
    ceiling = sheet.ceiling.agl_m if sheet.ceiling else None
    flight = height_time(entry.flight, ceiling, units, left - 9, PLOT_TALL, entry.why_no_flight)
    wind = wind_profile(sheet.conditions.wind, units, wide - left, PLOT_TALL, entry.apogee.value)
    return columns([Picture(flight), Picture(wind)], [left, wide - left])


def _clear(findings: list[Finding], units: Units, wide: float) -> list[Flowable]:
    """Few run on in a paragraph; many stand in a table, which fills the second page."""
    if not findings:
        return []
    texts = [(say(f.says, units), *measured_texts(f.measured, f.limit, units), _source(f)) for f in findings]
    if len(findings) <= FEW_CLEAR:
        run = ". ".join(f"{says}: {found}, {asked} ({source})" for says, found, asked, source in texts)
        return [lead_in(f"Clear ({len(findings)}).", run + ".", paper.NOTE, 6000)]
    rows = [
        [words(text, paper.NOTE if i == 3 else paper.SMALL, 300) for i, text in enumerate(cells)] for cells in texts
    ]
    heading = words(f"Clear ({len(findings)})", paper.HEADING)
    widths = [wide * f for f in (0.36, 0.15, 0.17, 0.32)]
    return [heading, ruled(rows, widths, ("finding", "found", "limit", "source"), pad=0.8)]


def _risk(sheet: RangeSheet, entry: EntryPage, units: Units, wide: float) -> list[Flowable]:
    if not entry.risks:
        return [Spacer(0, 2), lead_in(f"Risk to people {UNKNOWN}:", "it was not computed.", paper.SMALL)]
    rows = [_risk_row(risk, entry, units) for risk in entry.risks]
    names = ("how the flight ends", "chance a flight", "inside", "among people", "to one person", "to all together")
    assumptions = " ".join(say(words_, units) for words_ in sheet.risk_assumptions)
    return [
        Spacer(0, 3),
        ruled(rows, [wide * f for f in (0.22, 0.2, 0.11, 0.13, 0.17, 0.17)], names, pad=0.8),
        Spacer(0, 2),
        lead_in("Risk to people assumes:", assumptions or UNKNOWN, paper.NOTE),
    ]


def _risk_row(risk: ModeRisk, entry: EntryPage, units: Units) -> list:
    footprint = entry.footprint(risk.mode)
    chances = (
        Amount(footprint.chance_inside if footprint else None, "chance"),
        Amount(risk.chance_among_people, "chance"),
        Amount(risk.individual, "small_chance"),
        Amount(risk.collective, "small_chance"),
    )
    chance = amount_text(Amount(risk.chance, "chance"), units)
    return [
        words(MODE_WORDS[risk.mode], paper.SMALL),
        words(f"{chance}, {risk.basis}", paper.SMALL, 60),
        *[words(amount_text(amount, units), paper.SMALL if amount.known else paper.SMALL_STRONG) for amount in chances],
    ]


def _errors(sheet: RangeSheet) -> list[Flowable]:
    if not sheet.error_sources:
        return [lead_in("Error sources", f"{UNKNOWN}: none was listed.", paper.NOTE)]
    text = "; ".join(f"{source.name} {source.spread} ({source.basis})" for source in sheet.error_sources)
    return [lead_in("Errors drawn for the spread:", f"{text}. {sheet.spread_meaning}", paper.NOTE, 3000)]
