"""One entry's page: the answer, what stands against it, the pictures and figures, the ruling, what is clear.

Everything is measured before it is placed. The pictures take what room the words leave, between a least and a most;
the clear findings take the roomiest form that fits. Only where that is not enough does a second page follow, and
never with the ruling on it.
"""

from __future__ import annotations

import datetime as dt
from xml.sax.saxutils import escape

from reportlab.platypus import Flowable, NextPageTemplate, PageBreak, Paragraph, Spacer

from reports.drawings.qr_code import qr_code, scannable
from reports.drawings.tick_box import initial_box
from reports.figures import UNKNOWN, Units
from reports.pages import stationery as paper
from reports.pages.against import against_rows, against_table
from reports.pages.attention import findings_by_attention
from reports.pages.clear_list import clear_items, heading, listed, paged
from reports.pages.clock import clock_on
from reports.pages.entry_facts import facts, facts_side, plots
from reports.pages.entry_settings import settings_lines
from reports.pages.fitting import height, how_many_fit, stretched
from reports.pages.forms import CLOSE, FORMS, MAP_MOST, PLOT_MOST, RUN, Form
from reports.pages.ruling_box import all_cautions, ruling_box, settled
from reports.pages.stationery import lead_in, words
from reports.pages.tables import columns, marked, ruled
from reports.pdf import Picture
from reports.sentences import answer, say, sentence
from reports.sheet_data import EntryPage, RangeSheet, Tick
from reports.theme import LIGHT
from reports.tied import tied
from reports.typeface import BOLD, clip, printable

GAP = 3.0
SLACK = 8.0  # a list in columns has come out some points taller than it measured, and slipped off its page
MOST_UNKNOWN = 500  # letters on the first page
MOST_TICKS = 12
ACROSS = 3  # ticks side by side
CODE = 50.0  # side of the code that leads to the assessment
INITIALS = 24.0  # a box to write them in, and the space beside it


def entry_page(
    sheet: RangeSheet, entry: EntryPage, index: int, units: Units, wide: float, tall: float
) -> list[Flowable]:
    not_clear, clear = findings_by_attention(entry.findings)
    items = clear_items(clear, units)
    later = _left_over(sheet, entry, units, wide)
    given = entry.ruling.initials if entry.ruling and settled(entry.ruling) else {}
    start = [NextPageTemplate("later"), PageBreak()]
    for form in FORMS:
        page = _Page(sheet, entry, index, units, wide, tall, form, against_rows(not_clear, units, form, given))
        clear_here = [heading(len(clear)), *form.clear(items, wide)] if items else []
        if page.room >= height(clear_here, wide):
            return [*start, *page.story(clear_here), *([PageBreak(), *later] if later else [])]
    if items:
        later = [*later, heading(len(clear)), *paged(items, wide, tall - 20.0)]
    for form in (RUN, CLOSE):  # the clear findings alone go to the second page
        page = _Page(sheet, entry, index, units, wide, tall, form, against_rows(not_clear, units, form, given))
        if page.room >= 0.0:
            return [*start, *page.story([]), PageBreak(), *later]
    return [*start, *page.crowded(), *later]


class _Page:
    """One entry's page in one form, measured."""

    def __init__(
        self, sheet: RangeSheet, entry: EntryPage, index: int, units: Units, wide: float, tall: float, form: Form,
        rows: list,
    ) -> None:  # fmt: skip
        self.sheet, self.entry, self.units, self.wide, self.tall, self.form = sheet, entry, units, wide, tall, form
        self.rows = rows
        self.initialled = bool(entry.ruling and settled(entry.ruling) and entry.ruling.initials)
        self.top = [*_head(entry, index, units, wide, form), *_unknowns(entry, units)]
        self.table = (
            against_table(rows, wide, form, self.initialled) if rows else Spacer(0, GAP)
        )  # "what decides it" has said so
        self.foot = [
            *settings_lines(entry.pad_settings, units),
            Spacer(0, GAP),
            *_check_in(entry.ticks[:MOST_TICKS], units, wide, sheet.date),
            ruling_box(entry, units, wide),
            Spacer(0, GAP),
        ]
        self.side = facts_side(entry, units, wide, form)
        self.least = (max(form.map_least, height(self.side, wide)), form.plot_least)
        words_tall = height([*self.top, self.table, *self.foot], wide) + 2 * GAP
        self.spare = tall - words_tall - (SLACK if form.clear is listed else 1.0)  # for pictures and clear findings

    @property
    def room(self) -> float:
        """What is left for the clear findings once the pictures have their least. [pt]"""
        return self.spare - sum(self.least)

    def story(self, clear: list[Flowable]) -> list[Flowable]:
        most = (max(self.least[0], MAP_MOST), PLOT_MOST)
        map_tall, plot_tall = stretched(self.least, most, self.spare - height(clear, self.wide))
        return [*self.top, self.table, *self._pictures(map_tall, plot_tall), *self.foot, *clear]

    def _pictures(self, map_tall: float, plot_tall: float) -> list[Flowable]:
        return [
            Spacer(0, GAP),
            facts(self.sheet, self.entry, self.units, self.wide, map_tall, self.side),
            Spacer(0, GAP),
            plots(self.sheet, self.entry, self.units, self.wide, plot_tall),
        ]

    def crowded(self) -> list[Flowable]:
        """More stands against it than one page holds: what fits, then the ruling; the rest and the pictures follow."""
        heights = self.table._rowHeights if self.rows else [0.0]
        room = self.tall - height([*self.top, *self.foot], self.wide) - heights[0] - 18.0
        count = how_many_fit(heights[1:], room) if self.rows else 0
        story = [
            *self.top,
            *([against_table(self.rows[:count], self.wide, self.form, self.initialled)] if self.rows else []),
        ]
        rest = self.rows[count:]
        if rest:
            story.append(words(f"{len(rest)} more stand against it: see the next page", paper.LOUD))
        story += [Spacer(0, GAP), *self.foot, PageBreak()]
        if rest:
            story.append(against_table(rest, self.wide, self.form, self.initialled))
        return [*story, *self._pictures(MAP_MOST, PLOT_MOST), Spacer(0, GAP)]


