"""The findings that are clear, as short as they can be said: what, how much, against which limit, from where.

Their full sources stand once at the end of the sheet. What was measured once and held against several limits is
said once.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape

from reportlab.platypus import Flowable, Paragraph

from reports.figures import Units
from reports.pages import stationery as paper
from reports.pages.side_by_side import column_width, in_columns, in_pieces, side_by_side
from reports.pages.stationery import words
from reports.pages.tables import NOTHING, measured_texts
from reports.sentences import say
from reports.sheet_data import Finding
from reports.tied import tied
from reports.typeface import clip, printable

LISTED_COLUMNS, RUN_ON_COLUMNS = 3, 2
MET = "met"  # asked for no figure: the words before it say what is so
ITEM = paper.style(6.6, 7.7, leftIndent=5.0, firstLineIndent=-5.0, spaceAfter=0.6)
RUN_ON = paper.style(paper.FINEST, 7.3)
SIGNS = (("at most ", "≤\u00a0"), ("at least ", "≥\u00a0"))
_PLACE = re.compile(r"^(?P<book>.*?)(?:, items?)? (?P<place>\d\S*)$")


@dataclass(frozen=True)
class Held:
    """One limit that a value was held against, and where it stands: book and place in it."""

    asked: str
    book: str
    place: str

    def words(self, book: str = "") -> str:
        """'at most 20°, NAR model code 6'; within its own book only the place is named."""
        where = self.place if self.book == book else f"{self.book} {self.place}".strip()
        if self.book == book and self.place.isdigit() and len(self.place) < 3:  # not of "NFPA 1127"
            where = f"item {self.place}"
        return ", ".join(part for part in (self.asked, where) if part)


@dataclass(frozen=True)
class ClearItem:
    """One thing measured, and all it was held against."""

    what: str
    found: str
    held: tuple[Held, ...]


def clear_items(findings: Sequence[Finding], units: Units) -> list[ClearItem]:
    """One item for each thing measured, in the order handed over."""
    against: dict[tuple[str, str], list[Held]] = {}
    for finding in findings:
        found, asked = measured_texts(finding.measured, finding.limit, units)
        what = clip(finding.short or say(finding.says, units), 160)
        source = clip(finding.short_source or finding.clause, 80)
        parts = _PLACE.match(source)
        book, place = (parts["book"], parts["place"]) if parts else (source, "")
        held = Held(clip(asked, 60) if asked != NOTHING else "", book, place)
        kept = against.setdefault((what, clip(found, 60)), [])
        if held not in kept:
            kept.append(held)
    return [ClearItem(what, found, tuple(held)) for (what, found), held in against.items()]


def _marked_up(item: ClearItem, book: str = "") -> str:
    limits = "; ".join(said for said in (held.words(book) for held in item.held) if said)
    tail = f" ({limits})" if limits else ""
    found = "" if item.found == MET else f" <b>{_text(item.found)}</b>"
    return _text(item.what) + found + _text(tail)


def _text(text: str) -> str:
    return escape(tied(printable(text)))


def heading(count: int, more: str = "") -> Paragraph:
    return words(f"Clear: {count} {'check' if count == 1 else 'checks'}{more}", paper.SMALL_STRONG)


def listed(items: Sequence[ClearItem], wide: float) -> list[Flowable]:
    """Each item on a line of its own, in columns."""
    return [in_columns(_paragraphs(items), wide, LISTED_COLUMNS)] if items else []


def run_on(items: Sequence[ClearItem], wide: float) -> list[Flowable]:
    """Item after item without a break, book by book, in columns: the shortest way to print them."""
    books: dict[str, list[ClearItem]] = {}
    for item in items:
        books.setdefault(item.held[0].book, []).append(item)
    parts = [
        f"<b>{_text(book[:1].upper() + book[1:])}:</b> " + " · ".join(_marked_up(item, book) for item in group)
        for book, group in books.items()
    ]
    text = ". ".join(parts)
    for words_, sign in SIGNS:
        text = text.replace(words_.replace(" ", "\u00a0"), sign).replace(words_, sign)
    return [_cut(Paragraph(text + ".", RUN_ON), wide)]


def _cut(text: Paragraph, wide: float) -> Flowable:
    """A long paragraph cut into columns of equal height."""
    room = column_width(wide, RUN_ON_COLUMNS)
    lines = round(text.wrap(room, 1e6)[1] / RUN_ON.leading)
    each = -(-lines // RUN_ON_COLUMNS) * RUN_ON.leading
    cells: list[list[Flowable]] = []
    rest: list[Flowable] = [text]
    while rest and len(cells) < RUN_ON_COLUMNS - 1:
        first, *rest = rest[0].split(room, each + 0.1) or rest
        cells.append([first])
    return side_by_side([*cells, rest], wide, RUN_ON_COLUMNS)


def paged(items: Sequence[ClearItem], wide: float, tall: float) -> list[Flowable]:
    """As `listed`, cut into pieces that fit a page each."""
    return in_pieces(_paragraphs(items), wide, LISTED_COLUMNS, tall)


def _paragraphs(items: Sequence[ClearItem]) -> list[Paragraph]:
    return [Paragraph(f"· {_marked_up(item)}", ITEM) for item in items]
