"""The end of the sheet, the same for every entry: errors drawn, risk assumed, each check's source in full."""

from __future__ import annotations

from reportlab.platypus import Flowable, PageBreak, Spacer

from reports.figures import UNKNOWN, Units
from reports.pages import stationery as paper
from reports.pages.against import source_words
from reports.pages.side_by_side import in_pieces
from reports.pages.stationery import lead_in, words
from reports.sentences import MODE_WORDS, say, sentence
from reports.sheet_data import EntryPage, RangeSheet

TITLE = "How this was reckoned"
PIECE = 150.0  # height of a piece of the lists, so that they fill pages evenly [pt]
ACROSS = 2
PER_MILLION = (
    "One, per million: how often in a million flights the most exposed person is struck. All, per million: how many "
    "people are struck in a million flights. How often a flight ends that way is counted in."
)


def reckoning(sheet: RangeSheet, units: Units, wide: float) -> list[Flowable]:
    story: list[Flowable] = [
        PageBreak(),
        paper.PageMark("", "", "reckoned", TITLE),
        words(TITLE, paper.TITLE),
        words(sheet.spread_meaning, paper.BODY),
        *_errors(sheet, units, wide),
        *_list("Corrections learnt from flights", list(sheet.corrections), wide),
        Spacer(0, 3),
        *_risk(sheet, units),
    ]
    sources = _list("Checks and where their limits stand", _sources(sheet.entries, units), wide)
    if sources and sheet.source_meaning:
        sources.insert(1, words(sheet.source_meaning, paper.SMALL))
    return [*story, *sources, *_list("At check-in, in full", _ticks(sheet.entries, units), wide)]


def _errors(sheet: RangeSheet, units: Units, wide: float) -> list[Flowable]:
    if not sheet.error_sources:
        return [lead_in("Error sources", f"{UNKNOWN}: none was listed.", paper.SMALL)]
    said = [(source.name, sentence(f"{say(source.spread, units)} ({source.basis})")) for source in sheet.error_sources]
    return _list("Errors drawn for the spread", said, wide)


def _risk(sheet: RangeSheet, units: Units) -> list[Flowable]:
    if not any(entry.risks for entry in sheet.entries):
        return []
    assumed = " ".join(sentence(say(text, units)) for text in sheet.risk_assumptions)
    modes = dict.fromkeys((risk.mode, risk.basis) for entry in sheet.entries for risk in entry.risks if risk.basis)
    chances = "; ".join(f"{MODE_WORDS[mode]}: {basis}" for mode, basis in modes)
    return [
        lead_in("Risk to people.", f"{PER_MILLION} It assumes: {assumed or UNKNOWN}", paper.SMALL),
        *([lead_in("Chance of each way of ending:", sentence(chances), paper.SMALL)] if chances else []),
    ]


def _sources(entries: tuple[EntryPage, ...], units: Units) -> list[tuple[str, str]]:
    """Each check once, under the words that the entries' pages use for it, in alphabetical order."""
    said = {(f.short or say(f.says, units), source_words(f)) for entry in entries for f in entry.findings}
    together: dict[str, list[str]] = {}
    for what, source in sorted(said):
        together.setdefault(what.split(": ")[0] if what.endswith((": yes", ": no")) else what, []).append(source)
    return [(what, sentence(". ".join(dict.fromkeys(sources)))) for what, sources in together.items()]


def _ticks(entries: tuple[EntryPage, ...], units: Units) -> list[tuple[str, str]]:
    listed = (tick for entry in entries for tick in entry.ticks if tick.short or tick.source)
    ticks = dict.fromkeys((tick.short, say(tick.text, units), tick.source) for tick in listed)
    return [(short or text, f"{text if short else ''} ({source})".strip()) for short, text, source in ticks]


def _list(title: str, said: list[tuple[str, str]], wide: float) -> list[Flowable]:
    if not said:
        return []
    paragraphs = [lead_in(f"{what}:", text, paper.LISTED, 900) for what, text in said]
    return [words(title, paper.HEADING), *in_pieces(paragraphs, wide, ACROSS, PIECE)]