def _head(entry: EntryPage, index: int, units: Units, wide: float, form: Form) -> list[Flowable]:
    subject = f"{entry.entry_id} {entry.rocket}"
    mark = marked(entry.standing, 15.0)
    mark_wide = mark.width + 2
    mark.hAlign = "RIGHT"
    title = f"{entry.entry_id}  {entry.rocket}"
    decides = entry.decides_short or entry.decides  # the first finding below says it in full
    who = f"{entry.flyer} · motor {entry.motor} · pad {entry.pad}"
    coded = scannable(entry.address)
    room = wide - (CODE + 6.0 if coded else 0.0)
    told = [
        columns([_title(title, who), mark], [room - mark_wide, mark_wide]),
        words(say(entry.answer, units) or answer(entry.footprint("planned"), units), paper.ANSWER, 260),
        lead_in("What decides it:", sentence(say(decides, units)), paper.FINDING, 300),
    ]
    if coded:
        code = qr_code(entry.address, CODE, f"Assessment {entry.assessment_id}")
        told = [columns([told, Picture(code, "RIGHT")], [room, wide - room], gap=0.0)]
    return [
        paper.PageMark(subject, entry.assessment_id, f"entry-{index}", f"{subject}: {entry.standing}"),
        *told,
        Spacer(0, 2),
    ]


def _title(title: str, who: str) -> Paragraph:
    """The name large, and behind it whose it is, on what motor, from which pad."""
    large, small = (escape(tied(printable(clip(text, most)))) for text, most in ((title, 60), (who, 160)))
    return Paragraph(f'{large} <font name="{BOLD}" size="8.6" color="{LIGHT["ink"]}">{small}</font>', paper.TITLE)


def _unknowns(entry: EntryPage, units: Units) -> list[Flowable]:
    if not entry.unknowns:
        return []
    return [words(f"{UNKNOWN}: {_numbered(entry.unknowns, units)}", paper.LOUD, MOST_UNKNOWN), Spacer(0, 2)]


def _numbered(texts, units: Units) -> str:
    return " ".join(f"({i}) {say(text, units)}" for i, text in enumerate(texts, start=1))


def _left_over(sheet: RangeSheet, entry: EntryPage, units: Units, wide: float) -> list[Flowable]:
    """What the first page has no room for in any case: very many unknowns, cautions or ticks."""
    story: list[Flowable] = []
    unknowns = _numbered(entry.unknowns, units)
    if len(unknowns) > MOST_UNKNOWN - len(UNKNOWN) - 2:
        story.append(lead_in(f"All that is {UNKNOWN}.", unknowns, paper.SMALL))
    story += all_cautions(entry, units)
    return [*story, *_check_in(entry.ticks[MOST_TICKS:], units, wide, sheet.date)]


def _check_in(ticks: tuple[Tick, ...], units: Units, wide: float, date: dt.date) -> list[Flowable]:
    """Attested items, some abreast, each with who and when or a box for initials."""
    if not ticks:
        return []
    each = wide / ACROSS
    cells = []
    for tick in ticks:
        done = f": {', '.join(part for part in (tick.by, clock_on(date, tick.at)) if part)}" if tick.by else ""
        text = words((tick.short or say(tick.text, units)) + done, paper.NOTE_INK, 240)
        cells.append(columns([Picture(initial_box(bool(tick.by))), text], [INITIALS, each - INITIALS - 4], 3))
    rows = [cells[i : i + ACROSS] for i in range(0, len(cells), ACROSS)]
    rows[-1] += [""] * (ACROSS - len(rows[-1]))
    heads = ("at check-in: initials in each box", *[""] * (ACROSS - 1))
    return [ruled(rows, [each] * ACROSS, heads, pad=0.7), Spacer(0, GAP)]
