"""An assessment in words and figures for a page, in the reader's units: what the sheet prints, line by line."""

from __future__ import annotations

from dataclasses import dataclass

from reports.amounts import Amount, Limit
from reports.figures import Units, amount_text, beside, limit_text
from reports.sentences import MODE_WORDS, answer, edge_words, say, share_of_flights
from reports.sheet_data import Figure, Finding, RangeSheet
from service.models.assessment import Assessment
from service.models.finding import Finding as Found
from service.planning.sheet_findings import printed_finding

MOST_FIGURES = 5
USUAL = (
    "Speed off the guide",
    "Static margin off the guide",
    "Apogee above the field",
    "Airspeed at the first opening",
    "Speed of fall at landing",
)


@dataclass(frozen=True)
class FigureLine:
    """One figure beside its limit. `standing` is empty where nothing limits it."""

    name: str
    value: str
    limit: str
    standing: str


@dataclass(frozen=True)
class FindingLine:
    """One check, with its source."""

    rule: str
    says: str
    standing: str
    weight: str
    measured: str
    limit: str
    source: str


@dataclass(frozen=True)
class ModeLine:
    """One way the flight may end."""

    mode: str
    words: str
    chance: str
    inside: str
    edge: str
    farthest: str


@dataclass(frozen=True)
class EntryView:
    """One assessed entry, ready to be shown."""

    standing: str
    answer: str
    decides: str
    deciding: tuple[FigureLine, ...]
    others: tuple[FigureLine, ...]
    findings: tuple[FindingLine, ...]
    modes: tuple[ModeLine, ...]
    unknowns: tuple[str, ...]
    cautions: tuple[str, ...]
    delay: str
    guide: str
    notes: tuple[str, ...]
    """The guide by a hand compass, and a correction of the drag that it was flown with."""


def entry_view(sheet: RangeSheet, assessment: Assessment, units: Units) -> EntryView:
    """What a page shows of an assessment; `sheet` is that of `pictures.entry_sheet`."""
    page = sheet.entries[0]
    lines = [_figure(each, units) for each in page.figures]
    chosen = _deciding(lines)
    settings = page.pad_settings
    guide = ""
    if settings and settings.guide_length_m is not None:
        guide = f"{settings.guide}, {amount_text(Amount(settings.guide_length_m, 'length'), units)}"
        if settings.guided_travel_m is not None:
            guide += f", holding for {amount_text(Amount(settings.guided_travel_m, 'length'), units)}"
        if settings.tilt_deg:
            guide += f", leaning {settings.tilt_deg:g}° toward {settings.azimuth_deg:g}°"
    planned = page.footprint("planned")
    return EntryView(
        standing=assessment.standing,
        answer=answer(planned, units) if planned else assessment.answer,
        decides=say(page.decides, units),
        deciding=tuple(line for line in lines if line in chosen),
        others=tuple(line for line in lines if line not in chosen),
        findings=tuple(_finding(each, units) for each in page.findings),
        modes=tuple(
            ModeLine(
                each.mode,
                MODE_WORDS[each.mode],
                _chance(source.chance),
                share_of_flights(each) if each.chance_inside is not None else f"UNKNOWN: {each.why_unknown}",
                edge_words(each.nearest_edge, units) if each.nearest_edge else "",
                amount_text(Amount(each.farthest_m, "length"), units) if each.farthest_m is not None else "UNKNOWN",
            )
            for each, source in zip(page.footprints, assessment.footprints, strict=True)
        ),
        unknowns=tuple(say(each, units) for each in page.unknowns),
        cautions=tuple(say(each, units) for each in page.cautions),
        delay=settings.delay if settings else "",
        guide=guide,
        notes=tuple(say(each, units) for each in settings.notes) if settings else (),
    )


def finding_line(found: Found, units: Units) -> FindingLine:
    """A finding by itself, in the words of the sheet."""
    return _finding(printed_finding(found), units)


def _deciding(lines: list[FigureLine]) -> list[FigureLine]:
    """The four or five figures that matter: what is not clear first, then the usual ones."""
    worrying = [line for line in lines if line.standing in ("stop", "unknown", "caution")]
    usual = [line for line in lines if line.name in USUAL and line not in worrying]
    return [*worrying, *usual][:MOST_FIGURES]


def _figure(figure: Figure, units: Units) -> FigureLine:
    value, limit = amount_text(figure.amount, units), ""
    if figure.limit is not None:
        value, limit = beside(figure.amount, figure.limit, units)
    return FigureLine(figure.name, value, limit, figure.standing or "")


def _finding(finding: Finding, units: Units) -> FindingLine:
    measured, limit = finding.measured, finding.limit
    if isinstance(measured, Amount) and isinstance(limit, Limit):
        measured, limit = beside(measured, limit, units)
    edition = f", edition {finding.edition}" if finding.edition else ""
    return FindingLine(
        rule=finding.rule_id,
        says=say(finding.says, units),
        standing=finding.standing,
        weight=finding.weight,
        measured=amount_text(measured, units) if isinstance(measured, Amount) else measured or "UNKNOWN",
        limit=limit_text(limit, units) if isinstance(limit, Limit) else limit or "",
        source=f"{finding.clause}{edition}" + (f" ({finding.known})" if finding.known else ""),
    )


def _chance(chance: float | None) -> str:
    return "" if chance is None else amount_text(Amount(chance, "percent"), "si")
