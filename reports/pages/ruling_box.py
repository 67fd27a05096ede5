"""Where the RSO rules: approved, held or refused, why, initials on each caution, name, time, signature."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus import Flowable, Spacer, Table

from reports.drawings.tick_box import tick_box
from reports.figures import Units
from reports.pages import stationery as paper
from reports.pages.clock import clock
from reports.pages.stationery import lead_in, words
from reports.pages.tables import columns
from reports.pdf import Picture
from reports.sentences import say
from reports.sheet_data import EntryPage, Ruling
from reports.typeface import clip

MOST_CAUTIONS = 5
MOST_LETTERS = 220  # of one caution
CHOICES = ("approved", "held", "refused")
ROOM_TO_WRITE = 15.0
TO_FILL = (0.3, 0.18, 0.11, 0.17, 0.24)  # reason, name, role, time, signature
FILLED = (0.25, 0.17, 0.19, 0.26, 0.13)  # role and time on one line


def ruling_box(entry: EntryPage, units: Units, wide: float) -> Flowable:
    """The one framed thing on the page; empty places are to be filled by hand."""
    inner = wide - 12.0
    ruling = entry.ruling
    rows: list[list] = [[_choices(ruling, inner)], *_cautions(entry, units, inner)]
    if entry.unsettled:
        rows.insert(0, [words(say(entry.unsettled, units), paper.LOUD)])
    filled = (ruling.reason, ruling.by, ruling.role, clock(ruling.at), "") if ruling else ("",) * 5
    names = zip(("reason", "name", "role", "date, time", "signature"), filled, strict=True)
    rows.append([_places(tuple(names), tuple(inner * f for f in (FILLED if ruling else TO_FILL)))])
    look = [
        ("BOX", (0, 0), (-1, -1), 1.3, paper.COLOURS["ink"]),
        ("LINEBELOW", (0, 0), (-1, -2), 0.4, paper.COLOURS["rule"]),
        ("LEFTPADDING", (0, 0), (-1, -1), 6),
        ("RIGHTPADDING", (0, 0), (-1, -1), 6),
        ("TOPPADDING", (0, 0), (-1, -1), 2),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1.5),
    ]
    return Table(rows, colWidths=[wide], style=look, hAlign="LEFT")


def all_cautions(entry: EntryPage, units: Units) -> list[Flowable]:
    """Every caution in full, where the box cannot hold them."""
    texts = [say(caution, units) for caution in entry.cautions]
    if len(texts) <= MOST_CAUTIONS and all(len(text) <= MOST_LETTERS for text in texts):
        return []
    numbered = " ".join(f"({i}) {text}" for i, text in enumerate(texts, start=1))
    return [lead_in("All cautions.", numbered, paper.SMALL, 12000)]


def settled(ruling: Ruling | None) -> bool:
    """Whether a ruling on this very assessment is recorded: its initials count, and none are asked for on paper."""
    return ruling is not None and ruling.word != "lapsed"


def _choices(ruling: Ruling | None, wide: float) -> Flowable:
    title = "Ruling of the range safety officer"
    if ruling and ruling.word == "lapsed":
        title += ": LAPSED, it ruled on an earlier assessment"
    boxes = [Picture(tick_box(bool(ruling) and ruling.word == word, word.upper(), 10.0)) for word in CHOICES]  # type: ignore[union-attr]
    return columns([words(title, paper.STRONG), *boxes], [wide * f for f in (0.43, 0.22, 0.14, 0.21)])


def _cautions(entry: EntryPage, units: Units, wide: float) -> list[list[Flowable]]:
    said = [say(caution, units) for caution in entry.cautions[:MOST_CAUTIONS]]
    texts = [clip(f"Caution {i}: {text}", MOST_LETTERS) for i, text in enumerate(said, start=1)]
    if len(entry.cautions) > MOST_CAUTIONS:
        texts.append(f"and {len(entry.cautions) - MOST_CAUTIONS} more, on the next page")
    if settled(entry.ruling):
        return [[words(text, paper.BODY)] for text in texts]  # weighed at the desk, which asks for no initials on them
    widths = [wide * 0.9, wide * 0.1]
    return [[columns([words(text, paper.BODY), words("initials", paper.COLUMN)], widths)] for text in texts]


def _places(named: Sequence[tuple[str, str]], widths: Sequence[float]) -> Flowable:
    """Named places to write on, or what was written."""
    cells = [[words(n, paper.COLUMN), words(v, paper.BODY, 400) if v else Spacer(0, ROOM_TO_WRITE)] for n, v in named]
    return columns(cells, widths)
