"""The pages of a report on a field's size: the answer, winds and classes, the codes, the lists, what it rests on."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.lib.units import mm
from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, PageBreak, Spacer

from reports.amounts import Amount
from reports.drawings.month_hours import month_hours
from reports.drawings.share_grid import inside_words, share_grid
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

MAP_LEAST, MAP_MOST = 90 * mm, 165 * mm
BELOW = 12.0  # kept free under the map [pt]
PAD_SHARES = (0.07, 0.25, 0.13, 0.11, 0.09, 0.11, 0.09, 0.15)
ITEM_SHARES = (0.12, 0.32, 0.56)


def answer_page(report: SizingReport, units: Units, wide: float, tall: float) -> list[Flowable]:
    """Title, the answer in sentences, and the map of what is advised in the room that is left."""
    story: list[Flowable] = [
        words("How big a field, for whom, and when", paper.TITLE, 120),
        words(f"{report.field.name} · {report.day}, {report.date.isoformat()}", paper.STRONG, 160),
        words(f"Fleet: {report.fleet}.", paper.SMALL, 240),
        Spacer(0, 4),
    ]
    for name, text in report.answer:
        story += [lead_in(f"{name}.", say(text, units), paper.BODY), Spacer(0, 2.5)]
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


def winds_page(report: SizingReport, units: Units, wide: float) -> list[Flowable]:
    """Classes against winds, then the hours."""
    grid = share_grid(report.winds_mps, report.winds_share, report.classes, report.most_outside, units, wide)
    story: list[Flowable] = [
        PageBreak(),
        words("Classes and winds", paper.HEADING),
        words(
            "Share of landings inside the boundary, from the pads as they stand; every figure was flown.", paper.SMALL
        ),
        Spacer(0, 3),
        Picture(grid),
        Spacer(0, 6),
        CondPageBreak(70 * mm),
        words("Flyable hours", paper.HEADING),
        words(say(report.hours_words, units), paper.SMALL, 700),
        Spacer(0, 3),
        Picture(month_hours(report.months, wide)),
        Spacer(0, 4),
        KeepTogether(_class_hours(report.classes, wide)),
    ]
    return story


def _class_hours(rows: Sequence[ClassRow], wide: float) -> list[Flowable]:
    cells = [
        [
            words(row.letter, paper.STRONG),
            words(f"{row.count:,}", paper.BODY),
            words(row.rockets, paper.SMALL, 260),
            words(inside_words(row.hours_share), paper.STRONG),
            words(inside_words(row.hours_share_best), paper.BODY),
        ]
        for row in rows
    ]
    names = ("class", "flights", "rockets", "flyable, and it stays inside", "from the pads advised")
    widths = [wide * share for share in (0.07, 0.08, 0.53, 0.17, 0.15)]
    return [words("By class, of the hours with light", paper.HEADING), ruled(cells, widths, names, pad=1.0)]


def codes_page(report: SizingReport, units: Units, wide: float) -> list[Flowable]:
    """What the codes ask of the field and of the pads."""
    pads = [
        [
            words(row.letter, paper.STRONG), words(row.asks, paper.SMALL), _limit(row, units), _found(row.found, units),
            _met(row.met), _found(row.found_best, units), _met(row.met_best), words(row.source, paper.NOTE_INK, 120),
        ]
        for row in report.distances
    ]  # fmt: skip
    names = ("class", "from the pads", "at least", "as they stand", "", "as advised", "", "rule")
    story: list[Flowable] = [
        CondPageBreak(60 * mm),
        words("What the codes ask of the field, by class", paper.HEADING),
        *_matrix(report.dimensions, units, wide),
        CondPageBreak(40 * mm),
        words("What the codes ask of the pads", paper.HEADING),
    ]
    if pads:
        story.append(ruled(pads, [wide * share for share in PAD_SHARES], names, pad=1.0))
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
            line.append(words(NOTHING, paper.SMALL) if row is None else _asked(row, units))
        cells.append(line)
    name_wide = 0.08 * wide
    column = (wide - name_wide) / len(rules)
    head = ("class", *(f"{rule}{'' if not other else ', not in force'}" for other, rule in rules))
    story: list[Flowable] = [ruled(cells, [name_wide, *[column] * len(rules)], head, pad=0.6), Spacer(0, 3)]
    for _, rule in rules:
        row = next(each for each in rows if each.rule == rule)
        found = UNKNOWN if row.found is None else amount_text(row.found, units, 4)
        note = f" {sentence(row.note[:1].upper() + row.note[1:])}" if row.note else ""
        story.append(
            lead_in(f"{rule}:", f"{row.asks}; the field has {found}. {sentence(row.source)}{note}", paper.NOTE_INK)
        )
    return story


def _asked(row: CodeRow, units: Units) -> Flowable:
    """A limit and whether it is met, on one line."""
    mine = row.printed if row.limit is None else amount_text(row.limit, units)
    said = mine if mine == row.printed else f"{mine} ({row.printed})"
    if row.met is False:
        return words(f"{said}: NOT MET", paper.style(7.4, bold=True, role="stop"))
    return words(f"{said}: {UNKNOWN if row.met is None else 'met'}", paper.SMALL)


def _limit(row: CodeRow, units: Units) -> Flowable:
    if row.limit is None:
        return words(row.printed, paper.SMALL_STRONG)
    mine = amount_text(row.limit, units)
    return words(mine if row.printed == mine else f"{mine} ({row.printed})", paper.SMALL)


def _found(amount: Amount | None, units: Units) -> Flowable:
    if amount is None:
        return words(NOTHING, paper.SMALL)
    return words(amount_text(amount, units), paper.SMALL if amount.known else paper.SMALL_STRONG)


def _met(met: bool | None) -> Flowable:
    if met is None:
        return words("", paper.SMALL)
    return words("met" if met else "NOT MET", paper.SMALL if met else paper.style(7.4, bold=True, role="stop"))


def sheet_pages(report: SizingReport, units: Units, wide: float) -> list[Flowable]:
    """The lists that the authority asks for."""
    story: list[Flowable] = [
        PageBreak(),
        words("Data sheet for the notice and the certificate", paper.TITLE),
        words(say(report.sheet_words, units), paper.BODY),
    ]
    for each in report.lists:
        story.append(KeepTogether([words(each.title, paper.HEADING), _items(each, units, wide)]))
    story += [Spacer(0, 4), *(words(note, paper.SMALL, 500) for note in report.sheet_notes)]
    return story


def _items(each: ItemList, units: Units, wide: float) -> Flowable:
    rows = [
        [words(item.clause.removeprefix("14 CFR "), paper.SMALL), words(item.asks, paper.SMALL), _answer(item, units)]
        for item in each.items
    ]
    return ruled(rows, [wide * share for share in ITEM_SHARES], ("clause", "asks for", "answer"), pad=2.2)


def _answer(item: Item, units: Units) -> Flowable | list:
    if item.answer is None:
        blank = "_" * 44
        return [words(f"{UNKNOWN}: {item.basis}", paper.LOUD), words(blank, paper.NOTE)]
    return [words(say(item.answer, units), paper.STRONG, 900), words(sentence(item.basis), paper.NOTE, 200)]


def basis_page(report: SizingReport, units: Units) -> list[Flowable]:
    """Every assumption, and what was used."""
    story: list[Flowable] = [
        CondPageBreak(70 * mm),
        words("What this rests on", paper.HEADING),
        words(say(report.season, units), paper.SMALL, 500),
        Spacer(0, 2),
    ]
    story += [words(f"{number}. {sentence(say(note, units))}", paper.LISTED, 900)
              for number, note in enumerate(report.notes, start=1)]  # fmt: skip
    story.append(lead_in("Codes.", "; ".join(report.code_editions) or "none was named", paper.NOTE_INK))
    story.append(lead_in("Winds.", f"SHA-256 {report.fingerprint}", paper.NOTE_INK))
    return story
