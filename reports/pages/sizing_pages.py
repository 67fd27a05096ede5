"""The pages of a report on a field's size: the answer, winds and classes, the codes, the lists, what it rests on."""

from __future__ import annotations

import re
from collections.abc import Sequence
from xml.sax.saxutils import escape

from reportlab.lib.units import mm
from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, PageBreak, Paragraph, Spacer

from reports.amounts import Amount
from reports.drawings.month_hours import month_hours
from reports.drawings.share_grid import share_grid
from reports.drawings.site_map import notice_map, site_map
from reports.drawings.wind_rose import wind_rose
from reports.figures import UNKNOWN, Units, amount_text
from reports.pages import stationery as paper
from reports.pages.fitting import height
from reports.pages.stationery import lead_in, words
from reports.pages.tables import NOTHING, columns, ruled
from reports.pdf import Picture
from reports.sentences import say, sentence
from reports.sizing_data import ClassRow, CodeRow, Item, ItemList, SizingReport
from reports.tied import tied
from reports.typeface import printable

MAP_LEAST, MAP_MOST = 90 * mm, 165 * mm
BELOW = 12.0  # kept free under the map [pt]
PAD_SHARES = (0.075, 0.16, 0.14, 0.21, 0.055, 0.07, 0.055, 0.235)
GROWN = (1.12, 1.08, 1.04, 1.0)  # of the grids, whose letters are those of a phone
PLAIN, FINE = paper.style(8.2), paper.style(7.6)
PLAIN_BOLD, NOT_MET = paper.style(8.2, bold=True), paper.style(8.2, bold=True, role="stop")
HEADS = paper.style(7.8, role="soft")
LISTED = paper.style(8.2, 10.2, leftIndent=12.0, firstLineIndent=-12.0, spaceAfter=1.5)
LOUD_WORDS = re.compile(rf"\b(?:NOT|OVER|TOO LOW|{UNKNOWN})\b")
NOTICE = (
    "This reports what was computed and found, with limits and sources; it approves nothing. The model errs too, and "
    "that comes on top of every share below."
)
ITEM_SHARES = (0.11, 0.34, 0.55)


def answer_page(report: SizingReport, units: Units, wide: float, tall: float) -> list[Flowable]:
    """Title, the answer in sentences, and the map of what is advised in the room that is left."""
    story: list[Flowable] = [
        words("How big a field, for whom, and when", paper.TITLE, 120),
        words(f"{report.field.name} · {report.day}, {report.date.isoformat()}", paper.STRONG, 160),
        words(f"Fleet: {report.fleet}.", PLAIN, 240),
        words(NOTICE, PLAIN),
        Spacer(0, 4),
    ]
    for name, text in report.answer:
        story += [_answered(name, say(text, units)), Spacer(0, 2.5)]
    story.append(Spacer(0, 3))
    room = min(max(tall - height(story, wide) - BELOW, MAP_LEAST), MAP_MOST)
    side = wide * 0.30
    big = site_map(report.field, report.site, units, wide - side - 9.0, room)
    small_tall = min(0.5 * room - 12.0, side + 40.0)
    small = [
        Picture(notice_map(report.field, report.site, units, side, small_tall)),
        Spacer(0, 8),
        words("Where the wind comes from, in hours with light", paper.SMALL_STRONG),
        Picture(wind_rose(report.rose, units, side, small_tall - 14.0)),
    ]
    story.append(columns([Picture(big), small], [wide - side, side]))
    return story


def _answered(name: str, text: str) -> Paragraph:
    """One sentence of the answer; the words that tell what is wrong are bold."""
    said = LOUD_WORDS.sub(r"<b>\g<0></b>", escape(tied(printable(text))))
    return Paragraph(f"<b>{escape(printable(name))}.</b> {said}", paper.BODY)


def winds_page(report: SizingReport, units: Units, wide: float, tall: float) -> list[Flowable]:
    """Classes against winds, then the hours: on one page, with letters as large as that takes, where one holds them."""
    for grow in GROWN:
        grids = [*_shares(report, units, wide, grow), Spacer(0, 4), *_hours(report, units, wide, grow)]
        if height(grids, wide) <= tall:
            break
    else:
        grids = [*_shares(report, units, wide, 1.0), KeepTogether(_hours(report, units, wide, GROWN[0]))]
    return [PageBreak(), *grids, Spacer(0, 4), KeepTogether(_class_hours(report.classes, wide))]


def _shares(report: SizingReport, units: Units, wide: float, grow: float) -> list[Flowable]:
    return [
        words("Classes and winds", paper.HEADING),
        words("Share of landings inside the boundary, from the pads as they stand; every figure was flown.", PLAIN),
        Spacer(0, 3),
        Picture(share_grid(report, units, wide / grow), grow=grow),
    ]


def _hours(report: SizingReport, units: Units, wide: float, grow: float) -> list[Flowable]:
    return [
        words("Flyable hours", paper.HEADING),
        words(say(report.hours_words, units), PLAIN, 700),
        Spacer(0, 3),
        Picture(month_hours(report.months, wide / grow, report.timezone), grow=grow),
    ]


def _class_hours(rows: Sequence[ClassRow], wide: float) -> list[Flowable]:
    cells = [
        [
            words(row.letter, paper.STRONG),
            words(f"{row.count:,}", paper.BODY),
            words(row.rockets, PLAIN, 260),
            words(amount_text(Amount(row.hours_share, "chance"), "si"), paper.STRONG),
            words(amount_text(Amount(row.hours_share_best, "chance"), "si"), paper.BODY),
        ]
        for row in rows
    ]
    names = (
        "class",
        "flights",
        "rockets (motors)",
        "hours, from the pads as they stand",
        "hours, from the pads advised",
    )
    widths = [wide * share for share in (0.07, 0.08, 0.53, 0.17, 0.15)]
    return [
        words("How often each class may fly", paper.HEADING),
        words("Of the hours with light, those that are flyable and in which the class stays inside.", PLAIN),
        ruled(cells, widths, names, pad=1.0, head_type=HEADS),
    ]


def codes_page(report: SizingReport, units: Units, wide: float) -> list[Flowable]:
    """What the codes ask of the field and of the pads."""
    pads = [
        [
            words(row.letter, paper.STRONG), words(row.asks.removeprefix("pad to the "), PLAIN), _limit(row, units),
            _whose(row, units), _met(row.met), _found(row.found_best, units), _met(row.met_best),
            words(row.source, FINE, 120),
        ]
        for row in report.distances
    ]  # fmt: skip
    names = ("class", "from the pad to", "at least", "as they stand", "", "as advised", "", "source")
    story: list[Flowable] = [
        CondPageBreak(60 * mm),
        words("What the codes ask of the field, by class", paper.HEADING),
        *_matrix(report.dimensions, units, wide),
        CondPageBreak(40 * mm),
        words("What the codes ask of the pads", paper.HEADING),
    ]
    if pads:
        story.append(ruled(pads, [wide * share for share in PAD_SHARES], names, pad=1.0, head_type=HEADS))
    else:
        story.append(words("No code in force asks for a distance to anything that is drawn.", paper.BODY))
    return story


def _matrix(rows: Sequence[CodeRow], units: Units, wide: float) -> list[Flowable]:
    """Classes down, rules across; what each rule is, and where it stands, once below."""
    rules = list(dict.fromkeys((not row.in_force, row.rule) for row in rows))
    if not rules:
        return [words("No published code has a figure for these classes.", paper.BODY)]
    rules.sort(key=lambda rule: rule[0])
    letters = list(dict.fromkeys(row.letter for row in rows))
    by_place = {(row.letter, row.rule): row for row in rows}
    cells = []
    for letter in letters:
        line: list = [words(letter, paper.STRONG)]
        for _, rule in rules:
            row = by_place.get((letter, rule))
            line.append(words(NOTHING, PLAIN) if row is None else _asked(row, units))
        cells.append(line)
    name_wide = 0.08 * wide
    column = (wide - name_wide) / len(rules)
    firsts = [next(each for each in rows if each.rule == rule) for _, rule in rules]
    head = ("class", *(_rule_head(each) for each in firsts))
    story: list[Flowable] = [
        ruled(cells, [name_wide, *[column] * len(rules)], head, pad=0.6, head_type=HEADS),
        Spacer(0, 3),
    ]
    for row in firsts:
        told = [_here([each for each in rows if each.rule == row.rule], units), row.source, row.note]
        said = " ".join(sentence(each[:1].upper() + each[1:]) for each in told if each)
        story.append(lead_in(f"{row.clause}:", said, FINE))
    return story


def _here(rows: Sequence[CodeRow], units: Units) -> str:
    """What there is, the same for every class or from least to most."""
    found = sorted((row.found for row in rows if row.found is not None), key=lambda each: each.value or 0.0)
    if len(found) < len(rows):
        return f"here {UNKNOWN}"
    least, most = amount_text(found[0], units), amount_text(found[-1], units)
    return f"here {least}" if least == most else f"here {least} to {most}, by class"


def _rule_head(row: CodeRow) -> str:
    """What a rule asks for and where it stands, as the head of its column."""
    return f"{row.asks}, at least ({row.clause}{'' if row.in_force else '; not in force here'})"


def _asked(row: CodeRow, units: Units) -> Flowable:
    """A limit and whether it is met, on one line."""
    mine = row.printed if row.limit is None else amount_text(row.limit, units)
    said = mine if mine == row.printed else f"{mine} ({row.printed})"
    if row.met is False:
        return words(f"{said}: NOT MET", NOT_MET)
    return words(f"{said}: {UNKNOWN if row.met is None else 'met'}", PLAIN)


def _limit(row: CodeRow, units: Units) -> Flowable:
    if row.limit is None:
        return words(row.printed, PLAIN_BOLD)
    mine = amount_text(row.limit, units)
    return words(mine if row.printed == mine else f"{mine} ({row.printed})", PLAIN)


def _found(amount: Amount | None, units: Units) -> Flowable:
    if amount is None:
        return words(NOTHING, PLAIN)
    return words(amount_text(amount, units), PLAIN if amount.known else PLAIN_BOLD)


def _whose(row: CodeRow, units: Units) -> Flowable | list[Flowable]:
    """What there is, and whose it is."""
    return [_found(row.found, units), words(row.note, FINE, 120)] if row.note else _found(row.found, units)


def _met(met: bool | None) -> Flowable:
    if met is None:
        return words("", PLAIN)
    return words("met" if met else "NOT MET", PLAIN if met else NOT_MET)


def sheet_pages(report: SizingReport, units: Units, wide: float) -> list[Flowable]:
    """The lists that the authority asks for."""
    story: list[Flowable] = [
        PageBreak(),
        words("Data sheet for the notice and the certificate", paper.TITLE),
        words(say(report.sheet_words, units), paper.BODY),
    ]
    for each in report.lists:
        story.append(KeepTogether([words(each.title, paper.HEADING), _items(each, units, wide)]))
    story += [Spacer(0, 4), *(words(note, PLAIN, 500) for note in report.sheet_notes)]
    return story


def _items(each: ItemList, units: Units, wide: float) -> Flowable:
    rows = [
        [words(item.clause.removeprefix("14 CFR "), PLAIN), words(item.asks, PLAIN), _answer(item, units)]
        for item in each.items
    ]
    return ruled(
        rows, [wide * share for share in ITEM_SHARES], ("clause", "asks for", "answer"), pad=1.4, head_type=HEADS
    )


def _answer(item: Item, units: Units) -> Flowable | list:
    if item.answer is None:
        blank = "_" * 44
        return [words(f"{UNKNOWN}: {item.basis}", paper.LOUD), words(blank, paper.NOTE)]
    return [words(say(item.answer, units), paper.STRONG, 900), words(sentence(item.basis), FINE, 200)]


def basis_page(report: SizingReport, units: Units) -> list[Flowable]:
    """Every assumption, and what was used."""
    story: list[Flowable] = [
        CondPageBreak(70 * mm),
        words("What this rests on", paper.HEADING),
        words(say(report.season, units), PLAIN, 500),
        Spacer(0, 2),
    ]
    story += [words(f"{number}. {sentence(say(note, units))}", LISTED, 900)
              for number, note in enumerate(report.notes, start=1)]  # fmt: skip
    story.append(lead_in("Codes.", "; ".join(report.code_editions) or "none was named", PLAIN))
    story.append(lead_in("File of the winds.", f"SHA-256 {report.fingerprint}", FINE))
    return story
